/** The history of a survey as the office's log tells it: what to ask, and what can be put back. */
import type { ContestedField } from './contested.ts';
import { dayWords } from './check.ts';
import { model, type Value } from './model.ts';
import type { Edit, Survey } from './survey.ts';
import { momentWords } from './words.ts';

/** A value with who gave it, when and on which device. */
export interface Said {
  value: Value;
  words: string;
  revision: number;
  user: string | null;
  device: string;
  made_at: string;
}
export interface HistoryLine extends Said {
  id: string;
  kind: string;
  record: string;
  field: string;
  title: string;
  label: string;
  received_at: string;
  contested: boolean;
  /** The last one before it of the same answer; null for the first. */
  before: Said | null;
}
export interface History {
  revision: number;
  found: number;
  next: number | null;
  changes: HistoryLine[];
  people: { id: string; name: string; changes: number }[];
  places: { kind: string; record: string; title: string; gone: boolean; changes: number }[];
}

/** What was changed of the firm's settings, in words; `stands` where what it was before holds today. */
export interface SettingsHistory {
  found: number;
  next: string | null;
  changes: {
    id: string;
    field: string;
    label: string;
    words: string;
    before: string;
    user: string | null;
    made_at: string;
    stands: boolean;
  }[];
}

/** What somebody wants to know; what is empty asks nothing. `day` is one of this device's calendar. */
export interface HistoryAsked {
  record: string;
  field: string;
  person: string;
  day: string;
  words: string;
}

const inUtc = (moment: Date): string => moment.toISOString().replace(/\.\d+Z$/, 'Z');

/** The question as the office takes it: a day goes from midnight to midnight of this device. */
export function historyQuery({ day, ...asked }: HistoryAsked): URLSearchParams {
  const query = new URLSearchParams();
  for (const [name, value] of Object.entries(asked)) if (value) query.set(name, value);
  const start = new Date(`${day}T00:00:00`);
  if (day && !Number.isNaN(start.getTime())) {
    query.set('since', inUtc(start));
    const end = new Date(start);
    // By the calendar, since the day on which the clocks change is no 24 hours.
    end.setDate(end.getDate() + 1);
    query.set('until', inUtc(end));
  }
  return query;
}

/** When something was said, with the year where that is not this one. */
export function whenWords(text: string, now: number = Date.now()): string {
  const at = new Date(text);
  if (Number.isNaN(at.getTime())) return '';
  const isThisYear = at.getFullYear() === new Date(now).getFullYear();
  return isThisYear ? momentWords(at.getTime(), now) : dayWords(text);
}

/** Whether two moments fall on one day of this device's calendar. */
export const isSameDay = (one: string, other: string): boolean =>
  new Date(one).toDateString() === new Date(other).toDateString();

/** What was answered, by its record: a note's name is a sentence, whose stop would stand before the colon. */
export const whatWords = ({ title, label }: Pick<HistoryLine, 'title' | 'label'>): string =>
  `${title.replace(/\.$/, '')}: ${label}`;

export type WayBack =
  | { way: 'edit'; edit: Edit }
  /** The record comes back with all that went along. */
  | { way: 'record' }
  /** What it was before stands already. */
  | { way: 'stands' }
  /** Nothing to put back, or not yet; in words where that needs saying. */
  | { way: 'none'; why: string };

/** How what a change took the place of is put back: an ordinary change of the same answer, by what stands on this device now. */
export function wayBack(survey: Survey, line: HistoryLine, contested: readonly ContestedField[]): WayBack {
  const record = survey.find(line.kind, line.record);
  if (line.field === 'deleted')
    return line.value === true ? { way: record ? 'stands' : 'record' } : { way: 'none', why: '' };
  if (!record) return { way: 'none', why: 'It was taken away.' };
  const field = model.kinds[line.kind]?.fields.find((item) => item.name === line.field);
  if (!field) return { way: 'none', why: '' };
  if (
    contested.some(
      (item) => item.kind === line.kind && item.record === line.record && [line.field, 'deleted'].includes(item.field),
    )
  )
    return { way: 'none', why: 'Answered twice: pick what stands under What came.' };
  const value = line.before?.value ?? null;
  // A photo without its hash would be one without its picture.
  if (field.by_program && value === null) return { way: 'none', why: 'The app wrote it.' };
  if (JSON.stringify(record.values[line.field] ?? null) === JSON.stringify(value)) return { way: 'stands' };
  if (field.type === 'reference' && value !== null && !(field.refers_to ?? []).some((kind) => survey.find(kind, value)))
    return { way: 'none', why: 'What it named was taken away.' };
  return { way: 'edit', edit: { kind: line.kind, id: line.record, values: { [line.field]: value } } };
}
