/**
 * What was typed and could not be read, kept while the app is open: leaving a screen loses nothing of it.
 * Nobody is told that a draft is saved.
 */
const drafts = new Map<string, string>();

export const draftOf = (path: string): string | undefined => drafts.get(path);

export function keepDraft(path: string, text: string | null): void {
  if (text === null) drafts.delete(path);
  else drafts.set(path, text);
}
