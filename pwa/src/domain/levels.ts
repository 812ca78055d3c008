/**
 * Readings on a base: where to read, and what the readings say by plain differences.
 *
 * The plane through them, its fall and the packing are the engine's to say; nothing of that is worked out here.
 */
import { numberOf } from './model.ts';
import type { Values } from './model.ts';
import type { SurveyRecord } from './survey.ts';

export interface Point {
  x_mm: number;
  y_mm: number;
}

export type Preset = 'four' | 'nine' | 'feet' | 'free';

/** How far from the edge of the slab the rule is held, so that it stands on the slab and not on a broken arris. */
const INSET_MM = 50;
/** Closer than this, a reading belongs to the point. */
const SAME_MM = 25;

export function slabOf(base: Values): { length_mm: number; width_mm: number } | null {
  const [length, width] = [numberOf(base, 'length_mm'), numberOf(base, 'width_mm')];
  return length !== null && width !== null ? { length_mm: length, width_mm: width } : null;
}

/** The points of a preset, row by row from the wall, each row from the right as one has one's back to it. Feet need the unit's measures and room for them. */
export function presetPoints(
  preset: Preset,
  slab: { length_mm: number; width_mm: number },
  unit: Values | undefined,
): Point[] {
  const across = (count: number, size: number): number[] => {
    const inset = Math.min(INSET_MM, size / 4);
    return Array.from({ length: count }, (_item, place) =>
      Math.round(inset + ((size - 2 * inset) * place) / (count - 1)),
    );
  };
  const grid = (xs: number[], ys: number[]): Point[] => ys.flatMap((y_mm) => xs.map((x_mm) => ({ x_mm, y_mm })));
  if (preset === 'free') return [];
  if (preset === 'feet') {
    const [wide, deep] = [numberOf(unit ?? {}, 'feet_across_mm'), numberOf(unit ?? {}, 'feet_deep_mm')];
    if (wide === null || deep === null || wide > slab.length_mm || deep > slab.width_mm) return [];
    const [x, y] = [slab.length_mm / 2, slab.width_mm / 2];
    return grid(
      [Math.round(x - wide / 2), Math.round(x + wide / 2)],
      [Math.round(y - deep / 2), Math.round(y + deep / 2)],
    );
  }
  const count = preset === 'nine' ? 3 : 2;
  return grid(across(count, slab.length_mm), across(count, slab.width_mm));
}

export interface Reading extends Point {
  id: string;
  reading_mm: number;
}

/** The readings that can be placed, in the order in which they were made. */
export function readingsOf(records: readonly SurveyRecord[]): Reading[] {
  return records.flatMap((record) => {
    const [x, y, reading] = [
      numberOf(record.values, 'x_mm'),
      numberOf(record.values, 'y_mm'),
      numberOf(record.values, 'reading_mm'),
    ];
    return x === null || y === null || reading === null
      ? []
      : [{ id: record.id, x_mm: x, y_mm: y, reading_mm: reading }];
  });
}

export function readingAt<P extends Point>(readings: readonly P[], point: Point): P | undefined {
  return readings.find((item) => Math.hypot(item.x_mm - point.x_mm, item.y_mm - point.y_mm) <= SAME_MM);
}

/** The next point of a preset without a reading, from the one just read onwards and then from the start. */
export function nextPoint(points: readonly Point[], readings: readonly Point[], after: Point | null): Point | null {
  const start = after
    ? points.findIndex((item) => Math.hypot(item.x_mm - after.x_mm, item.y_mm - after.y_mm) <= SAME_MM) + 1
    : 0;
  return [...points.slice(start), ...points.slice(0, start)].find((point) => !readingAt(readings, point)) ?? null;
}

export interface Levels {
  /** Height of each reading above the lowest, mm, by the reading's id. */
  heights: Map<string, number>;
  lowest: Reading;
  highest: Reading;
  difference_mm: number;
}

/** Compare the readings with each other; null before the third. A line and rule read up from the slab: more is lower. */
export function levelsOf(readings: readonly Reading[], instrument: string): Levels | null {
  if (readings.length < 3) return null;
  const height = (item: Reading): number => (instrument === 'height' ? item.reading_mm : -item.reading_mm);
  const sorted = [...readings].sort((a, b) => height(a) - height(b));
  const lowest = sorted[0]!;
  const highest = sorted.at(-1)!;
  const above = (item: Reading): number => Math.round((height(item) - height(lowest)) * 10) / 10;
  return {
    heights: new Map(readings.map((item) => [item.id, above(item)])),
    lowest,
    highest,
    difference_mm: above(highest),
  };
}

/** Where on the slab a point lies, with one's back to the wall: `at the wall on the right`, where both measures begin. */
export function cornerWords(point: Point, slab: { length_mm: number; width_mm: number }): string {
  const third = (value: number, size: number): number => (value < size / 3 ? 0 : value > (2 * size) / 3 ? 2 : 1);
  const [x, y] = [third(point.x_mm, slab.length_mm), third(point.y_mm, slab.width_mm)];
  if (x === 1 && y === 1) return 'in the middle';
  const out = ['at the wall', '', 'at the front'][y]!;
  const along = ['on the right', '', 'on the left'][x]!;
  return [out, along].filter(Boolean).join(' ');
}
