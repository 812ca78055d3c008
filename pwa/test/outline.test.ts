/** The drawn outline of a room against its figures: the same floor, and as long a way round. */
import { expect, test } from 'vitest';
import golden from '../../tests/golden/shapes.json';
import { type Values } from '../src/domain/model.ts';
import { shapeOf, WALL_NAMES } from '../src/domain/shape.ts';
import { outlineOf } from '../src/pictures/outline.ts';

const rooms = (golden as unknown as { room: Values }[]).map((item) => item.room);

test('every outline has the floor of its shape and its walls', () => {
  let drawn = 0;
  for (const room of rooms) {
    const outline = outlineOf(room);
    if (!outline || room['floor_area_m2'] !== undefined) continue;
    const shape = shapeOf(room)!;
    let [area, round] = [0, 0];
    outline.points.forEach(([x, y], place) => {
      const [nextX, nextY] = outline.points[(place + 1) % outline.points.length]!;
      area += (x * nextY - nextX * y) / 2;
      round += Math.hypot(nextX - x, nextY - y);
    });
    expect(area).toBeCloseTo(shape.floor!, 6);
    if (shape.parts.length > 0) {
      const walls = WALL_NAMES.reduce((sum, wall) => sum + (shape.sides[wall]!['width_m'] ?? 0), 0);
      expect(round).toBeCloseTo(walls, 6);
    }
    for (const [x, y] of [...outline.points, ...outline.folds.flat()]) {
      expect(x).toBeGreaterThan(-1e-9);
      expect(y).toBeGreaterThan(-1e-9);
      expect(x).toBeLessThan(outline.length + 1e-9);
      expect(y).toBeLessThan(outline.width + 1e-9);
    }
    drawn += 1;
  }
  expect(drawn).toBeGreaterThan(10);
});

test('a plain box and a shape that is not known have none', () => {
  expect(outlineOf({ length_m: 4, width_m: 3, height_m: 2.4 })).toBeNull();
  const overlapping = { what: 'corner', where: 'front_left', along_m: 5, depth_m: 1 };
  expect(outlineOf({ length_m: 4, width_m: 3, height_m: 2.4, floor_parts: [overlapping] })).toBeNull();
});

test('a part without a known place lies in the middle of its side', () => {
  const bay = { what: 'bay', where: 'front', along_m: 2, depth_m: 0.5, outer_m: 1 };
  expect(outlineOf({ length_m: 4, width_m: 3, height_m: 2.4, floor_parts: [bay] })?.points.slice(0, 6)).toEqual([
    [0, 0.5],
    [1, 0.5],
    [1.5, 0],
    [2.5, 0],
    [3, 0.5],
    [4, 0.5],
  ]);
});
