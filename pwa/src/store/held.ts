/** What lies on this device, for whoever waits for the first of it. */
import { BOOK } from '../domain/book.ts';
import { database } from './database.ts';
import { watch, type Live } from './live.ts';

/** How many surveys of which something is here lie on this device, the demo house among them. */
export function watchHeld(): Live<number> {
  return watch(() =>
    database.surveys
      .where('id')
      .notEqual(BOOK)
      .filter((row) => row.edits > 0 || row.cursor > 0)
      .count(),
  );
}
