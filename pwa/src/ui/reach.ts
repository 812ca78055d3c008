/** What comes next, brought to where the thumb is: between what stays at the top and at the foot of the screen, with as little movement as will do. */

/** Of the room there is: a part larger than this is in view when so much of it is. */
const ENOUGH = 0.7;

/** Whether somebody is typing or picking just now: nothing moves then, and the cursor stays. */
function isTyping(): boolean {
  return document.activeElement?.matches('input:not([type="file"]), select, textarea') ?? false;
}

/** The part of the screen that shows what scrolls: below a bar that stays, above the foot, the keyboard and what is offered at the foot. */
function viewOf(part: Element): { top: number; bottom: number } {
  const scroller = part.closest('.scroller')?.getBoundingClientRect();
  const seen = window.visualViewport;
  const bar = document.querySelector('.bar-stays')?.getBoundingClientRect().bottom ?? 0;
  const offer = document.querySelector('.offer')?.getBoundingClientRect().top ?? Infinity;
  return {
    top: Math.max(scroller?.top ?? 0, bar, 0),
    bottom: Math.min(scroller?.bottom ?? innerHeight, seen ? seen.offsetTop + seen.height : innerHeight, offer),
  };
}

/** Of the screen, between what is brought and what stays at its edge. */
const MARGIN = 12;

function scrollBy(part: Element, by: number): void {
  if (by !== 0) (part.closest('.scroller') ?? document.scrollingElement)?.scrollBy(0, by);
}

function scrollTo(part: Element): void {
  const { top, bottom } = viewOf(part);
  const at = part.getBoundingClientRect();
  const end = at.top + Math.min(at.height, (bottom - top) * ENOUGH) + MARGIN;
  scrollBy(part, end > bottom ? end - bottom : Math.min(0, at.top - MARGIN - top));
}

/** Bring a part to the top of what can be seen. */
export function toTop(part: Element): void {
  scrollBy(part, part.getBoundingClientRect().top - MARGIN - viewOf(part).top);
}

/**
 * Bring the next question into view once it is drawn, and put the focus on it, so that the keyboard and a screen reader go on from there.
 *
 * Does nothing while somebody is typing somewhere else: what is typed must land where it was meant.
 *
 * @param find what to bring, asked for when it is drawn
 * @param answered the question that was just answered: a list that was picked from keeps the focus, and nobody types there any more
 */
export function bring(
  find: () => HTMLElement | null | undefined,
  { takesFocus = true, answered = null }: { takesFocus?: boolean; answered?: Element | null } = {},
): void {
  // One frame for the drawing of what was just answered, one for what follows from it.
  requestAnimationFrame(() =>
    requestAnimationFrame(() => {
      const part = find();
      if (!part?.isConnected || (isTyping() && !answered?.contains(document.activeElement))) return;
      scrollTo(part);
      if (takesFocus) {
        if (!part.hasAttribute('tabindex') && !part.matches('a, button, input')) part.tabIndex = -1;
        part.focus({ preventScroll: true });
      }
    }),
  );
}

/** Open what a part lies folded in. */
export function unfold(part: Element | null): void {
  for (let fold = part?.closest('details'); fold; fold = fold.parentElement?.closest('details')) fold.open = true;
}
