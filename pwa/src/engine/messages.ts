/** What the client and the worker say to each other. Requests and answers are JSON text, the same bytes as the office's. */

export interface ToWorker {
  id: number;
  request: string;
  /** The firm's articles, only where they are others than this worker has: a firm has two thousand, and an answer is wanted at every key. */
  articles?: string;
  /** Work the options out as well, one after the other, once the rest is there. */
  withOptions?: boolean;
}

/** What a start began with: the memory that an earlier one left on this phone, or nothing. */
export type StartedFrom = 'memory' | 'nothing';

export type FromWorker =
  /** Its files are here and the start goes on. */
  | { type: 'progress' }
  | { type: 'ready'; from: StartedFrom }
  | { type: 'failed'; words: string; isMissing: boolean }
  | { type: 'figures' | 'rest' | 'plans' | 'option'; id: number; text: string; worked_ms: number }
  /** The engine could not answer this one request. */
  | { type: 'fault'; id: number; words: string };
