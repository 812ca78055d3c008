import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  nextTurn,
  readDate,
  readInteger,
  readMoney,
  readNumber,
  readSizes,
  readStretches,
  readUpTo,
} from '../src/domain/parse.ts';
import { understood } from '../src/forms/typed.ts';

const value = <T>(read: { ok: true; value: T } | { ok: false; why: string }): T | string =>
  read.ok ? read.value : read.why;

describe('one number', () => {
  test.each([
    ['2,4', 'm', 2.4],
    ['2.4 m', 'm', 2.4],
    ['2400 mm', 'm', 2.4],
    ['240cm', 'm', 2.4],
    ['2.4 metres', 'm', 2.4],
    ['.5', 'm', 0.5],
    ['0.6 m', 'mm', 600],
    ['600', 'mm', 600],
    ['−3,5', '°C', -3.5],
    ['-3.5 °C', '°C', -3.5],
    ['1.2 kW', 'W', 1200],
    ['12 000 kWh'.replace(' ', ''), 'kWh', 12000],
    ['14 m2', 'm²', 14],
    ['80 A', 'A', 80],
    ['1.35', '', 1.35],
    ['7,', 'm', 7],
  ])('%s as %s', (text, unit, expected) => expect(value(readNumber(text, unit))).toBe(expected));

  test.each([
    ['some', 'm'],
    ['', 'm'],
    ['2.4 x 3', 'm'],
    ['2.4.1', 'm'],
    ['2.4 kg', 'm'],
    ['--2', 'm'],
    ['1e3', 'm'],
    ['NaN', 'm'],
    ['Infinity', 'm'],
    ['3 m', ''],
  ])('%j is answered in words', (text, unit) => expect(readNumber(text, unit).ok).toBe(false));

  test('a comma before three figures could mean two things, so it is asked back', () => {
    expect(value(readNumber('1,200', 'kWh'))).toBe("'1,200' could mean 1200 or 1.200: type it without the comma.");
  });

  test('a millimetre value read in metres is that many thousandths, without dust', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 60_000 }), (mm) => {
        expect(value(readNumber(`${mm} mm`, 'm'))).toBe(Number((mm / 1000).toPrecision(12)));
      }),
    );
  });

  test('no text makes it fail', () => {
    fc.assert(
      fc.property(fc.string(), fc.constantFrom('m', 'mm', '°C', ''), (text, unit) => {
        const read = readNumber(text, unit);
        expect(read.ok ? Number.isFinite(read.value) : read.why.length > 0).toBe(true);
      }),
    );
  });

  test('whole numbers are whole', () => {
    expect(value(readInteger('4', ''))).toBe(4);
    expect(readInteger('4.5', '').ok).toBe(false);
  });
});

describe('several sizes', () => {
  test.each([
    ['4.2 x 3.6 x 2.4', 3, 'm', [4.2, 3.6, 2.4]],
    ['4,2 × 3,6 × 2,4 m', 3, 'm', [4.2, 3.6, 2.4]],
    ['4200x3600x2400', 3, 'm', [4.2, 3.6, 2.4]],
    ['4.2 by 3.6 by 2.4', 3, 'm', [4.2, 3.6, 2.4]],
    ['4.2 3.6 2.4', 3, 'm', [4.2, 3.6, 2.4]],
    ['4.2m x 360cm x 2400mm', 3, 'm', [4.2, 3.6, 2.4]],
    ['4,2 by 3.6 x 2400 mm', 3, 'm', [4.2, 3.6, 2.4]],
    ['1200 x 1050 mm', 2, 'm', [1.2, 1.05]],
    ['600 x 1200', 2, 'mm', [600, 1200]],
    ['0.6 x 1.2', 2, 'mm', [600, 1200]],
    ['60 x 120 cm', 2, 'mm', [600, 1200]],
  ] as const)('%s', (text, count, unit, expected) => expect(value(readSizes(text, count, unit))).toEqual(expected));

  test.each([
    ['4.2 x 3.6', 3],
    ['4.2 x 3.6 x 2.4 x 1', 3],
    ['a x b', 2],
    ['4.2 x -1', 2],
    ['0 x 1', 2],
    ['', 2],
  ] as const)('%j is answered in words', (text, count) => {
    expect(readSizes(text, count, 'm').ok).toBe(false);
  });

  test('what is written comes back', () => {
    const size = fc.integer({ min: 30, max: 5000 }).map((value) => value / 100);
    fc.assert(
      fc.property(size, size, size, fc.constantFrom(' x ', 'x', ' × ', ' by ', '; '), (a, b, c, by) => {
        expect(value(readSizes([a, b, c].join(by), 3, 'm'))).toEqual([a, b, c]);
      }),
    );
  });
});

