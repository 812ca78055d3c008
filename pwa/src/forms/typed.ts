/** Between what is stored and what is typed. */
import { plainNumber, problemWith } from '../domain/check.ts';
import { fieldOf, type Field as FieldSpec, type Value, type Values } from '../domain/model.ts';
import { readDate, readInteger, readMoney, readNumber, readUpTo, type Read } from '../domain/parse.ts';

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

/** Read what was typed into a field of a kind: several sizes of one thing, typed in one go, are the answers of the fields after it too, unless it stands alone. */
export function readInto(kind: string, field: FieldSpec, text: string, isAlone = false): Read<Values> {
  const one = readTyped(field, text);
  if (one.ok) return { ok: true, value: { [field.name]: one.value } };
  const fields = [field, ...(field.fills ?? []).map((name) => fieldOf(kind, name))];
  if (isAlone || fields.length === 1 || (field.unit !== 'm' && field.unit !== 'mm')) return one;
  const read = readUpTo(text, fields.length, field.unit);
  if (!read.ok || read.value.length < 2) return one;
  const values: Values = {};
  for (const [place, size] of read.value.entries()) {
    const spec = fields[place]!;
    const problem = problemWith(spec, size);
    if (problem) return { ok: false, why: `${spec.label}: ${problem}` };
    values[spec.name] = size;
  }
  return { ok: true, value: values };
}

/** How what was typed is understood, in the field's own unit, where that is not what stands there: `= 4.191 × 3.81 m`. */
export function understood(text: string, values: readonly number[], unit: string): string | null {
  const typed = [...text.matchAll(/\d+(?:[.,]\d+)?|[.,]\d+/g)].map(([number]) => Number(number.replace(',', '.')));
  return values.length === 0 ||
    (typed.length === values.length && values.every((value, place) => Math.abs(value) === typed[place]))
    ? null
    : `= ${values.map((value) => plainNumber(value, 3)).join(' × ')}${unit && ` ${unit}`}`;
}
