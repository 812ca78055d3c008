/** Readings on a base: where to read, and plain differences. */
import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  cornerWords,
  levelsOf,
  nextPoint,
  presetPoints,
  readingAt,
  readingsOf,
  type Reading,
} from '../src/domain/levels.ts';
import type { SurveyRecord } from '../src/domain/survey.ts';

const slab = { length_mm: 1200, width_mm: 700 };
const reading = (id: string, x_mm: number, y_mm: number, reading_mm: number): Reading => ({
  id,
  x_mm,
  y_mm,
  reading_mm,
});

test('nothing is compared before the third reading', () => {
  const two = [reading('a', 0, 0, 412), reading('b', 1200, 0, 415)];
  expect(levelsOf(two, 'laser_up')).toBeNull();
  expect(levelsOf([...two, reading('c', 0, 700, 413)], 'laser_up')).not.toBeNull();
});

test('with a line and a rule a bigger reading is lower; with heights it is higher', () => {
  const three = [reading('a', 0, 0, 412), reading('b', 1200, 0, 415.5), reading('c', 0, 700, 413)];
  const line = levelsOf(three, 'laser_up')!;
  expect([line.lowest.id, line.highest.id, line.difference_mm]).toEqual(['b', 'a', 3.5]);
  expect([...line.heights]).toEqual([
    ['a', 3.5],
    ['b', 0],
    ['c', 2.5],
  ]);
  const height = levelsOf(three, 'height')!;
  expect([height.lowest.id, height.highest.id, height.difference_mm]).toEqual(['a', 'b', 3.5]);
});

test('heights are never below the lowest, and turning the instrument round turns the order round', () => {
  const values = fc.array(fc.integer({ min: -50_000, max: 50_000 }), { minLength: 3, maxLength: 12 });
  fc.assert(
    fc.property(values, (tenths) => {
      const readings = tenths.map((tenth, place) => reading(String(place), place, 0, tenth / 10));
      const [up, down] = [levelsOf(readings, 'laser_up')!, levelsOf(readings, 'height')!];
      for (const height of up.heights.values()) expect(height).toBeGreaterThanOrEqual(0);
      expect(Math.max(...up.heights.values())).toBe(up.difference_mm);
      expect(down.difference_mm).toBe(up.difference_mm);
      for (const item of readings)
        expect(up.heights.get(item.id)! + down.heights.get(item.id)!).toBeCloseTo(up.difference_mm, 6);
    }),
  );
});

test('points of a preset lie on the slab, row by row from the wall', () => {
  const nine = presetPoints('nine', slab, undefined);
  expect(nine.map((point) => [point.x_mm, point.y_mm])).toEqual([
    [50, 50],
    [600, 50],
    [1150, 50],
    [50, 350],
    [600, 350],
    [1150, 350],
    [50, 650],
    [600, 650],
    [1150, 650],
  ]);
  expect(presetPoints('four', slab, undefined)).toHaveLength(4);
  expect(presetPoints('free', slab, undefined)).toEqual([]);
});

test("points under the feet need the maker's measures, and a slab that they stand on", () => {
  const feet = { feet_across_mm: 700, feet_deep_mm: 400 };
  expect(presetPoints('feet', slab, feet)).toEqual([
    { x_mm: 250, y_mm: 150 },
    { x_mm: 950, y_mm: 150 },
    { x_mm: 250, y_mm: 550 },
    { x_mm: 950, y_mm: 550 },
  ]);
  expect(presetPoints('feet', slab, {})).toEqual([]);
  expect(presetPoints('feet', { length_mm: 600, width_mm: 700 }, feet)).toEqual([]);
});

test('the next point is the next without a reading, then the first that was left out', () => {
  const points = presetPoints('four', slab, undefined);
  const readings = [points[0]!, points[2]!];
  expect(nextPoint(points, readings, points[0]!)).toEqual(points[1]);
  expect(nextPoint(points, readings, points[2]!)).toEqual(points[3]);
  expect(nextPoint(points, [...readings, points[3]!], points[3]!)).toEqual(points[1]);
  expect(nextPoint(points, points, points[3]!)).toBeNull();
});

test('a reading within a thumb of a point is that point', () => {
  const readings = [reading('a', 60, 55, 412)];
  expect(readingAt(readings, { x_mm: 50, y_mm: 50 })?.id).toBe('a');
  expect(readingAt(readings, { x_mm: 100, y_mm: 50 })).toBeUndefined();
});

test('a record without a place or a reading is left out of the comparison', () => {
  const records: SurveyRecord[] = [
    { kind: 'level_reading', id: 'a', values: { x_mm: 1, y_mm: 2, reading_mm: 3 } },
    { kind: 'level_reading', id: 'b', values: { x_mm: 1, y_mm: 2 } },
  ];
  expect(readingsOf(records)).toEqual([reading('a', 1, 2, 3)]);
});

test("where a point lies, with one's back to the wall", () => {
  expect(cornerWords({ x_mm: 50, y_mm: 50 }, slab)).toBe('at the wall on the right');
  expect(cornerWords({ x_mm: 1150, y_mm: 650 }, slab)).toBe('at the front on the left');
  expect(cornerWords({ x_mm: 600, y_mm: 350 }, slab)).toBe('in the middle');
});
