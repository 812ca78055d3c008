/**
 * The one who talks to the worker: starts it, watches its time, asks for the newest survey only.
 *
 * A worker that does not start, does not answer or dies ends in `unavailable` with words; everything else works on.
 */
import { signal } from '@preact/signals';
import type { FromWorker, ToWorker } from './messages.ts';

export type EngineState = { kind: 'starting' } | { kind: 'ready' } | { kind: 'unavailable'; why: string };

/** The part of a Worker that is used, so that a test can stand in for it. */
export interface WorkerLike {
  postMessage(message: ToWorker): void;
  terminate(): void;
  onmessage: ((event: { data: FromWorker }) => void) | null;
  onerror: ((event: { message?: string }) => void) | null;
}

/** What is asked, and who hears the answer. Nobody hears of a request that a newer one has overtaken. */
export interface Question {
  request: string;
  /** The firm's articles as JSON text; nothing while they have not been read. */
  articles?: string | undefined;
  onFigures: (text: string) => void;
  onRest: (text: string) => void;
  /** Empty where the plans could not be worked out. */
  onPlans: (text: string) => void;
  /** Hears of each option by itself, after the rest; without it none is worked out. */
  onOption?: (text: string) => void;
  onFault: (words: string) => void;
}

/** Milliseconds for the files to come, over a poor signal. */
export const FILES_MS = 180_000;
/** Milliseconds for the start once they are here. */
export const START_MS = 60_000;
/** Milliseconds for one answer. */
export const ANSWER_MS = 60_000;

const MISSING = 'its files have not all reached this phone yet; they come when there is signal';
const CANNOT = 'this browser could not start it';
const STOPPED = 'it stopped while it worked';
const SILENT = 'it did not answer in time';

export class EngineClient {
  readonly state = signal<EngineState>({ kind: 'starting' });
  private worker: WorkerLike | null = null;
  private timer: ReturnType<typeof setTimeout> | undefined;
  private asked = 0;
  private current: (Question & { id: number }) | null = null;
  private isWaiting = false;
  private next: Question | null = null;
  private mayRestart = false;
  /** What the present worker has of the firm's articles. */
  private articles: string | undefined;
  private isMissing = false;

  constructor(private readonly make: () => WorkerLike) {}

  /** Start the worker, or start it once more after it has failed. */
  start(): void {
    if (this.worker) return;
    this.state.value = { kind: 'starting' };
    this.isMissing = false;
    this.articles = undefined;
    try {
      this.worker = this.make();
    } catch (fault) {
      this.fail(CANNOT, fault);
      return;
    }
    this.worker.onmessage = ({ data }) => this.hear(data);
    this.worker.onerror = (event) => this.die(event.message);
    // A content policy that forbids the worker gives neither an answer nor an error.
    this.limit(FILES_MS, CANNOT);
  }

  /** Start it once more if it failed for want of its files. */
  startIfFilesWereMissing(): void {
    if (this.isMissing) this.start();
  }

  /** Ask for a survey to be worked out. Only the newest question counts. */
  ask(question: Question): void {
    this.next = question;
    this.send();
  }

  private send(): void {
    if (!this.worker || this.state.value.kind !== 'ready' || this.isWaiting || !this.next) return;
    this.current = { ...this.next, id: ++this.asked };
    this.next = null;
    this.isWaiting = true;
    this.limit(ANSWER_MS, SILENT);
    const { id, request, articles, onOption } = this.current;
    const areNew = articles !== undefined && articles !== this.articles;
    if (areNew) this.articles = articles;
    this.worker.postMessage({
      id,
      request,
      ...(areNew ? { articles } : {}),
      ...(onOption ? { withOptions: true } : {}),
    });
  }

  private hear(message: FromWorker): void {
    switch (message.type) {
      case 'progress':
        this.limit(START_MS, CANNOT);
        return;
      case 'ready':
        clearTimeout(this.timer);
        // For the benchmark and the tests: when, and whether the kept memory was of use.
        performance.mark('engine-ready', { detail: message.from });
        this.state.value = { kind: 'ready' };
        this.send();
        return;
      case 'failed':
        this.isMissing = message.isMissing;
        this.fail(message.isMissing ? MISSING : CANNOT, message.words);
        return;
      case 'rest':
        if (message.id === this.current?.id) this.current.onRest(message.text);
        return;
      case 'plans':
        if (message.id !== this.current?.id) return;
        performance.clearMarks('engine-plans');
        performance.mark('engine-plans', { detail: message.worked_ms });
        this.current.onPlans(message.text);
        return;
      case 'option':
        if (message.id === this.current?.id) this.current.onOption?.(message.text);
        return;
    }
    if (message.id !== this.current?.id) return;
    clearTimeout(this.timer);
    this.isWaiting = false;
    this.mayRestart = true;
    if (message.type === 'fault') {
      console.error('The engine could not work this survey out:', message.words);
      this.current.onFault(message.words);
    } else {
      // For the benchmark: how long the worker itself took. Only the last is kept.
      performance.clearMarks('engine-figures');
      performance.mark('engine-figures', { detail: message.worked_ms });
      this.current.onFigures(message.text);
    }
    this.send();
  }

  private limit(milliseconds: number, why: string): void {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.fail(why, `no word for ${milliseconds / 1000} s`), milliseconds);
  }

  /** The worker broke. One that has answered before is started again with the same question, once. */
  private die(words: string | undefined): void {
    const { current, mayRestart, isWaiting } = this;
    this.fail(this.state.value.kind === 'ready' ? STOPPED : CANNOT, words);
    if (!mayRestart) return;
    this.mayRestart = false;
    if (isWaiting) this.next ??= current;
    this.start();
  }

  private fail(why: string, fault: unknown): void {
    clearTimeout(this.timer);
    if (this.worker) {
      this.worker.onmessage = this.worker.onerror = null;
      this.worker.terminate();
    }
    this.worker = null;
    this.isWaiting = false;
    console.error(`The engine is not available: ${why}.`, fault);
    this.state.value = { kind: 'unavailable', why };
  }
}
