/**
 * Reading what a thumb or a voice typed: every unambiguous form is taken, anything else is answered in words.
 */

export type Read<T> = { ok: true; value: T } | { ok: false; why: string };

const ok = <T>(value: T): Read<T> => ({ ok: true, value });
const no = (why: string): Read<never> => ({ ok: false, why });

/** Units that a length, an area or a power can be typed in, as a share of the first of each family. */
const FAMILIES: Record<string, number>[] = [
  { m: 1, mm: 0.001, cm: 0.01, km: 1000 },
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

interface Typed {
  value: number;
  unit: string;
}

function spelled(unit: string): string {
  const plain = unit.trim().replace(/\.$/, '');
  return SPELLINGS[plain.toLowerCase()] ?? plain;
}

function readOne(text: string): Read<Typed> {
  const found = ONE.exec(text.trim());
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

/** Turn a typed number into the field's unit, without the dust of binary fractions. */
function inUnit(typed: Typed, unit: string): Read<number> {
  if (!typed.unit || typed.unit === unit || typed.unit.toLowerCase() === unit.toLowerCase()) return ok(typed.value);
  const family = FAMILIES.find((item) => unit in item);
  const factor = family?.[typed.unit];
  if (!family || factor === undefined)
    return no(unit ? `Expected ${unit}, found '${typed.unit}'.` : `Expected a number alone, found '${typed.unit}'.`);
  return ok(Number(((typed.value * factor) / family[unit]!).toPrecision(12)));
}

/** Read one number: `2,4`, `2.4 m` and `2400 mm` are all 2.4 for a field in metres. */
export function readNumber(text: string, unit: string): Read<number> {
  const typed = readOne(text);
  return typed.ok ? inUnit(typed.value, unit) : typed;
}

export function readInteger(text: string, unit: string): Read<number> {
  const number = readNumber(text, unit);
  if (number.ok && !Number.isInteger(number.value)) return no(`Expected a whole number, found ${text.trim()}.`);
  return number;
}

/**
 * Read several sizes in one line: `4.2 x 3.6 x 2.4`, `4200 × 3600 × 2400 mm`, `4,2 by 3,6 by 2,4`.
 *
 * A unit after the last number goes for all that have none. Bare numbers that are all 100 or more are millimetres where
 * metres are asked for: no room is a hundred metres high. The other way round, all below 20 are metres for a field in mm.
 */
export function readSizes(text: string, count: number, unit: 'm' | 'mm'): Read<number[]> {
  const shape = ['one size, such as 3.1', 'two sizes, such as 1.2 x 1.05', 'three sizes, such as 4.2 x 3.6 x 2.4'][
    count - 1
  ]!;
  const parts = text
    .trim()
    .split(/\s*(?:[x×*;]|\bby\b)\s*|\s+(?=[-−+.,]?\d)/i)
    .filter((part) => part !== '');
  if (parts.length !== count) return no(`Expected ${shape}; found ${parts.length}.`);
  const typed: Typed[] = [];
  for (const part of parts) {
    const one = readOne(part);
    if (!one.ok) return one;
    typed.push(one.value);
  }
  const lastUnit = typed[count - 1]!.unit;
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
    if (value.value <= 0) return no('A size must be more than nothing.');
    values.push(value.value);
  }
  return ok(values);
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
  [/buried|underground|trench|in the ground/i, 'buried'],
  [/out(doors?|side)|garden/i, 'outdoors'],
  [/garage|cellar|loft|attic|unheated/i, 'unheated'],
  [/under\s*(the\s*)?floor|floor|void|wall/i, 'void'],
  [/heated|cupboard|room|inside|indoors|kitchen|hall|utility/i, 'heated'],
];

export interface Stretch {
  place: string;
  length_m: number;
}

/** Read a line of stretches: `outdoors 5, under floor 9, cupboard 2`. */
export function readStretches(text: string): Read<Stretch[]> {
  const parts = text.split(/\s*(?:;|\n|,(?!\d)|\bthen\b)\s*/i).filter((part) => part !== '');
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
