/** The words for what is where. Never 'saved' alone: saved on this phone, or at the office. */
import { grouped, MONTHS } from './check.ts';

/** `1 change`, `1,200 changes`. */
export function counted(count: number, one: string): string {
  return count === 1 ? `1 ${one}` : `${grouped(String(count))} ${one}s`;
}

/** `12 changes and 3 photos waiting`, or '' when nothing waits. */
export function waitingWords(changes: number, photos: number): string {
  const parts: string[] = [];
  if (changes > 0) parts.push(counted(changes, 'change'));
  if (photos > 0) parts.push(counted(photos, 'photo'));
  return parts.length > 0 ? `${parts.join(' and ')} waiting` : '';
}

/**
 * `14:32` for today, `31 March 14:32` for another day; in the phone's own time zone.
 * Written by hand: the browser's first formatter has to load its tables, and that in the middle of a cold start.
 */
export function momentWords(moment: number, now: number = Date.now()): string {
  const at = new Date(moment);
  const two = (value: number) => String(value).padStart(2, '0');
  const time = `${two(at.getHours())}:${two(at.getMinutes())}`;
  if (at.toDateString() === new Date(now).toDateString()) return time;
  return `${at.getDate()} ${MONTHS[at.getMonth()]} ${time}`;
}

export function atTheOffice(moment: number, now?: number): string {
  return `At the office ${momentWords(moment, now)}`;
}

export const SAVED_HERE = 'Saved on this phone';
export const NO_ANSWER = 'No answer from the office';
export const OFFICE_BUSY = 'The office is busy';

/** Why nothing came, in a few words: an office that is busy has answered that much. */
export const silenceBriefly = (silence: { isBusy?: boolean }): string => (silence.isBusy ? OFFICE_BUSY : NO_ANSWER);

/** Why nothing came, as a sentence. */
export const silenceWords = (silence: { why: string; isBusy?: boolean }): string => (silence.isBusy ? `${OFFICE_BUSY}. It is asked again by itself.` : `${NO_ANSWER}: ${silence.why}.`);
