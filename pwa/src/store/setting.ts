/** Small settings of this device, which no survey hangs on: where the browser keeps none, only the setting is lost. */

/** The survey that was open last here, by its id. */
export const LAST_SURVEY = 'wattwalk-last-survey';
/** Whether somebody has answered the offer to install. */
export const INSTALL_ANSWERED = 'wattwalk-install-answered';

export function readSetting(name: string): string | null {
  try {
    return localStorage.getItem(name);
  } catch {
    return null;
  }
}

export function keepSetting(name: string, value: string): void {
  try {
    localStorage.setItem(name, value);
  } catch {
    // Not kept for the next start, which is all that is lost.
  }
}

/** Forget a setting: of a survey, it would tell whoever comes next where somebody has been. */
export function forgetSetting(name: string): void {
  try {
    localStorage.removeItem(name);
  } catch {
    // Nothing was kept either.
  }
}
