/** When the engine begins, which takes a processor for seconds the first time. */
import { effect, type ReadonlySignal } from '@preact/signals';
import { watchHeld } from '../store/held.ts';

/** Milliseconds without an exchange after which a device that holds no survey is taken to be calm. */
const CALM_MS = 3_000;

/**
 * Do `work` as soon as there is something to work out: at once on a device that holds a survey.
 *
 * One that holds none fetches its first, whose figures the office has worked out already, and the start would take the processor from that: it
 * comes behind the exchange that brings the survey, or once no exchange has been under way for a moment, so that the engine is kept in any case.
 */
export function onceWanted(isExchanging: ReadonlySignal<boolean>, work: () => void, calm_ms = CALM_MS): void {
  const held = watchHeld();
  let calm: ReturnType<typeof setTimeout> | undefined;
  let wasEmpty = false;
  let isDone = false;
  const begin = () => {
    if (isDone) return;
    isDone = true;
    clearTimeout(calm);
    held.stop();
    queueMicrotask(() => stop());
    work();
  };
  const stop = effect(() => {
    const count = held.value.value;
    clearTimeout(calm);
    // A store that cannot be read is no reason to do without.
    if (held.error.value !== null) return begin();
    if (isDone || count === undefined) return;
    if (count > 0 && !wasEmpty) return begin();
    wasEmpty = true;
    if (isExchanging.value) return;
    if (count > 0) begin();
    else calm = setTimeout(begin, calm_ms);
  });
}
