/**
 * One writer for each survey on a phone: the tab that opened it first. Another one reads, until a person says that it shall write.
 *
 * A browser without locks has no way to know; there every tab writes, as edits of different fields do not harm each other.
 */
import { signal, type ReadonlySignal } from '@preact/signals';

/** `asked`: not known yet, which is a matter of milliseconds. */
export type Role = 'asked' | 'writer' | 'reader';

export interface Writer {
  role: ReadonlySignal<Role>;
  /** Write here, and let the other tab read. */
  takeOver: () => void;
  end: () => void;
}

const roles = new Map<string, ReadonlySignal<Role>>();

/** Whether this tab may write a survey: an edit of a survey that nobody has opened here is one of the app's own. */
export const mayWrite = (survey: string): boolean => roles.get(survey)?.peek() !== 'reader';

export function holdWriter(survey: string, locks: LockManager | undefined = globalThis.navigator?.locks): Writer {
  const role = signal<Role>(locks ? 'asked' : 'writer');
  roles.set(survey, role);
  if (!locks) return { role, takeOver: () => {}, end: () => roles.delete(survey) };
  const name = `wattwalk-survey-${survey}`;
  let release = () => {};
  let isEnded = false;
  const waitForTurn = new AbortController();

  const hold = (lock: Lock | null): Promise<void> | undefined => {
    if (isEnded) return undefined;
    if (!lock) {
      role.value = 'reader';
      // When the other tab closes, this one writes without being asked.
      void locks.request(name, { signal: waitForTurn.signal }, hold).catch(lost);
      return undefined;
    }
    role.value = 'writer';
    return new Promise((done) => (release = done));
  };
  /** The lock was taken over by another tab, or this one has stopped waiting for it. */
  const lost = () => {
    if (isEnded || waitForTurn.signal.aborted) return;
    role.value = 'reader';
    void locks.request(name, { signal: waitForTurn.signal }, hold).catch(lost);
  };
  void locks.request(name, { ifAvailable: true }, hold).catch(lost);
  return {
    role,
    takeOver: () => {
      void locks.request(name, { steal: true }, hold).catch(lost);
    },
    end: () => {
      isEnded = true;
      waitForTurn.abort();
      release();
      if (roles.get(survey) === role) roles.delete(survey);
    },
  };
}
