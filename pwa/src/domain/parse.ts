/**
 * Reading what a thumb or a voice typed: every unambiguous form is taken, anything else is answered in words.
 */

import { asWritten } from './spoken.ts';

export type Read<T> = { ok: true; value: T } | { ok: false; why: string };

const ok = <T>(value: T): Read<T> => ({ ok: true, value });
const no = (why: string): Read<never> => ({ ok: false, why });

/** Units that a length, an area or a power can be typed in, as a share of the first of each family. */
const FAMILIES: Record<string, number>[] = [
  { m: 1, mm: 0.001, cm: 0.01, km: 1000, ft: 0.3048, in: 0.0254 },
  { W: 1, kW: 1000 },
  { 'm²': 1 },
  { 'mm²': 1 },
  { l: 1 },
];

const SPELLINGS: Record<string, string> = {
  metre: 'm',
  metres: 'm',
  meter: 'm',
  meters: 'm',
  millimetre: 'mm',
  millimetres: 'mm',
  millimeters: 'mm',
  centimetre: 'cm',
  centimetres: 'cm',
  centimeters: 'cm',
  "'": 'ft',
  foot: 'ft',
  feet: 'ft',
  '"': 'in',
  inch: 'in',
  inches: 'in',
  w: 'W',
  watt: 'W',
  watts: 'W',
  kw: 'kW',
  kilowatt: 'kW',
  kilowatts: 'kW',
  m2: 'm²',
  sqm: 'm²',
  mm2: 'mm²',
  litre: 'l',
  litres: 'l',
  liter: 'l',
  liters: 'l',
  c: '°C',
  '°c': '°C',
  degrees: '°C',
  k: 'K',
  a: 'A',
  amps: 'A',
  amp: 'A',
  kwh: 'kWh',
  h: 'h',
  bar: 'bar',
  kg: 'kg',
};

const NUMBER = String.raw`[-−+]?(?:\d+(?:[.,]\d*)?|[.,]\d+)`;
const ONE = new RegExp(`^(${NUMBER})\\s*(.*)$`);
/** Feet, inches or both: `13'9`, `13 ft 9 in`, `9 1/2"`. What follows the inches must be no unit of its own, or it is the next size. */
const FEET = String.raw`(?:'|ft\b|feet\b|foot\b)`;
const INCHES = String.raw`(\d+(?:\.\d+)?)(?:\s+(\d{1,2})/(\d{1,2}))?\s*("|in\b|inch\b|inches\b)?`;
const IMPERIAL = new RegExp(
  String.raw`^(?:(\d+(?:\.\d+)?)\s*${FEET}(?:\s*(?:and\s+)?${INCHES}(?!\d|\s*(?:${FEET}|m\b|mm\b|cm\b|[.,/]\d)))?|(\d+(?:\.\d+)?)(?:\s+(\d{1,2})/(\d{1,2}))?\s*(?:"|in\b|inch\b|inches\b))`,
  'i',
);
const APART = /^\s*(?:[x×*;]|,(?=\s|$)|by\b|times\b)?\s*/i;

interface Typed {
  value: number;
  unit: string;
}

function spelled(unit: string): string {
  const plain = unit.trim().replace(/\.$/, '');
  return SPELLINGS[plain.toLowerCase()] ?? plain;
}

const share = (above: string | undefined, below: string | undefined): number =>
  above && below ? Number(above) / Number(below) : 0;

/** Feet and inches at the beginning of a text; null where there are none, or more inches than a foot has. */
function readImperial(text: string): { typed: Typed; rest: string } | null {
  const found = IMPERIAL.exec(text);
  if (!found) return null;
  const [all, feet, inches, above, below, , alone, aloneAbove, aloneBelow] = found;
  const more = Number(inches ?? alone ?? 0) + share(above ?? aloneAbove, below ?? aloneBelow);
  if (!Number.isFinite(more) || (feet !== undefined && more >= 12)) return null;
  return {
    typed: feet === undefined ? { value: more, unit: 'in' } : { value: Number(feet) + more / 12, unit: 'ft' },
    rest: text.slice(all.length),
  };
}

