/** What can be undone at once: offered on the page where it was done and on the one that this led to, never in the way of anything. */
import { effect, signal } from '@preact/signals';
import { route } from './router.ts';

export interface Offer {
  survey: string;
  /** What was done, as a sentence. */
  words: string;
  /** What undoes it. */
  way: string;
  /** Answers whether it is undone. */
  undo: () => Promise<boolean>;
}

export const offered = signal<Offer | null>(null);

let doneAt = '';
let ledTo: string | null = null;

export function offer(next: Offer): void {
  doneAt = location.hash;
  ledTo = null;
  offered.value = next;
}

effect(() => {
  const { path } = route.value;
  const now = location.hash;
  const present = offered.peek();
  if (!present || now === doneAt || now === ledTo) return;
  if (ledTo === null && path[1] === present.survey) ledTo = now;
  else offered.value = null;
});
