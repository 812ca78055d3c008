/**
 * What was typed and could not be read or stored, kept until the app is closed: neither leaving a screen nor a new version loses anything of it.
 * Nobody is told that a draft is saved.
 */
const KEY = 'wattwalk-drafts';

function readKept(): Map<string, string> {
  try {
    return new Map(Object.entries(JSON.parse(sessionStorage.getItem(KEY) ?? '{}') as Record<string, string>));
  } catch {
    // A browser that keeps nothing for a tab still has the drafts of this page.
    return new Map();
  }
}

const drafts = readKept();

export const draftOf = (path: string): string | undefined => drafts.get(path);

export function keepDraft(path: string, text: string | null): void {
  if (text === null) {
    if (!drafts.delete(path)) return;
  } else drafts.set(path, text);
  keepAll();
}

/** Nothing of one person's is shown to the next who signs in. */
export function forgetDrafts(): void {
  drafts.clear();
  keepAll();
}

function keepAll(): void {
  try {
    sessionStorage.setItem(KEY, JSON.stringify(Object.fromEntries(drafts)));
  } catch {
    // Kept by this page alone then, which is what most of them need.
  }
}
