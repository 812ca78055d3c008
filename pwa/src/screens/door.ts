/** When somebody leaves, in this tab or another one, no page goes on with what it has in memory: it comes up anew, and empty. */
import { ownDrafts } from '../forms/drafts.ts';
import { forgetSetting, LAST_SURVEY } from '../store/setting.ts';
import { waits } from '../sync/loop.ts';
import { isSigningOut } from '../sync/signing_out.ts';
import { START } from '../ui/addresses.ts';

/** Leave this page and everything that it holds. */
export function shutPage(): void {
  ownDrafts(null);
  location.replace(START);
}

/** Watch who is signed in for as long as the page lives. */
export function watchDoor(): void {
  let whose: string | null = null;
  waits.subscribe((now) => {
    if (!now) return;
    const present = now.session?.user.email ?? null;
    ownDrafts(present);
    // At a start with nobody signed in too: a phone that was killed right after a sign-out may have brought it back.
    if (present === null || (whose !== null && present !== whose)) forgetSetting(LAST_SURVEY);
    // The tab in which somebody signs out tells the office first.
    if (whose !== null && present !== whose && !isSigningOut.peek()) shutPage();
    whose ??= present;
  });
  // A page that the browser had put aside has heard nothing in the meantime.
  addEventListener('pageshow', (event) => {
    if (event.persisted) location.reload();
  });
}
