/** The outline of a room that is no plain box, from above: front at the top, in metres from the outline's own top left corner. */
import type { Values } from '../domain/model.ts';
import { shapeOf, type Part, type Wall } from '../domain/shape.ts';

type Point = readonly [number, number];
export interface Outline {
  length: number;
  width: number;
  points: Point[];
  /** Where each slope ends, from edge to edge. */
  folds: [Point, Point][];
}

/** Round the room from its front left corner: each wall, its way, the way out of the room, and the corner at its end. */
const ROUND: { wall: Wall; way: Point; out: Point; end: string }[] = [
  { wall: 'front', way: [1, 0], out: [0, -1], end: 'front_right' },
  { wall: 'right', way: [0, 1], out: [1, 0], end: 'back_right' },
  { wall: 'back', way: [-1, 0], out: [0, 1], end: 'back_left' },
  { wall: 'left', way: [0, -1], out: [-1, 0], end: 'front_left' },
];

const moved = ([x, y]: Point, [dx, dy]: Point, by: number): Point => [x + dx * by, y + dy * by];

/** The outline, or null for a plain box and a shape that is not known. Where along its side a part lies is not said: it is drawn in the middle. */
export function outlineOf(room: Values): Outline | null {
  const shape = shapeOf(room);
  const [length, width] = [room['length_m'], room['width_m']];
  if (!shape || shape.troubles.length > 0 || typeof length !== 'number' || typeof width !== 'number') return null;
  const cutAt = (corner: string) => shape.parts.find((part) => part.where === corner);
  const points: Point[] = [];
  let corner: Point = [0, 0];
  let start = cutAt('front_left');
  for (const { wall, way, out, end } of ROUND) {
    const isAlong = wall === 'front' || wall === 'back';
    const trim = (part: Part | undefined): number => (part ? (isAlong ? part.along : part.depth) : 0);
    const span = isAlong ? length : width;
    const last = cutAt(end);
    const free = [trim(start), span - trim(last)] as const;
    points.push(moved(corner, way, free[0]));
    const here = shape.parts.filter((part) => part.where === wall);
    here.forEach((part, place) => {
      const middle = free[0] + ((free[1] - free[0]) * (place + 1)) / (here.length + 1);
      const from = Math.max(free[0], Math.min(middle - part.along / 2, free[1] - part.along));
      const aside = (part.along - part.outer) / 2;
      const at = (along: number, deep: number) => moved(moved(corner, way, from + along), out, deep);
      points.push(at(0, 0), at(aside, part.depth), at(aside + part.outer, part.depth), at(part.along, 0));
    });
    points.push(moved(corner, way, free[1]));
    corner = moved(corner, way, span);
    if (last) points.push(moved(moved(corner, way, -trim(last)), out, -(isAlong ? last.depth : last.along)));
    start = last;
  }
  const folds = shape.slopes.map((slope): [Point, Point] => {
    const { run, side } = slope;
    if (side === 'front' || side === 'back') {
      const y = side === 'front' ? run : width - run;
      return [
        [0, y],
        [length, y],
      ];
    }
    const x = side === 'left' ? run : length - run;
    return [
      [x, 0],
      [x, width],
    ];
  });
  const [left, top] = [Math.min(...points.map(([x]) => x)), Math.min(...points.map(([, y]) => y))];
  const shift = ([x, y]: Point): Point => [x - left, y - top];
  return {
    length: Math.max(...points.map(([x]) => x)) - left,
    width: Math.max(...points.map(([, y]) => y)) - top,
    points: points.map(shift),
    folds: folds.map(([one, other]) => [shift(one), shift(other)]),
  };
}
