/**
 * What was typed and could not be read or stored, kept until the app is closed: neither leaving a screen nor a new version loses anything of it.
 * Nobody is told that a draft is saved.
 */
import { signal } from '@preact/signals';

const KEY = 'wattwalk-drafts';

interface Kept {
  /** Email of the person who typed them; null while that is not known. */
  of: string | null;
  drafts: Record<string, string>;
}

function readKept(): Kept {
  try {
    const kept = JSON.parse(sessionStorage.getItem(KEY) ?? '{}') as Kept | Record<string, string>;
    // The version before kept the drafts without a name.
    return typeof kept['drafts'] === 'object' ? (kept as Kept) : { of: null, drafts: kept as Record<string, string> };
  } catch {
    // A browser that keeps nothing for a tab still has the drafts of this page.
    return { of: null, drafts: {} };
  }
}

const kept = readKept();
const drafts = new Map(Object.entries(kept.drafts));
let owner = kept.of;
/** Changes with the drafts, for whoever draws by them. */
const turn = signal(0);

/** Say who is signed in: a browser may bring a tab back with drafts of somebody who has left meanwhile. */
export function ownDrafts(email: string | null): void {
  if (owner !== null && owner === email) return;
  if (owner !== null || email === null) drafts.clear();
  owner = email;
  keepAll();
}

export const draftOf = (path: string): string | undefined => drafts.get(path);

/** Whether something typed into a field is not stored, in a row of it as well. Who draws by it is drawn again when that changes. */
export const hasDraft = (field: string): boolean =>
  turn.value >= 0 && [...drafts.keys()].some((path) => path === field || path.startsWith(`${field}/`));

export function keepDraft(path: string, text: string | null): void {
  if (text === null) {
    if (!drafts.delete(path)) return;
  } else drafts.set(path, text);
  keepAll();
}

function keepAll(): void {
  turn.value = turn.peek() + 1;
  try {
    // A field that is left while its page is being shut keeps its text once more, and by then it is nobody's.
    if (owner === null) sessionStorage.removeItem(KEY);
    else sessionStorage.setItem(KEY, JSON.stringify({ of: owner, drafts: Object.fromEntries(drafts) } satisfies Kept));
  } catch {
    // Kept by this page alone then, which is what most of them need.
  }
}
