/**
 * The page's side of the journal: lines go to the worker in the order in which they were noted, one tab at a time.
 *
 * Nothing here raises because the journal fails: the database has the edit strictly. The state says so instead, and the next
 * time the journal answers it is written anew from the database.
 */
import { signal } from '@preact/signals';
import type { Line } from './lines.ts';
import type { Answer, Order } from './messages.ts';

export type JournalState =
  | { kind: 'unknown' }
  /** This browser has no such file system. */
  | { kind: 'none' }
  | { kind: 'kept'; size_bytes: number }
  | { kind: 'failing'; why: string };

export const journalState = signal<JournalState>({ kind: 'unknown' });

/** Milliseconds for one answer of the worker, or for another tab to be done. */
const PATIENCE_MS = 6_000;

/** How an order reaches the journal's files. */
export type Port = (order: Order) => Promise<unknown>;

function workerPort(): Port | null {
  if (typeof Worker === 'undefined' || typeof navigator === 'undefined' || !navigator.storage?.getDirectory)
    return null;
  let worker: Worker | null = null;
  let asked = 0;
  const waiting = new Map<number, { resolve: (value: unknown) => void; reject: (fault: Error) => void }>();
  const fail = (words: string) => {
    worker?.terminate();
    worker = null;
    for (const { reject } of waiting.values()) reject(new Error(words));
    waiting.clear();
  };
  return (order) => {
    if (!worker) {
      worker = new Worker(new URL('./worker.ts', import.meta.url), { type: 'module', name: 'journal' });
      worker.onerror = (event) => fail(event.message || 'its worker could not start');
      worker.onmessage = ({ data }: MessageEvent<Answer>) => {
        const asker = waiting.get(data.id);
        waiting.delete(data.id);
        if (data.ok) asker?.resolve(data.value);
        else asker?.reject(new DOMException(data.words, data.name));
      };
    }
    const id = ++asked;
    worker.postMessage({ id, ask: order });
    return new Promise((resolve, reject) => {
      const timer = setTimeout(() => fail('it did not answer in time'), PATIENCE_MS);
      waiting.set(id, {
        resolve: (value) => {
          clearTimeout(timer);
          resolve(value);
        },
        reject: (fault) => {
          clearTimeout(timer);
          reject(fault);
        },
      });
    });
  };
}

let port: Port | null | undefined;

/** Put another way to the files in place; for tests. */
export function usePort(other: Port | null): void {
  port = other;
  queue = [];
  isBehind = false;
  journalState.value = { kind: 'unknown' };
}

const portNow = (): Port | null => (port === undefined ? (port = workerPort()) : port);

export const hasJournal = (): boolean => portNow() !== null && journalState.value.kind !== 'none';

export async function order<T>(what: Order): Promise<T> {
  const way = portNow();
  if (!way) throw new Error('This browser has no place for a journal.');
  return (await way(what)) as T;
}

let turn: Promise<unknown> = Promise.resolve();

/** Hold the journal against the other tabs while `work` runs, and against this one: all that asks for it is done in turn. */
export async function locked<T>(work: () => Promise<T>): Promise<T> {
  const locks = globalThis.navigator?.locks;
  if (!locks) {
    const mine = turn.then(work);
    turn = mine.catch(() => undefined);
    return mine;
  }
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(new Error('another tab did not let go of it')), PATIENCE_MS);
  return locks.request('wattwalk-journal', { signal: stop.signal }, () => {
    clearTimeout(timer);
    return work();
  });
}

/** Whether lines are missing from the journal, so that it has to be written anew. */
let isBehind = false;
let queue: { line: Line; done: () => void }[] = [];
let isFlushing = false;
let rewriteAll: () => Promise<number> = () => Promise.reject(new Error('nothing to write it anew from'));
let size = 0;
let sizeWhenWhole = 0;

/** Bytes that may be added before the journal is written anew. */
const MAY_GROW = 2_000_000;

/** Tell how the whole journal is written anew; called inside the lock. */
export function onRewrite(how: () => Promise<number>): void {
  rewriteAll = how;
}

export async function rewriteNow(): Promise<void> {
  await locked(async () => {
    size = sizeWhenWhole = await rewriteAll();
  });
  isBehind = false;
  journalState.value = { kind: 'kept', size_bytes: size };
}

/** Note lines. Resolves when they are on the storage, or when it is known that they could not be put there. */
export function note(lines: readonly Line[]): Promise<void> {
  if (!hasJournal()) {
    if (journalState.value.kind === 'unknown') journalState.value = { kind: 'none' };
    return Promise.resolve();
  }
  if (lines.length === 0) return Promise.resolve();
  const noted = Promise.all(lines.map((line) => new Promise<void>((done) => queue.push({ line, done })))).then(
    () => undefined,
  );
  if (!isFlushing) void flush();
  return noted;
}

async function flush(): Promise<void> {
  isFlushing = true;
  while (queue.length > 0) {
    const batch = queue;
    queue = [];
    try {
      // What the lines say is in the database already, so writing the journal anew from it brings them too.
      if (isBehind) await rewriteNow();
      else size = await locked(() => order<number>({ do: 'append', lines: batch.map((item) => item.line) }));
      journalState.value = { kind: 'kept', size_bytes: size };
      if (size > sizeWhenWhole + MAY_GROW) await rewriteNow();
    } catch (fault) {
      fell(fault);
    }
    for (const item of batch) item.done();
  }
  isFlushing = false;
}

/** Remember that the journal is behind, and why. */
export function fell(fault: unknown): void {
  isBehind = true;
  const why = fault instanceof Error ? fault.message : String(fault);
  console.error('The journal could not be written:', fault);
  journalState.value = { kind: 'failing', why };
}

export function startedAt(bytes: number): void {
  size = sizeWhenWhole = bytes;
  journalState.value = { kind: 'kept', size_bytes: bytes };
}
