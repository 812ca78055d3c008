/** The way to the journal's files without a worker, on a disk in memory. */
import type { Port } from '../src/store/journal/client.ts';
import { openFiles, type JournalFiles } from '../src/store/journal/files.ts';
import type { FakeDisk } from './files.fake.ts';

export function portTo(on: FakeDisk): Port {
  let files: Promise<JournalFiles> | null = null;
  return async (order) => {
    const journal = await (files ??= openFiles(on.root));
    switch (order.do) {
      case 'read':
        return journal.read();
      case 'append':
        return journal.append(order.lines);
      case 'rewrite':
        return journal.rewrite(order.lines);
      case 'keepPhoto':
        return journal.keepPhoto(order.sha256, order.bytes);
      case 'photo':
        return journal.photo(order.sha256);
      case 'dropPhotos':
        return journal.dropPhotos(order.hashes);
      case 'photoNames':
        return journal.photoNames();
    }
  };
}
