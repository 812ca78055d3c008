/** The words for what is where. Never 'saved' alone: saved on this phone, or at the office. */
import { grouped, MONTHS } from './check.ts';

/** `1 change`, `1,200 changes`. */
export function counted(count: number, one: string): string {
  return count === 1 ? `1 ${one}` : `${inThousands(count)} ${one}s`;
}

/** `1,200`: a count by itself. The browser's own writing of numbers costs a slow phone a tenth of a second for the first of them. */
export const inThousands = (count: number): string => grouped(String(count));

/** `12 changes and 3 photos waiting`, or '' when nothing waits. */
export function waitingWords(changes: number, photos: number): string {
  const parts: string[] = [];
  if (changes > 0) parts.push(counted(changes, 'change'));
  if (photos > 0) parts.push(counted(photos, 'photo'));
  return parts.length > 0 ? `${parts.join(' and ')} waiting` : '';
}

/** `2 changes waiting, 1 refused answer`: what is on this phone only. */
export function heldWords({ changes, photos, refused }: { changes: number; photos: number; refused: number }): string {
  return [waitingWords(changes, photos), refused > 0 ? counted(refused, 'refused answer') : '']
    .filter(Boolean)
    .join(', ');
}

/** What is locked here for people who are not signed in: how much, and nothing else of it. Empty when there is none. */
export function lockedWords(
  held: { changes: number; photos: number; refused: number } | undefined,
  isSignedIn: boolean,
): string {
  if (!held) return '';
  const parts = [
    held.changes > 0 ? counted(held.changes, 'change') : '',
    held.photos > 0 ? counted(held.photos, 'photo') : '',
    held.refused > 0 ? counted(held.refused, 'refused answer') : '',
  ].filter(Boolean);
  if (parts.length === 0) return '';
  const all = parts.length > 1 ? `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}` : parts[0]!;
  const isOne = held.changes + held.photos + held.refused === 1;
  const [wait, come, them] = isOne ? ['waits', 'It comes', 'it'] : ['wait', 'They come', 'them'];
  return `${all}${isSignedIn ? ' of somebody else' : ''} ${wait} on this phone, locked. ${come} back when whoever made ${them} signs in here again.`;
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
const NO_ANSWER = 'No answer from the office';
const OFFICE_BUSY = 'The office is busy';

/** Why nothing came, in a few words: an office that is busy has answered that much. */
export const silenceBriefly = (silence: { isBusy?: boolean }): string => (silence.isBusy ? OFFICE_BUSY : NO_ANSWER);

/** The same while nothing waits: nothing is the worse for it, so it is no alarm. */
export const silenceAtRest = (silence: { isBusy?: boolean }): string =>
  `Nothing waiting · ${silence.isBusy ? 'office busy' : 'office out of reach'}`;

/** Why nothing came of what is asked for again without anybody's doing, as a sentence. */
export const silenceWords = (silence: { why: string; isBusy?: boolean }): string =>
  silence.isBusy ? `${OFFICE_BUSY}. It is asked again by itself.` : `${NO_ANSWER}: ${silence.why}.`;

/** Why nothing came of what a person did, as a sentence: nobody does it again but they. */
export const notTakenWords = (silence: { why: string; isBusy?: boolean }): string =>
  silence.isBusy ? `${OFFICE_BUSY}. Try again in a moment.` : silenceWords(silence);
