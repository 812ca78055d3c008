/** The words for what is where. Never 'saved' alone: saved on this phone, or at the office. */

function counted(count: number, one: string): string {
  return count === 1 ? `1 ${one}` : `${count.toLocaleString('en-GB')} ${one}s`;
}

/** `12 changes and 3 photos waiting`, or '' when nothing waits. */
export function waitingWords(changes: number, photos: number): string {
  const parts: string[] = [];
  if (changes > 0) parts.push(counted(changes, 'change'));
  if (photos > 0) parts.push(counted(photos, 'photo'));
  return parts.length > 0 ? `${parts.join(' and ')} waiting` : '';
}

/** `14:32` for today, `31 March 14:32` for another day. */
export function momentWords(moment: number, now: number = Date.now()): string {
  const at = new Date(moment);
  const time = at.toLocaleTimeString('en-GB', { hour: '2-digit', minute: '2-digit' });
  if (at.toDateString() === new Date(now).toDateString()) return time;
  return `${at.toLocaleDateString('en-GB', { day: 'numeric', month: 'long' })} ${time}`;
}

export function atTheOffice(moment: number, now?: number): string {
  return `At the office ${momentWords(moment, now)}`;
}

export const SAVED_HERE = 'Saved on this phone';
export const NO_ANSWER = 'No answer from the office';
