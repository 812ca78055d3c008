import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readDate, readInteger, readMoney, readNumber, readSizes, readStretches } from '../src/domain/parse.ts';

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
    ['four', 'm'],
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
  for (const text of ['', 'outdoors', 'moon 5', '5', 'outdoors 0']) expect(readStretches(text).ok).toBe(false);
});
