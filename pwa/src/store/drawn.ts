/** When the first screen stands: what is no part of it begins only then, and does not take its time from it. */

/** Milliseconds after which a screen that was not drawn is not waited for any more. */
const DRAWN_MS = 2_000;

/** What waits for the first screen; null once it stands. */
let waiting: (() => void)[] | null = [];

/** Do `work` once, after the next drawing. A page that is out of sight draws nothing: there it waits a moment only. */
function afterDrawing(work: () => void): void {
  let isDone = false;
  const begin = () => {
    if (isDone) return;
    isDone = true;
    work();
  };
  requestAnimationFrame(() => setTimeout(begin, 0));
  setTimeout(begin, DRAWN_MS);
}

/** Settles after the next drawing. */
export const drawing = (): Promise<void> => new Promise(afterDrawing);

/** A screen stands: the frame of every screen says so, after each drawing. */
export function sayStanding(): void {
  const works = waiting;
  waiting = null;
  for (const work of works ?? []) setTimeout(work, 0);
}

/** Do `work` once what has come stands on the screen, and not before the first screen does; a screen that never comes is waited for a moment only. */
export function onceDrawn(work: () => void): void {
  if (!waiting) return afterDrawing(work);
  waiting.push(work);
  setTimeout(sayStanding, DRAWN_MS);
}