function readOne(text: string): Read<Typed> {
  const written = asWritten(text);
  const imperial = readImperial(written);
  if (imperial && imperial.rest.trim() === '') return ok(imperial.typed);
  const found = ONE.exec(written);
  if (!found) return no(`'${text.trim()}' is not a number.`);
  const digits = found[1]!;
  if (/^[-−+]?\d{1,3},\d{3}$/.test(digits)) {
    return no(
      `'${digits}' could mean ${digits.replace(',', '')} or ${digits.replace(',', '.')}: type it without the comma.`,
    );
  }
  const value = Number(digits.replace('−', '-').replace(',', '.'));
  if (!Number.isFinite(value)) return no(`'${text.trim()}' is not a number.`);
  return ok({ value, unit: spelled(found[2]!) });
}

/** Take a line of lengths apart, each as it was written: what stands between them is `x`, `by`, a comma before a gap, or a gap. */
function apart(text: string): string[] {
  const parts: string[] = [];
  let rest = asWritten(text).replace(APART, '');
  while (rest !== '') {
    const imperial = readImperial(rest);
    const end = imperial
      ? rest.length - imperial.rest.length
      : // A number with its unit, or whatever else stands before the next gap: that is refused by name.
        (new RegExp(
          `^(?:${NUMBER}\\s*(?:mm|cm|m|metres?|meters?|millimet\\w+|centimet\\w+)?(?![a-wyz\\d²])|\\S+)`,
          'i',
        ).exec(rest)?.[0].length ?? rest.length);
    parts.push(rest.slice(0, end).trim());
    rest = rest.slice(end).replace(APART, '');
  }
  return parts;
}

/** Turn a typed number into the field's unit, without the dust of binary fractions. */
function inUnit(typed: Typed, unit: string): Read<number> {
  if (!typed.unit || typed.unit === unit || typed.unit.toLowerCase() === unit.toLowerCase()) return ok(typed.value);
  const family = FAMILIES.find((item) => unit in item);
  const factor = family?.[typed.unit];
  if (!family || factor === undefined)
    return no(unit ? `Expected ${unit}, found '${typed.unit}'.` : `Expected a number alone, found '${typed.unit}'.`);
  const value = Number(((typed.value * factor) / family[unit]!).toPrecision(12));
  // A rule in inches is read to the sixteenth, which is more than a millimetre.
  const isImperial = typed.unit === 'ft' || typed.unit === 'in';
  return ok(isImperial && unit === 'm' ? Math.round(value * 1000) / 1000 : isImperial ? Math.round(value) : value);
}

/** Between what a value of a field may lie. */
export interface Limits {
  low?: number | undefined;
  high?: number | undefined;
}

/** A bare number that only fits as the other unit of length: `4200` where up to 60 m can be, `0.62` where at least 100 mm must be. */
function meantUnit(value: number, unit: string, { low = -Infinity, high = Infinity }: Limits): string {
  const fits = (factor: number): boolean => value * factor >= low && value * factor <= high;
  if (unit === 'm' && high <= 60 && value > high && fits(0.001)) return 'mm';
  if (unit === 'mm' && low >= 100 && value < low && fits(1000)) return 'm';
  return unit;
}

/** Read one number: `2,4`, `2.4 m`, `2400 mm` and, where no more than 60 m can be, `2400` are all 2.4 for a field in metres; `7'10` is 2.388. */
export function readNumber(text: string, unit: string, limits: Limits = {}): Read<number> {
  const typed = readOne(text);
  if (!typed.ok) return typed;
  const { value } = typed;
  return inUnit(value.unit === '' ? { ...value, unit: meantUnit(value.value, unit, limits) } : value, unit);
}

export function readInteger(text: string, unit: string, limits: Limits = {}): Read<number> {
  const number = readNumber(text, unit, limits);
  if (number.ok && !Number.isInteger(number.value)) return no(`Expected a whole number, found ${text.trim()}.`);
  return number;
}

