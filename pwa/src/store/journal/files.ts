/**
 * The journal's files in the origin-private file system, as its worker handles them.
 *
 * `journal-N` is appended to. A shorter one is written whole under the next number and takes over once its mark `journal-N.whole` is there;
 * a crash at any step leaves at least one that is whole. Photos lie under their hash until the office has them.
 */
import { decode, encode, type Decoded, type Line } from './lines.ts';

/** The part of the browser's handle that is used. Older browsers answer some of it with promises, so all of it is awaited. */
export interface SyncHandle {
  read(into: Uint8Array, at: { at: number }): number;
  write(from: Uint8Array, at: { at: number }): number;
  truncate(size: number): void | Promise<void>;
  getSize(): number | Promise<number>;
  flush(): void | Promise<void>;
  close(): void | Promise<void>;
}
export interface FileEntry {
  createSyncAccessHandle(): Promise<SyncHandle>;
}
export interface Folder {
  getDirectoryHandle(name: string, options: { create: true }): Promise<Folder>;
  getFileHandle(name: string, options?: { create: boolean }): Promise<FileEntry>;
  removeEntry(name: string): Promise<void>;
  keys(): AsyncIterableIterator<string>;
}

const FIRST = 'journal-1';
const isNotThere = (fault: unknown): boolean => fault instanceof Error && fault.name === 'NotFoundError';

export class JournalFiles {
  constructor(
    private readonly folder: Folder,
    private readonly photos: Folder,
  ) {}

  /** Read the journal and cut a torn end off. */
  async read(): Promise<Decoded & { torn: number }> {
    return this.inFile(this.folder, await this.newest(), async (file) => {
      const bytes = await readAll(file);
      const found = decode(bytes);
      const torn = bytes.length - found.end;
      if (torn > 0) {
        await file.truncate(found.end);
        await file.flush();
      }
      return { ...found, torn };
    });
  }

  /** Append lines and have them on the storage. Returns the journal's size in bytes. */
  async append(lines: readonly Line[]): Promise<number> {
    return this.inFile(this.folder, await this.newest(), async (file) => {
      const size = await file.getSize();
      const last = new Uint8Array(1);
      if (size > 0) file.read(last, { at: size - 1 });
      // After a write that was cut off a line end keeps the torn piece apart from what is written now.
      const start = size > 0 && last[0] !== 10 ? Uint8Array.of(10) : new Uint8Array(0);
      const bytes = encode(lines);
      const whole = new Uint8Array(start.length + bytes.length);
      whole.set(start);
      whole.set(bytes, start.length);
      await writeAt(file, whole, size);
      return size + whole.length;
    });
  }

  /** Put these lines in place of all there are. Returns the journal's size in bytes. */
  async rewrite(lines: readonly Line[]): Promise<number> {
    const before = await this.newest();
    const next = `journal-${numberOf(before) + 1}`;
    const bytes = encode(lines);
    await this.inFile(this.folder, next, async (file) => {
      await file.truncate(0);
      await writeAt(file, bytes, 0);
    });
    await this.inFile(this.folder, `${next}.whole`, async (file) => file.flush());
    for (const name of await names(this.folder))
      if (name.startsWith('journal-') && numberOf(name) < numberOf(next)) await this.folder.removeEntry(name);
    return bytes.length;
  }

  async keepPhoto(sha256: string, bytes: ArrayBuffer): Promise<void> {
    await this.inFile(this.photos, sha256, async (file) => {
      await file.truncate(0);
      await writeAt(file, new Uint8Array(bytes), 0);
    });
  }

  /** The bytes under a hash, as they were found; null when there are none. Whoever asks compares them with the hash. */
  async photo(sha256: string): Promise<ArrayBuffer | null> {
    try {
      const file = await (await this.photos.getFileHandle(sha256)).createSyncAccessHandle();
      try {
        return (await readAll(file)).buffer;
      } finally {
        await file.close();
      }
    } catch (fault) {
      if (isNotThere(fault)) return null;
      throw fault;
    }
  }

  async dropPhotos(hashes: readonly string[]): Promise<void> {
    for (const sha256 of hashes) {
      try {
        await this.photos.removeEntry(sha256);
      } catch (fault) {
        if (!isNotThere(fault)) throw fault;
      }
    }
  }

  photoNames(): Promise<string[]> {
    return names(this.photos);
  }

  /** The newest journal that was finished; the first one needs no mark. */
  private async newest(): Promise<string> {
    const whole = (await names(this.folder))
      .filter((name) => name.endsWith('.whole'))
      .map((name) => name.slice(0, -'.whole'.length));
    return whole.sort((a, b) => numberOf(b) - numberOf(a))[0] ?? FIRST;
  }

  private async inFile<T>(folder: Folder, name: string, work: (file: SyncHandle) => Promise<T>): Promise<T> {
    const file = await (await folder.getFileHandle(name, { create: true })).createSyncAccessHandle();
    try {
      return await work(file);
    } finally {
      await file.close();
    }
  }
}

const numberOf = (name: string): number => Number(/^journal-(\d+)/.exec(name)?.[1] ?? 0);

async function names(folder: Folder): Promise<string[]> {
  const found: string[] = [];
  for await (const name of folder.keys()) found.push(name);
  return found;
}

async function readAll(file: SyncHandle): Promise<Uint8Array<ArrayBuffer>> {
  const bytes = new Uint8Array(await file.getSize());
  let at = 0;
  while (at < bytes.length) {
    const got = file.read(bytes.subarray(at), { at });
    if (got === 0) break;
    at += got;
  }
  return bytes.slice(0, at);
}

/** Write and have it on the storage; what did not fit is taken back, so that nothing torn stays behind. */
async function writeAt(file: SyncHandle, bytes: Uint8Array, from: number): Promise<void> {
  try {
    if (file.write(bytes, { at: from }) !== bytes.length)
      throw new DOMException('There is no room for it.', 'QuotaExceededError');
    await file.flush();
  } catch (fault) {
    await file.truncate(from);
    throw fault;
  }
}

/** Open the journal's folders. Raises where the browser has no such file system. */
export async function openFiles(root: Folder): Promise<JournalFiles> {
  const folder = await root.getDirectoryHandle('wattwalk', { create: true });
  return new JournalFiles(folder, await folder.getDirectoryHandle('photos', { create: true }));
}
