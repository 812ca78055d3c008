/**
 * Keeps the place of whoever works without a pointer: when what has the focus goes away by an action, the browser puts the focus nowhere,
 * and the next Tab begins at the top of the page. Here it goes to what stands in that place instead.
 */

const USABLE = 'a[href], button, input, select, textarea, summary, [tabindex="0"]';
const TYPED_IN = 'input:not([type="file"], [type="checkbox"], [type="radio"]), textarea';
/** In a fold that is shut: it has a size all the same, and takes no focus. */
const FOLDED = 'details:not([open]) > :not(summary), details:not([open]) > :not(summary) *';

interface Place {
  at: HTMLElement | SVGElement;
  /** Everything round it, from the inside out, and how many usable things come before it there. */
  round: { box: Element; before: number }[];
  /** Whether it was out of use since it had the focus. */
  wasOut: boolean;
}

let last: Place | null = null;
/** A keyboard on the screen that opens by itself is in the way of a thumb: a field gets the focus only where keys were used. */
let byKeys = false;

const isInUse = (one: Element): boolean => !one.matches(`:disabled, [inert] *, ${FOLDED}`);

function placeOf(at: HTMLElement | SVGElement): Place {
  const isBefore = (one: Element) => Boolean(one.compareDocumentPosition(at) & Node.DOCUMENT_POSITION_FOLLOWING);
  const before = [...document.querySelectorAll(USABLE)].filter((one) => isBefore(one) && isInUse(one));
  const round: Place['round'] = [];
  for (let box = at.parentElement; box && box !== document.body; box = box.parentElement)
    round.push({ box, before: before.filter((one) => box.contains(one)).length });
  return { at, round, wasOut: false };
}

const isFit = (one: Element): one is HTMLElement =>
  (byKeys || !one.matches(TYPED_IN)) && one.getClientRects().length > 0;

/** What stands where the focus was: in the innermost part of the page that is still there and has anything to use. */
function heir({ round }: Place): HTMLElement | null {
  for (const { box, before } of round) {
    if (!box.isConnected) continue;
    const inside = [...box.querySelectorAll(USABLE)].filter(isInUse);
    // One by one from that place on, and back from it only then: to ask each of hundreds would have the browser lay all of a long page out.
    const fit = [...inside.slice(before), ...inside.slice(0, before).reverse()].find(isFit);
    if (fit) return fit;
    if (box.matches('main')) break;
  }
  return document.querySelector<HTMLElement>('h1[tabindex]');
}

function mend(): void {
  if (!last || (document.activeElement && document.activeElement !== document.body)) return;
  if (!last.at.isConnected) heir(last)?.focus({ preventScroll: !byKeys });
  // What was out of use for a moment, while something was stored, is where it was. A field that was left is not entered again.
  else if (last.wasOut && !last.at.matches(':disabled')) last.at.focus({ preventScroll: true });
}

/** Watch the app from now on. */
export function keepPlace(app: HTMLElement): void {
  addEventListener('focusin', (event) => {
    if (event.target instanceof HTMLElement || event.target instanceof SVGElement) last = placeOf(event.target);
  });
  // Whoever taps beside everything has let go of it.
  addEventListener('pointerdown', () => ((last = null), (byKeys = false)), true);
  addEventListener('keydown', () => (byKeys = true), true);
  let isAsked = false;
  new MutationObserver((records) => {
    // What was put elsewhere on the page has lost the focus on its way.
    const isMoved = (at: Node) =>
      document.activeElement === document.body &&
      records.some(({ addedNodes }) => [...addedNodes].some((node) => node.contains(at)));
    if (last && (last.at.matches(':disabled') || isMoved(last.at))) last.wasOut = true;
    if (isAsked || !last) return;
    isAsked = true;
    // After the effects of what was drawn: a screen that says itself where the focus goes knows better.
    setTimeout(() => {
      isAsked = false;
      mend();
    });
  }).observe(app, { childList: true, subtree: true, attributes: true, attributeFilter: ['disabled'] });
}
