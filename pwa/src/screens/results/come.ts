/** Where results come from while there are none yet, in words. */
import { engineState } from '../../engine/live.ts';

/** What to expect: from this phone as soon as its engine is up, or else from the office. */
export function resultsToCome(): string {
  const state = engineState.value;
  switch (state.kind) {
    case 'starting':
      return 'Results come in a moment: the engine on this phone is starting.';
    case 'ready':
      return 'Results come as soon as there is something to work out.';
    case 'unavailable':
      return `Results come when the survey has reached the office. This phone does not work them out itself: ${state.why}.`;
  }
}