test('amounts', () => {
  expect([' £149.5', '149,50', '£1,250', '12', '1,250,000.00', '-3.20'].map((text) => value(readMoney(text)))).toEqual([
    '149.50',
    '149.50',
    '1250.00',
    '12.00',
    '1250000.00',
    '-3.20',
  ]);
  for (const text of ['', '1.234', 'free', '12.5.1', '1,25,0']) expect(readMoney(text).ok).toBe(false);
});

test('days', () => {
  expect(['2026-03-31', '31/3/2026', '31.03.26', '1 12 2026'].map((text) => value(readDate(text)))).toEqual([
    '2026-03-31',
    '2026-03-31',
    '2026-03-31',
    '2026-12-01',
  ]);
  for (const text of ['31/2/2026', '3/31/2026', 'soon', '1/1/1850']) expect(readDate(text).ok).toBe(false);
});

test('stretches in one line', () => {
  expect(value(readStretches('outdoors 5, under floor 9,5, cupboard 2'))).toEqual([
    { place: 'outdoors', length_m: 5 },
    { place: 'void', length_m: 9.5 },
    { place: 'heated', length_m: 2 },
  ]);
  expect(value(readStretches('loft 300 cm then in the ground 2 m'))).toEqual([
    { place: 'unheated', length_m: 3 },
    { place: 'buried', length_m: 2 },
  ]);
  expect(value(readStretches('o 5, f 9.5, c 2, b 1, l 3'))).toEqual([
    { place: 'outdoors', length_m: 5 },
    { place: 'void', length_m: 9.5 },
    { place: 'heated', length_m: 2 },
    { place: 'buried', length_m: 1 },
    { place: 'unheated', length_m: 3 },
  ]);
  expect(value(readStretches('outdoors five, under floor nine point five'))).toEqual([
    { place: 'outdoors', length_m: 5 },
    { place: 'void', length_m: 9.5 },
  ]);
  expect(readStretches('bedroom 3')).toEqual({ ok: true, value: [{ place: 'heated', length_m: 3 }] });
  for (const text of ['office 5', 'frame 2', '', 'outdoors', 'moon 5', '5', 'outdoors 0'])
    expect(readStretches(text).ok).toBe(false);
});

describe('feet and inches, shown in the field’s own unit', () => {
  test.each([
    [`13'9`, 'm', 4.191],
    [`13'9"`, 'm', 4.191],
    ['13’ 9”', 'm', 4.191],
    ['13 ft 9 in', 'm', 4.191],
    ['13 feet 9 inches', 'm', 4.191],
    ['13 ft', 'm', 3.962],
    ['9 in', 'mm', 229],
    [`9 1/2"`, 'mm', 241],
    ['7′ 10½″', 'm', 2.4],
    ['six foot two', 'm', 1.88],
  ])('%s as %s', (text, unit, expected) => expect(value(readNumber(text, unit))).toBe(expected));

  test.each([`13'13`, `13'9 lb`, `13' 9 in 2`, `'`, 'feet', 'nine and'])('%s is answered in words', (text) =>
    expect(readNumber(text, 'm').ok).toBe(false),
  );

  test.each([
    [`13'9 x 12'6 x 7'10`, 3, 'm', [4.191, 3.81, 2.388]],
    [`13'9 12'6 7'10`, 3, 'm', [4.191, 3.81, 2.388]],
    ['13 ft 9 in by 12 ft 6 in by 7 ft 10 in', 3, 'm', [4.191, 3.81, 2.388]],
    ['12 x 10 ft', 2, 'm', [3.658, 3.048]],
    [`13' 12'`, 2, 'm', [3.962, 3.658]],
    [`24 x 48 in`, 2, 'mm', [610, 1219]],
    [`3'6 x 4.1 m`, 2, 'm', [1.067, 4.1]],
  ] as const)('%s', (text, count, unit, expected) => expect(value(readSizes(text, count, unit))).toEqual(expected));
});