/**
 * Read several sizes in one line: `4.2 x 3.6 x 2.4`, `4.2 3.6 2.4`, `4200 × 3600 × 2400 mm`, `4,2 by 3,6 by 2,4`, `13'9 x 12'`.
 *
 * A unit after the last number goes for all that have none. Bare numbers that are all 100 or more are millimetres where
 * metres are asked for: no room is a hundred metres high. The other way round, all below 20 are metres for a field in mm.
 */
export function readSizes(text: string, count: number, unit: 'm' | 'mm'): Read<number[]> {
  const read = readUpTo(text, count, unit);
  return read.ok && read.value.length !== count
    ? no(`Expected ${SHAPES[count - 1]!}; found ${read.value.length}.`)
    : read;
}

const SHAPES = ['one size, such as 3.1', 'two sizes, such as 1.2 x 1.05', 'three sizes, such as 4.2 x 3.6 x 2.4'];

/** Read the first of several sizes, or all: a laser measure that types like a keyboard sends them one by one. With `least`, of distances, which may be nothing. */
export function readUpTo(text: string, count: number, unit: 'm' | 'mm', least?: number): Read<number[]> {
  const parts = apart(text);
  if (parts.length > count || parts.length === 0) return no(`Expected ${SHAPES[count - 1]!}; found ${parts.length}.`);
  const typed: Typed[] = [];
  for (const part of parts) {
    const one = readOne(part);
    if (!one.ok) return one;
    typed.push(one.value);
  }
  const lastUnit = typed.at(-1)!.unit;
  const bare = typed.every((item) => item.unit === '');
  let assumed = lastUnit;
  if (bare && unit === 'm' && typed.every((item) => item.value >= 100)) assumed = 'mm';
  if (bare && unit === 'mm' && typed.every((item) => item.value < 20)) assumed = 'm';
  const values: number[] = [];
  for (const item of typed) {
    // 'four point two by three point six by 2400 mm': a bare number that would be a few millimetres was said in metres.
    const isTooSmall = item.unit === '' && assumed === 'mm' && item.value < 20;
    const value = inUnit({ value: item.value, unit: item.unit || (isTooSmall ? 'm' : assumed) }, unit);
    if (!value.ok) return value;
    if (least === undefined ? value.value <= 0 : value.value < least)
      return no(least === undefined ? 'A size must be more than nothing.' : 'Expected a distance without a sign.');
    values.push(value.value);
  }
  return ok(values);
}

/**
 * What Enter makes of a line in which sizes are still to come: the line with its next gap, or null when it is to be read as it stands.
 * So a laser measure that sends a number and Enter fills length, width and height in turn.
 *
 * @param isLastKnown the last size may be left out: by an Enter in its gap, or by typing the others at once
 */
export function nextTurn(text: string, count: number, unit: 'm' | 'mm', isLastKnown: boolean): string | null {
  if (/×\s*$/.test(text)) return null;
  const read = readUpTo(text, count, unit);
  if (!read.ok || read.value.length === count) return null;
  if (isLastKnown && read.value.length === count - 1 && !text.includes('×')) return null;
  return `${text.trim()} × `;
}

/** Read an area said in place of sizes: `7.2 m2`, or a bare number where one size alone would say nothing. */
export function readArea(text: string, isBareTaken: boolean): Read<number> {
  const typed = readOne(text);
  if (!typed.ok || typed.value.unit === 'm²' || (isBareTaken && typed.value.unit === ''))
    return typed.ok ? ok(typed.value.value) : typed;
  return no(`'${text.trim()}' is no area.`);
}

/** Read a count of alike windows before their size: `2 x 1.2 x 1.05` is two of them; without a count it is one. */
export function readCount(text: string): { count: number; rest: string } {
  const found = /^\s*(\d{1,2})\s*(?:[x×*]|of\b)\s*(.*)$/i.exec(text);
  // Only where a whole size is left is the first number a count.
  const isCounted =
    found !== null && Number(found[1]) >= 1 && Number(found[1]) <= 50 && readSizes(found[2]!, 2, 'm').ok;
  return isCounted ? { count: Number(found[1]), rest: found[2]! } : { count: 1, rest: text };
}

