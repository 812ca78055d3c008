/**
 * The worker: the office's own Python, worked here. It is told what to work out and answers in JSON text.
 *
 * Figures go first; gaps, drawings, the plans of the storeys and options follow when nothing newer has come in the meantime (`turns.ts`).
 */
import { loadPyodide } from 'pyodide';
import files from '../generated/engine.json';
import { opened, packed, type Kept } from './memory.ts';
import type { FromWorker, StartedFrom, ToWorker } from './messages.ts';
import { turns, type Desk } from './turns.ts';

interface WorkerScope {
  location: { origin: string };
  postMessage(message: FromWorker): void;
  onmessage: ((event: { data: ToWorker }) => void) | null;
  onunhandledrejection: ((event: { reason: unknown }) => void) | null;
  fetch: typeof fetch;
}
declare const self: WorkerScope;

/** Where the memory of a started engine is kept, and the files that it belongs to. */
const MEMORIES = 'engine-memory';
const MEMORY = `/engine-memory/packed/${files.python}${files.library}/${files.engine}`;

const ARCHIVE = '/lib/wattwalk.zip';

/**
 * What a kept memory holds: everything imported, and one house worked out, so that each table has been read once and the first answer
 * of a later start need not wait for that. The house is the build's sample and nobody's own.
 */
const LOOK_AROUND = `
import gc, sys
sys.path.append("${ARCHIVE}")
import wattwalk
from wattwalk.answer import Desk
Desk().figures(wattwalk.__loader__.get_data("${ARCHIVE}/wattwalk/${files.sample}").decode())
gc.collect()
`;

const at = (name: string): string => new URL(name, `${self.location.origin}/`).href;

/** A fetch that fails where a captive portal answers with a page of its own. */
async function fetchFile(...given: Parameters<typeof fetch>): Promise<Response> {
  const answer = await plainFetch(...given);
  if (!answer.ok || answer.headers.get('Content-Type')?.startsWith('text/html'))
    throw new TypeError(`Failed to fetch ${answer.url}`);
  return answer;
}
const plainFetch = self.fetch.bind(self);

async function bytesOf(name: string): Promise<Uint8Array> {
  return new Uint8Array(await (await fetchFile(at(name))).arrayBuffer());
}

/**
 * Rejects with what the runtime stumbles over while it starts.
 *
 * Where its machine code does not come, or may not be compiled, it waits for ever and tells nobody.
 */
function stumble(): Promise<never> {
  return new Promise((_, reject) => {
    self.onunhandledrejection = ({ reason }) => reject(reason);
    self.fetch = (...given) =>
      fetchFile(...given).catch((fault: unknown) => {
        reject(fault);
        throw fault;
      });
  });
}

/** The kept memory, still being read: Python's own files are fetched in the meantime. */
async function keptMemory(): Promise<Response | null> {
  try {
    return (await (await caches.open(MEMORIES)).match(at(MEMORY))) ?? null;
  } catch {
    // Without a store to ask, as in a private window, every start is a first one.
    return null;
  }
}

/** Keep what the runtime has written of its memory: what it says of it, and behind that the whole of it, `size` long. */
async function keepMemory(written: Uint8Array<ArrayBuffer>, size: number): Promise<void> {
  try {
    await forgetMemory();
    const pieces = packed(written.subarray(0, -size), written.subarray(-size));
    await (await caches.open(MEMORIES)).put(at(MEMORY), new Response(new Blob(pieces)));
  } catch (fault) {
    console.error('The memory of the engine was not kept; its next start is as slow as this one:', fault);
  }
}

async function forgetMemory(): Promise<void> {
  await caches.delete(MEMORIES);
}

type MakeModule = NonNullable<NonNullable<Parameters<typeof loadPyodide>[0]>['createPyodideModule']>;

/** What is used of the runtime's own module, which its description leaves out. */
interface Runtime {
  HEAPU8: Uint8Array<ArrayBuffer>;
  growMemory(bytes: number): number | undefined;
}

/**
 * Put a kept memory into a runtime that has not run yet.
 *
 * The runtime begins with room for what it holds before anything is imported, and does not make more for a memory that it is given.
 */
async function putBack(kept: Kept, runtime: Runtime): Promise<void> {
  if (runtime.HEAPU8.length < kept.size && !runtime.growMemory(kept.size))
    throw new RangeError('There is no room for the kept memory of the engine.');
  await kept.readInto(runtime.HEAPU8);
}

/** Start Python, from the memory that an earlier start left behind when there is one. */
async function begin(memory: Response | null): Promise<Desk> {
  const archive = bytesOf(files.engine);
  const kept = memory?.body ? opened(memory.body) : null;
  const about = kept?.then((known) => known.about);
  // A memory that is cut off may be known before Python asks for it; whoever began hears of it then, and starts from nothing.
  about?.catch(() => undefined);
  let started: Runtime;
  const runtime = import(/* @vite-ignore */ at(`${files.python}pyodide.asm.mjs`)) as Promise<{ default: MakeModule }>;
  const python = await loadPyodide({
    indexURL: at(files.python),
    stdLibURL: at(files.library),
    lockFileContents: files.lock,
    packageBaseUrl: at(files.python),
    stdout: () => undefined,
    stderr: (words) => console.error(words),
    // The memory goes straight to where it works, while the runtime is given what it said of it and nothing behind that.
    createPyodideModule: async (settings) => {
      const module = await (await runtime).default(settings);
      started = module as unknown as Runtime;
      if (kept) await putBack(await kept, started);
      return module;
    },
    ...(about ? { _loadSnapshot: about } : { _makeSnapshot: true }),
  });
  python.FS.writeFile(ARCHIVE, await archive);
  self.postMessage({ type: 'progress' });
  if (!memory) {
    python.runPython(LOOK_AROUND);
    // Before the first object goes out to JavaScript: what is shared between the two cannot be kept.
    const written = python.makeMemorySnapshot() as Uint8Array<ArrayBuffer>;
    void keepMemory(written, started!.HEAPU8.length);
  }
  return python.runPython('from wattwalk.answer import Desk\nDesk()') as Desk;
}

/**
 * Start the engine.
 *
 * Most of a start is spent in importing, and leaves the same memory behind each time. It is kept on this phone after the first and
 * read at the next, which makes that three times as quick and more; it is never sent anywhere, and one of other files is thrown away.
 */
async function start(): Promise<[Desk, StartedFrom]> {
  const memory = await keptMemory();
  if (!memory) return [await begin(null), 'nothing'];
  try {
    return [await begin(memory), 'memory'];
  } catch (fault) {
    console.error('The engine did not start from its kept memory:', fault);
    await forgetMemory();
    return [await begin(null), 'nothing'];
  }
}

// The order matters: the watch is set before the start.
Promise.race([stumble(), start()]).then(
  ([desk, from]) => {
    const take = turns(desk, (message) => self.postMessage(message));
    self.onmessage = ({ data }) => take(data);
    self.postMessage({ type: 'ready', from });
  },
  (fault: unknown) => {
    const words = fault instanceof Error ? fault.message : String(fault);
    // Whatever it was, the next try starts from nothing.
    void forgetMemory().catch(() => undefined);
    self.postMessage({ type: 'failed', words, isMissing: /fetch|network|load/i.test(words) });
  },
);
