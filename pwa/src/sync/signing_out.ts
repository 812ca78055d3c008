/** Whether somebody is signing out at this moment. */
import { signal } from '@preact/signals';

/** True from a sign-out on until this page has come up anew: nothing is shown in between. */
export const isSigningOut = signal(false);
