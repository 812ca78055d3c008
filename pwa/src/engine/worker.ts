/**
 * The worker: the office's own Python, worked here. It is told what to work out and answers in JSON text.
 *
 * Figures go first; gaps and drawings follow when nothing newer has come in the meantime.
 */
import { loadPyodide } from 'pyodide';
import files from '../generated/engine.json';
import type { FromWorker, ToWorker } from './messages.ts';

interface WorkerScope {
  location: { origin: string };
  postMessage(message: FromWorker): void;
  onmessage: ((event: { data: ToWorker }) => void) | null;
  onunhandledrejection: ((event: { reason: unknown }) => void) | null;
  fetch: typeof fetch;
}
declare const self: WorkerScope;

/** The Python object that keeps the survey between two edits. */
interface Desk {
  figures(request: string): string;
  rest(): string;
}

/** Milliseconds without a new request before the rest is made: somebody who types is waiting for figures. */
const PAUSE_MS = 40;
const ARCHIVE = '/lib/wattwalk.zip';

const at = (name: string): string => new URL(name, `${self.location.origin}/`).href;

/** A fetch that fails where a captive portal answers with a page of its own. */
async function fetchFile(...given: Parameters<typeof fetch>): Promise<Response> {
  const answer = await plainFetch(...given);
  if (!answer.ok || answer.headers.get('Content-Type')?.startsWith('text/html')) throw new TypeError(`Failed to fetch ${answer.url}`);
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
    self.fetch = (...given) => fetchFile(...given).catch((fault: unknown) => {
      reject(fault);
      throw fault;
    });
  });
}

async function start(): Promise<Desk> {
  const archive = bytesOf(files.engine);
  const python = await loadPyodide({
    indexURL: at(files.python), stdLibURL: at(files.library), lockFileContents: files.lock, packageBaseUrl: at(files.python),
    stdout: () => undefined, stderr: (words) => console.error(words),
  });
  python.FS.writeFile(ARCHIVE, await archive);
  self.postMessage({ type: 'progress' });
  python.globals.set('archive', ARCHIVE);
  return python.runPython('import sys\nsys.path.append(archive)\nfrom wattwalk.answer import Desk\nDesk()') as Desk;
}

let pause: ReturnType<typeof setTimeout> | undefined;

function work(desk: Desk, id: number, request: string): void {
  clearTimeout(pause);
  const answer = (type: 'figures' | 'rest', make: () => string): boolean => {
    try {
      const begun = performance.now();
      const text = make();
      self.postMessage({ type, id, text, worked_ms: performance.now() - begun });
      return true;
    } catch (fault) {
      self.postMessage({ type: 'fault', id, words: fault instanceof Error ? fault.message : String(fault) });
      return false;
    }
  };
  if (answer('figures', () => desk.figures(request))) pause = setTimeout(() => answer('rest', () => desk.rest()), PAUSE_MS);
}

// The order matters: the watch is set before the start.
Promise.race([stumble(), start()]).then(
  (desk) => {
    self.onmessage = ({ data }) => work(desk, data.id, data.request);
    self.postMessage({ type: 'ready' });
  },
  (fault: unknown) => {
    const words = fault instanceof Error ? fault.message : String(fault);
    self.postMessage({ type: 'failed', words, isMissing: /fetch|network|load/i.test(words) });
  },
);
