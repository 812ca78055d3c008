/** Whether a value may stand in a field, by the declared limits, and how a value is written for a person. */
import { choiceLabel, type Field, type Value } from './model.ts';

export function plainNumber(value: number, decimals?: number): string {
  const places = decimals ?? 3;
  return value
    .toLocaleString('en-GB', { maximumFractionDigits: places, useGrouping: Math.abs(value) >= 10_000 })
    .replace('-', '−');
}

export function withUnit(words: string, unit: string | undefined): string {
  if (!unit) return words;
  return unit === '£' ? `£${words}` : `${words} ${unit}`;
}

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
    if (field.max_length !== undefined && length > field.max_length) return `At most ${field.max_length} characters fit, found ${length}.`;
  }
  return null;
}

const MONTHS = ['January', 'February', 'March', 'April', 'May', 'June', 'July', 'August', 'September', 'October', 'November', 'December'];

export function dayWords(day: string): string {
  const found = /^(\d{4})-(\d{2})-(\d{2})/.exec(day);
  return found ? `${Number(found[3])} ${MONTHS[Number(found[2]) - 1] ?? ''} ${found[1]}` : day;
}

/** Write a field's value for a person; references are for the caller, who knows the survey. */
export function valueWords(field: Field, value: Value | undefined): string {
  if (value === undefined || value === null || value === '') return '';
  if (Array.isArray(value)) {
    return value
      .map((row) => (field.rows ?? []).filter((item) => (row[item.name] ?? null) !== null).map((item) => valueWords(item, row[item.name])).join(' '))
      .join(', ');
  }
  switch (field.type) {
    case 'yes_no': return value ? 'Yes' : 'No';
    case 'choice': return choiceLabel(field, value);
    case 'number':
    case 'integer': return typeof value === 'number' ? withUnit(plainNumber(value, field.decimals), field.unit) : String(value);
    case 'money': return `£${String(value)}`;
    case 'date': return dayWords(String(value));
    default: return String(value);
  }
}