describe('what a voice writes', () => {
  test.each([
    ['four point two by three point nine', 2, 'm', [4.2, 3.9]],
    ['four point two three point nine', 2, 'm', [4.2, 3.9]],
    ['4.2 by 3.9.', 2, 'm', [4.2, 3.9]],
    ['4.2 × 3,9', 2, 'm', [4.2, 3.9]],
    ['4.2, 3.9, 2.4', 3, 'm', [4.2, 3.9, 2.4]],
    ['4 point 2 by three and a half', 2, 'm', [4.2, 3.5]],
    ['Four metres by three point seven five metres', 2, 'm', [4, 3.75]],
    ['six hundred by twelve hundred', 2, 'mm', null],
    ['six hundred by eighteen hundred', 2, 'mm', null],
    ['six hundred and fifty by nine hundred', 2, 'mm', [650, 900]],
    ['forty five by twenty', 2, 'mm', [45, 20]],
    ['4.2m 3.9m', 2, 'm', [4.2, 3.9]],
    ['4.2m3.9m', 2, 'm', null],
  ] as const)('%s', (text, count, unit, expected) => {
    const read = readSizes(text, count, unit);
    expect(read.ok ? read.value : null).toEqual(expected);
  });

  test('words that are no size stay words, and are named', () => {
    expect(value(readSizes('four point two by door', 2, 'm'))).toBe("'door' is not a number.");
    expect(value(readSizes('about 4 x 3', 3, 'm'))).toBe("'about' is not a number.");
    expect(value(readNumber('oh', 'm'))).toBe(0);
  });
});

describe('a bare number that fits in one unit only', () => {
  const room = { low: 0.3, high: 60 };
  const cupboard = { low: 100, high: 5000 };
  test.each([
    ['4200', 'm', room, 4.2],
    ['42', 'm', room, 42],
    ['0.62', 'mm', cupboard, 620],
    ['620', 'mm', cupboard, 620],
    // A height above the sea, and a layer of two millimetres, are what they are.
    ['250', 'm', { low: -5, high: 1000 }, 250],
    ['4200', 'm', { low: -5, high: 1000 }, 4200],
    ['2.4', 'mm', { low: 0.1, high: 2000 }, 2.4],
    ['90000', 'm', room, 90000],
  ])('%s as %s', (text, unit, limits, expected) => expect(value(readNumber(text, unit, limits))).toBe(expected));
});

test('sizes one by one, as a laser measure sends them', () => {
  expect(value(readUpTo('4.213', 3, 'm'))).toEqual([4.213]);
  expect(value(readUpTo('4.213 x 3.872 x ', 3, 'm'))).toEqual([4.213, 3.872]);
  expect(value(readUpTo('4213', 3, 'm'))).toEqual([4.213]);
  expect(readUpTo('', 3, 'm').ok).toBe(false);
  expect(readUpTo('1 2 3 4', 3, 'm').ok).toBe(false);

  expect(nextTurn('4.213', 3, 'm', false)).toBe('4.213 × ');
  expect(nextTurn('4.213 × 3.872', 3, 'm', false)).toBe('4.213 × 3.872 × ');
  expect(nextTurn('4.213 × 3.872 × 2.4', 3, 'm', false)).toBeNull();
  // What cannot be read is refused as it stands, and a gap that is left empty ends the line.
  expect(nextTurn('door', 3, 'm', false)).toBeNull();
  expect(nextTurn('4.213 × ', 3, 'm', false)).toBeNull();
  // Where the height is known, two sizes typed at once are enough; one by one it has its turn.
  expect(nextTurn('4.2 3.9', 3, 'm', true)).toBeNull();
  expect(nextTurn('4.213 × 3.872', 3, 'm', true)).toBe('4.213 × 3.872 × ');
  expect(value(readSizes('4.213 × 3.872 × ', 2, 'm'))).toEqual([4.213, 3.872]);
});

test('what was typed is shown in the unit of its field, where that is not what stands there', () => {
  expect(understood("13'9 x 12'6", [4.191, 3.81], 'm')).toBe('= 4.191 × 3.81 m');
  expect(understood('4200', [4.2], 'm')).toBe('= 4.2 m');
  expect(understood('four point two', [4.2], 'm')).toBe('= 4.2 m');
  expect(understood('4,2 by 3.9', [4.2, 3.9], 'm')).toBeNull();
  expect(understood('4.2 m', [4.2], 'm')).toBeNull();
  expect(understood('−3.5', [-3.5], '°C')).toBeNull();
});
