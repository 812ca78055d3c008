/** Between what is stored and what is typed. */
import { plainNumber, problemWith } from '../domain/check.ts';
import type { Field as FieldSpec, Value } from '../domain/model.ts';
import { readDate, readInteger, readMoney, readNumber, type Read } from '../domain/parse.ts';

/** Write a stored value the way it is typed. */
export function asTyped(value: Value | undefined): string {
  if (value === undefined || value === null) return '';
  return typeof value === 'number' ? plainNumber(value, 6).replaceAll(',', '').replace('−', '-') : String(value);
}

/** Read what was typed into a field; an empty text clears it. */
export function readTyped(field: FieldSpec, text: string): Read<Value> {
  if (text.trim() === '') return { ok: true, value: null };
  let read: Read<Value>;
  switch (field.type) {
    case 'number':
      read = readNumber(text, field.unit ?? '', field);
      break;
    case 'integer':
      read = readInteger(text, field.unit ?? '', field);
      break;
    case 'money':
      read = readMoney(text);
      break;
    case 'date':
      read = readDate(text);
      break;
    case 'text':
      read = { ok: true, value: text.trim().replace(/\s*\n\s*/g, ' ') };
      break;
    default:
      read = { ok: true, value: text };
  }
  if (!read.ok) return read;
  const problem = problemWith(field, read.value);
  return problem ? { ok: false, why: problem } : read;
}

/** How what was typed is understood, in the field's own unit, where that is not what stands there: `= 4.191 × 3.81 m`. */
export function understood(text: string, values: readonly number[], unit: string): string | null {
  const typed = [...text.matchAll(/\d+(?:[.,]\d+)?|[.,]\d+/g)].map(([number]) => Number(number.replace(',', '.')));
  return values.length === 0 ||
    (typed.length === values.length && values.every((value, place) => Math.abs(value) === typed[place]))
    ? null
    : `= ${values.map((value) => plainNumber(value, 3)).join(' × ')}${unit && ` ${unit}`}`;
}
