/** Where one came from: the lists of what is open, and the record whose screen led on. The arrow leads back there, in a list to the row one left. */
import { recordLink, route, surveyLink } from './router.ts';

const LISTS: Record<string, { path: string[]; words: string }> = {
  leaving: { path: ['stage', 'leaving'], words: 'before you leave' },
  results: { path: ['results'], words: 'results' },
};

/** An address that remembers from which list it was followed. */
export const fromList = (target: string, list: keyof typeof LISTS): string =>
  `${target}${target.includes('?') ? '&' : '?'}from=${encodeURIComponent(list)}`;

/** An address that remembers the record from whose screen it was followed. */
export const fromRecord = (target: string, { kind, id }: { kind: string; id: string }): string =>
  fromList(target, `${kind}/${id}`);

/** The list or record that the present page was reached from, as the arrow names it; null when it was reached otherwise. */
export function listBehind(): { back: string; words: string } | null {
  const { path, query } = route.value;
  const from = query.get('from') ?? '';
  if (path[0] !== 'survey' || !path[1]) return null;
  const [kind, id] = from.split('/');
  if (kind && id) return { back: recordLink(path[1], kind, id), words: 'where you came from' };
  const list = LISTS[from];
  return list ? { back: surveyLink(path[1], ...list.path), words: list.words } : null;
}

/** Which of the links to the same record was followed, and how far below the top of the screen it stood. */
let left: { page: string; row: string; place: number; at: number; top: number } | null = null;

const linksTo = (row: string): HTMLElement[] => [
  ...document.querySelectorAll<HTMLElement>(`.content a[href="${CSS.escape(row)}"]`),
];

/** Remember the row that is being followed, and where on the screen it stood. */
export function leaveRow(event: Event): void {
  const link = (event.target as Element | null)?.closest('a');
  const row = link?.getAttribute('href');
  if (!link || !row) return;
  const at = document.scrollingElement?.scrollTop ?? 0;
  left = { page: location.hash, row, place: linksTo(row).indexOf(link), at, top: link.getBoundingClientRect().top };
}

/** Whether the present page was left by one of its rows, and stands again where it was left. */
export const isReturning = (): boolean => left?.page === location.hash;

/** Stand again where the list was left; the row keeps the focus if it is still there. */
export function returnToRow(): void {
  const before = isReturning() ? left : null;
  left = null;
  if (!before) return;
  // After the page has put itself at its top.
  requestAnimationFrame(() => {
    document.scrollingElement?.scrollTo(0, before.at);
    const links = linksTo(before.row);
    const row = links[before.place] ?? links[0];
    if (!row) return;
    row.focus({ preventScroll: true });
    // What was never drawn above it is only taken to be so high.
    document.scrollingElement?.scrollBy(0, row.getBoundingClientRect().top - before.top);
  });
}
