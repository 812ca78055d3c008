/** Whether a value may stand in a field, by the declared limits, and how a value is written for a person. */
import { choiceLabel, type Field, type Value, type Row } from './model.ts';

/**
 * Write a number with fixed places, rounded as the office and the report round: the exact value, a tie to the even digit.
 * `toLocaleString` rounds the shortest decimal instead, so that 47.65 would be 47.7 here and 47.6 on paper.
 */
export function fixedPlaces(value: number, decimals: number): string {
  const exact = Math.abs(value).toFixed(60);
  const cut = exact.indexOf('.') + 1 + decimals;
  const isTie = /^50*$/.test(exact.slice(cut));
  let written = Math.abs(value).toFixed(decimals);
  // JavaScript takes a tie upwards; where the digit above is even, it stays.
  if (isTie && /[02468]\.?$/.test(exact.slice(0, cut))) written = exact.slice(0, cut).replace(/\.$/, '');
  return value < 0 && /[1-9]/.test(written) ? `−${written}` : written;
}

export function grouped(written: string): string {
  const [whole = '', part] = written.split('.');
  const thousands = whole.replace(/\B(?=(\d{3})+$)/g, ',');
  return part === undefined ? thousands : `${thousands}.${part}`;
}

export function plainNumber(value: number, decimals = 3): string {
  const written = fixedPlaces(value, decimals);
  const short = written.includes('.') ? written.replace(/\.?0+$/, '') : written;
  return Math.abs(value) >= 10_000 ? grouped(short) : short;
}

/** Between a figure and its unit: they stay on one line. */
export const NBSP = '\u00a0';

export function withUnit(words: string, unit: string | undefined): string {
  if (!unit) return words;
  return unit === '£' ? `£${words}` : `${words}${NBSP}${unit}`;
}

const BEFORE_A_UNIT =
  /(\d) (?=(?:%|°C?|[mck]?m|m[²³]|k?g|l|k?Wh?|K|A|V|bar|k?Pa|dB(?:\(A\))?|h|s|p)(?:\/(?:m²K|mK|m[²³]?|K|kWh|h|s|min|kgK|day|year))?(?![\w²³/]))/g;

/** A sentence of the engine's in which no figure is parted from its unit at the end of a line; the twin of `held_together` of the papers. */
export const heldTogether = (words: string): string => words.replace(BEFORE_A_UNIT, `$1${NBSP}`);

export function rangeWords(field: Field): string {
  if (field.low === undefined || field.high === undefined) return '';
  if (field.unit === '£') return `£${plainNumber(field.low)} to £${plainNumber(field.high)}`;
  return withUnit(`${plainNumber(field.low)} to ${plainNumber(field.high)}`, field.unit);
}

/** Return what is wrong with a value, in words, or null. */
export function problemWith(field: Field, value: Value): string | null {
  if (value === null) return null;
  if (field.type === 'number' || field.type === 'integer') {
    if (typeof value !== 'number' || !Number.isFinite(value)) return 'Expected a number.';
    if (value < field.low! || value > field.high!) return `Expected ${rangeWords(field)}, found ${plainNumber(value)}.`;
  }
  if (field.type === 'money' && typeof value === 'string' && field.low !== undefined && field.high !== undefined) {
    const amount = Number(value);
    if (amount < field.low || amount > field.high) return `Expected ${rangeWords(field)}, found £${value}.`;
  }
  if ((field.type === 'text' || field.type === 'long_text') && typeof value === 'string') {
    const length = [...value].length;
    if (field.max_length !== undefined && length > field.max_length)
      return `At most ${field.max_length} characters fit, found ${length}.`;
    if (field.email_pattern && value !== '' && !new RegExp(`^(?:${field.email_pattern})$`, 'i').test(value))
      return 'Expected an email address, such as name@example.org.';
  }
  return null;
}

export const MONTHS = [
  'January',
  'February',
  'March',
  'April',
  'May',
  'June',
  'July',
  'August',
  'September',
  'October',
  'November',
  'December',
];

export function dayWords(day: string): string {
  const found = /^(\d{4})-(\d{2})-(\d{2})/.exec(day);
  return found ? `${Number(found[3])} ${MONTHS[Number(found[2]) - 1] ?? ''} ${found[1]}` : day;
}

/** Whether a number in a row says by its unit what it is: one of several of the same unit, or of none, does not. */
function isTelling(field: Field, said: readonly Field[]): boolean {
  if (field.type !== 'number' && field.type !== 'integer') return true;
  return Boolean(field.unit) && said.filter((item) => item.unit === field.unit).length === 1;
}

/** Write one row of a field for a person: the twin of `office/wording.py`. */
export function rowWords(field: Field, row: Row): string {
  const said = (field.rows ?? []).filter((item) => (row[item.name] ?? null) !== null && !item.by_program);
  const labelled = said.filter((item) => !isTelling(item, said));
  return said
    .map((item) => `${labelled.includes(item) ? `${item.label} ` : ''}${valueWords(item, row[item.name])}`)
    .join(labelled.length > 1 ? ', ' : ' ');
}

/** Stands for rows of which a person is told nothing. */
const NOTED = 'Noted by Wattwalk';

/** Write a field's value for a person; references are for the caller, who knows the survey. */
export function valueWords(field: Field, value: Value | undefined): string {
  if (value === undefined || value === null || value === '') return '';
  if (Array.isArray(value)) {
    const told = value.map((row) => rowWords(field, row)).filter(Boolean);
    return told.length > 0 || value.length === 0 ? told.join('; ') : NOTED;
  }
  switch (field.type) {
    case 'yes_no':
      return value ? 'Yes' : 'No';
    case 'choice':
      return choiceLabel(field, value);
    case 'number':
    case 'integer':
      return typeof value === 'number' ? withUnit(plainNumber(value, field.decimals), field.unit) : String(value);
    case 'money':
      return `£${String(value)}`;
    case 'date':
      return dayWords(String(value));
    default:
      return String(value);
  }
}
