/** The journal's worker: the only place where a browser lets files be written and flushed at once. */
import { openFiles, type Folder, type JournalFiles } from './files.ts';
import type { Answer, Ask } from './messages.ts';

interface Scope {
  postMessage(message: Answer, transfer?: Transferable[]): void;
  onmessage: ((event: { data: Ask }) => void) | null;
}
declare const self: Scope;

let opened: Promise<JournalFiles> | null = null;

function files(): Promise<JournalFiles> {
  opened ??= navigator.storage.getDirectory().then((root) => openFiles(root as unknown as Folder));
  return opened;
}

async function work({ ask }: Ask): Promise<unknown> {
  const journal = await files();
  switch (ask.do) {
    case 'read':
      return journal.read();
    case 'append':
      return journal.append(ask.lines);
    case 'rewrite':
      return journal.rewrite(ask.lines);
    case 'keepPhoto':
      return journal.keepPhoto(ask.sha256, ask.bytes);
    case 'photo':
      return journal.photo(ask.sha256);
    case 'dropPhotos':
      return journal.dropPhotos(ask.hashes);
    case 'photoNames':
      return journal.photoNames();
  }
}

self.onmessage = ({ data }) => {
  work(data).then(
    (value) => self.postMessage({ id: data.id, ok: true, value }),
    (fault: unknown) =>
      self.postMessage({
        id: data.id,
        ok: false,
        name: fault instanceof Error ? fault.name : 'Error',
        words: fault instanceof Error ? fault.message : String(fault),
      }),
  );
};
