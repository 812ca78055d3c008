/** When to talk to the office: after edits, when the app comes to the front, and again and again while something waits. */
import { effect, signal } from '@preact/signals';
import { onceDrawn } from '../store/drawn.ts';
import { watchWaits, type Waits } from '../store/live.ts';
import { compareStores } from '../store/second.ts';
import type { Outcome } from './cycle.ts';
import { emptyCache } from './leaving.ts';

/** Seconds between tries while the office does not answer. */
const BACK_OFF_S = [4, 8, 15, 30];
/** Seconds between looks for news while the app is in front and nothing waits. */
const LOOK_S = 60;
/** Milliseconds after an edit before it is offered, so that a form does not send every field by itself. */
const SETTLE_MS = 1500;
/** Milliseconds after the start by which database and journal are compared at the latest. */
const COMPARE_MS = 2_000;

export interface SyncState {
  isBusy: boolean;
  /** How the last exchange ended; null before the first. */
  last: Outcome | null;
  last_at: number | null;
  /** Set when the phone's own storage failed during an exchange. */
  fault: string | null;
}

export const syncState = signal<SyncState>({ isBusy: false, last: null, last_at: null, fault: null });

/** What waits, who is signed in: watched for as long as the app runs. */
const watched = watchWaits();
export const waits = watched.value;

/** Why the store of this phone cannot be read, in the browser's words; null while it can. */
export const storeFault = watched.error;

/** What an exchange needs is no part of the first screen, and is read right after it. */
const exchange = () => import('./cycle.ts');

let failures = 0;
/** Exchanges, one after another, that went well and yet left something waiting: most often an answer that was given again while its first words were on their way. */
let leftovers = 0;
let timer: ReturnType<typeof setTimeout> | undefined;
let running: Promise<void> | null = null;
let again = false;

async function run(): Promise<void> {
  syncState.value = { ...syncState.value, isBusy: true };
  let last: Outcome | null = null;
  let fault: string | null = null;
  try {
    last = await withLock(async () => (await exchange()).syncOnce());
  } catch (error) {
    fault = error instanceof Error ? error.message : String(error);
  }
  failures = last?.kind === 'done' && !last.trouble ? 0 : failures + 1;
  syncState.value = { isBusy: false, last: last ?? syncState.value.last, last_at: Date.now(), fault };
}

/** Only one tab of this phone talks to the office at a time; the others see what it stored. */
async function withLock(work: () => Promise<Outcome>): Promise<Outcome | null> {
  if (!navigator.locks) return work();
  return navigator.locks.request('wattwalk-sync', { ifAvailable: true }, (lock) => (lock ? work() : null));
}

/** Exchange now, or once more right after the exchange that is under way. */
export function syncNow(): Promise<void> {
  clearTimeout(timer);
  if (running) {
    again = true;
    return running;
  }
  running = run().finally(() => {
    running = null;
    if (again) {
      again = false;
      void syncNow();
    } else plan();
    void emptyCache();
  });
  return running;
}

/** Whether the office is to be asked at all: for whoever is signed in, or to tell it that somebody has left. */
const isWanted = (now: Waits | undefined): now is Waits =>
  now !== undefined && (now.isLeaving || (now.session !== null && !now.needsSignIn));

function plan(): void {
  clearTimeout(timer);
  const now = waits.value;
  if (!isWanted(now)) return;
  const waiting = now.changes + now.photos > 0;
  leftovers = waiting && failures === 0 ? leftovers + 1 : 0;
  // In the background only unsent work is worth the battery.
  if (document.visibilityState === 'hidden' && !waiting && !now.isLeaving) return;
  if (leftovers > 0) {
    // The count is that of a moment ago: what has arrived since is asked for when the time has come.
    const pause = leftovers === 1 ? SETTLE_MS : backOff(leftovers - 1);
    timer = setTimeout(() => (stillWaits() ? void syncNow() : plan()), pause);
  } else timer = setTimeout(() => void syncNow(), failures > 0 ? backOff(failures) : LOOK_S * 1000);
}

const backOff = (tries: number): number => BACK_OFF_S[Math.min(tries, BACK_OFF_S.length) - 1]! * 1000;

function stillWaits(): boolean {
  const now = waits.value;
  return now !== undefined && now.changes + now.photos > 0;
}

/** Start the loop. Called once, when the app is up. */
export function startSync(): void {
  // At once, while the signal is there that brought the page: the first exchange says what went wrong with it.
  onceDrawn(() => void exchange().catch(() => undefined));
  let before = 0;
  effect(() => {
    const now = waits.value;
    if (!isWanted(now)) return;
    const waiting = now.changes + now.photos;
    // While the office does not answer, the back-off decides; more edits do not make it answer sooner.
    if (waiting > before && failures === 0 && !running) {
      clearTimeout(timer);
      timer = setTimeout(() => void syncNow(), SETTLE_MS);
    } else if (waiting > before && running) again = true;
    before = waiting;
  });
  addEventListener('online', () => syncIfWanted());
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') syncIfWanted();
  });
  const stop = waits.subscribe((now) => {
    if (!now) return;
    queueMicrotask(() => stop());
    onceDrawn(() => {
      if (isWanted(now)) syncIfWanted();
      else void emptyCache();
    });
    // The two stores are compared once the first screen stands and the phone is calm; an empty store asks for it at once.
    if ('requestIdleCallback' in globalThis) requestIdleCallback(() => void compareStores(), { timeout: COMPARE_MS });
    else setTimeout(() => void compareStores(), COMPARE_MS / 10);
  });
}

function syncIfWanted(): void {
  if (isWanted(waits.value)) void syncNow();
}
