/** The lists of what is open, from which one goes straight to a field: the arrow leads back to the list, at the row one left. */
import { route, surveyLink } from './router.ts';

const LISTS: Record<string, { path: string[]; words: string }> = {
  leaving: { path: ['stage', 'leaving'], words: 'before you leave' },
  results: { path: ['results'], words: 'results' },
};

/** An address that remembers from which list it was followed. */
export const fromList = (target: string, list: keyof typeof LISTS): string =>
  `${target}${target.includes('?') ? '&' : '?'}from=${list}`;

/** The list that the present page was reached from, as the arrow names it; null when it was reached otherwise. */
export function listBehind(): { back: string; words: string } | null {
  const { path, query } = route.value;
  const list = LISTS[query.get('from') ?? ''];
  return path[0] === 'survey' && path[1] && list
    ? { back: surveyLink(path[1], ...list.path), words: list.words }
    : null;
}

let left: { page: string; row: string; at: number } | null = null;

/** Remember the row that is being followed, and how far its list was scrolled. */
export function leaveRow(event: Event): void {
  const row = (event.target as Element | null)?.closest('a')?.getAttribute('href');
  if (row) left = { page: location.hash, row, at: document.scrollingElement?.scrollTop ?? 0 };
}

/** Stand again where the list was left; the row keeps the focus if it is still there. */
export function returnToRow(): void {
  const before = left;
  left = null;
  if (before?.page !== location.hash) return;
  // After the page has put itself at its top.
  requestAnimationFrame(() => {
    document.scrollingElement?.scrollTo(0, before.at);
    document.querySelector<HTMLElement>(`.content a[href="${CSS.escape(before.row)}"]`)?.focus({ preventScroll: true });
  });
}