/** Read an amount in pounds into the decimal text that is stored: `£1 250`, `149.5`, `149,50`. */
export function readMoney(text: string): Read<string> {
  const plain = text
    .trim()
    .replace(/^£\s*/, '')
    .replace(/\s+/g, '')
    .replace(
      /^(\d{1,3})((?:,\d{3})+)(\.\d{1,2})?$/,
      (_all, head: string, groups: string, pence?: string) => head + groups.replaceAll(',', '') + (pence ?? ''),
    );
  const found = /^(-?\d{1,9})(?:[.,](\d{1,2}))?$/.exec(plain);
  if (!found) return no(`'${text.trim()}' is not an amount in pounds, such as 149.50.`);
  return ok(`${found[1]}.${(found[2] ?? '').padEnd(2, '0')}`);
}

/** Read a day: `2026-03-31`, `31/3/2026`, `31.3.26`. Day before month, as is usual here. */
export function readDate(text: string): Read<string> {
  const plain = text.trim();
  const iso = /^(\d{4})-(\d{1,2})-(\d{1,2})$/.exec(plain);
  const day = /^(\d{1,2})[./\s-](\d{1,2})[./\s-](\d{4}|\d{2})$/.exec(plain);
  let parts: [number, number, number] | null = null;
  if (iso) parts = [Number(iso[1]), Number(iso[2]), Number(iso[3])];
  else if (day) parts = [Number(day[3]) + (day[3]!.length === 2 ? 2000 : 0), Number(day[2]), Number(day[1])];
  if (!parts) return no(`'${plain}' is not a day, such as 31/3/2026.`);
  const [year, month, date] = parts;
  const made = new Date(Date.UTC(year, month - 1, date));
  if (made.getUTCMonth() !== month - 1 || made.getUTCDate() !== date || year < 1900)
    return no(`There is no day ${plain}.`);
  return ok(made.toISOString().slice(0, 10));
}

const PLACE_WORDS: [RegExp, string][] = [
  [/^b$|buried|underground|trench|in the ground/i, 'buried'],
  [/^o$|^out$|out(doors?|side)|garden/i, 'outdoors'],
  [/garage|cellar|^l$|loft|attic|unheated/i, 'unheated'],
  [/^[fv]$|under\s*(the\s*)?floor|floor|void|wall/i, 'void'],
  [/^[hc]$|heated|cupboard|room|inside|indoors|kitchen|hall|utility/i, 'heated'],
];

export interface Stretch {
  place: string;
  length_m: number;
}

/** Read a line of stretches: `outdoors 5, under floor 9, cupboard 2`, or by first letters `o 5, f 9, c 2`. */
export function readStretches(text: string): Read<Stretch[]> {
  const parts = asWritten(text)
    .split(/\s*(?:;|\n|,(?!\d)|\bthen\b)\s*/i)
    .filter((part) => part !== '');
  if (parts.length === 0) return no('Expected stretches such as outdoors 5, under floor 9, cupboard 2.');
  const stretches: Stretch[] = [];
  for (const part of parts) {
    const found = new RegExp(`^(.*?)\\s*(${NUMBER}.*)$`).exec(part);
    if (!found) return no(`'${part}' has no length.`);
    const place = PLACE_WORDS.find(([words]) => words.test(found[1]!))?.[1];
    if (!place)
      return no(
        `'${found[1] || part}' is no place known here: outdoors, buried, under floor, garage or loft, cupboard or room.`,
      );
    const length = readNumber(found[2]!, 'm');
    if (!length.ok) return length;
    if (length.value <= 0) return no(`'${part}': a length must be more than nothing.`);
    stretches.push({ place, length_m: length.value });
  }
  return ok(stretches);
}
