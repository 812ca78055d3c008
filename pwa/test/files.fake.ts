/** A file system in memory in place of the origin-private one: every step can fail, writes can be torn, a crash keeps what was flushed. */
import type { FileEntry, Folder, SyncHandle } from '../src/store/journal/files.ts';

export class Crash extends Error {
  override readonly name = 'Crash';
}

export class FakeFolder implements Folder {
  readonly folders = new Map<string, FakeFolder>();
  readonly files = new Map<string, Uint8Array>();

  constructor(private readonly disk: FakeDisk) {}

  async getDirectoryHandle(name: string): Promise<Folder> {
    this.disk.step();
    const found = this.folders.get(name) ?? new FakeFolder(this.disk);
    this.folders.set(name, found);
    return found;
  }

  async getFileHandle(name: string, options?: { create: boolean }): Promise<FileEntry> {
    this.disk.step();
    if (!this.files.has(name)) {
      if (!options?.create) throw new DOMException('No such file.', 'NotFoundError');
      this.files.set(name, new Uint8Array(0));
    }
    return { createSyncAccessHandle: async () => this.open(name) };
  }

  async removeEntry(name: string): Promise<void> {
    this.disk.step();
    if (!this.files.delete(name)) throw new DOMException('No such file.', 'NotFoundError');
  }

  async *keys(): AsyncIterableIterator<string> {
    yield* [...this.files.keys(), ...this.folders.keys()];
  }

  private open(name: string): SyncHandle {
    this.disk.step();
    const set = (bytes: Uint8Array) => this.files.set(name, bytes);
    const now = () => this.files.get(name)!;
    return {
      read: (into, { at }) => {
        const part = now().subarray(at, at + into.length);
        into.set(part);
        return part.length;
      },
      write: (from, { at }) => {
        const fits = this.disk.torn(from.length);
        const grown = new Uint8Array(Math.max(now().length, at + fits));
        grown.set(now());
        grown.set(from.subarray(0, fits), at);
        set(grown);
        this.disk.step();
        return fits;
      },
      truncate: (size) => {
        this.disk.step();
        const cut = new Uint8Array(size);
        cut.set(now().subarray(0, size));
        set(cut);
      },
      getSize: () => now().length,
      flush: () => this.disk.step(),
      close: () => undefined,
    };
  }
}

export class FakeDisk {
  readonly root = new FakeFolder(this);
  /** Steps left until the crash; nothing after it is done either. */
  crashAfter = Infinity;
  /** Bytes left until the disk is full. */
  room = Infinity;
  steps = 0;

  step(): void {
    this.steps += 1;
    if (this.crashAfter-- <= 0) throw new Crash('The phone died.');
  }

  /** How much of a write gets there: all, or less when the phone dies in the middle of it or is full. */
  torn(length: number): number {
    const fits = Math.min(length, this.room);
    this.room -= fits;
    return this.crashAfter <= 0 ? Math.floor(fits / 2) : fits;
  }

  /** The phone is started again. */
  restart(): void {
    this.crashAfter = Infinity;
  }
}
