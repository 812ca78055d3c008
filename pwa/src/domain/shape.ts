/**
 * The shape of a room that is no plain box: parts added to its floor or missing from it, and ceilings that slope.
 *
 * The twin of `survey/shape.py`, where the reasons stand, for what must answer before the engine is there; `tests/golden/shapes.json` holds both
 * to the same answers. Sums are added up in the same order, so they are the same to the last digit.
 */
import { numberOf, rowsIn, type Row, type Values } from './model.ts';

/** Sizes by their names, null where the room does not say them. */
export type Whole = Record<string, number | null>;
export type Wall = 'front' | 'right' | 'back' | 'left';

export const PARTS = 'floor_parts';
export const SLOPES = 'slopes';
export const ROOM_AREA = 'floor_area_m2';
export const VOLUME = 'volume_m3';
/** Of each wall, the size of the room along it and the one that goes away from it. */
const WALLS: Record<Wall, readonly [string, string]> = {
  front: ['length_m', 'width_m'],
  right: ['width_m', 'length_m'],
  back: ['length_m', 'width_m'],
  left: ['width_m', 'length_m'],
};
const BESIDE: Record<Wall, readonly [Wall, Wall]> = {
  front: ['left', 'right'],
  right: ['front', 'back'],
  back: ['left', 'right'],
  left: ['front', 'back'],
};
export const WALL_NAMES = Object.keys(WALLS) as Wall[];
const CORNERS = ['front_left', 'front_right', 'back_right', 'back_left'];
const DUST = 1e-6;

export interface Part {
  what: string;
  where: string;
  along: number;
  depth: number;
  outer: number;
}

export interface Slope {
  side: Wall;
  span: number;
  low: number;
  drop: number;
  run: number;
  length: number;
  area: number;
}

export interface Shape {
  floor: number | null;
  volume: number | null;
  sides: Record<string, Whole>;
  troubles: string[];
  parts: Part[];
  slopes: Slope[];
}

const once = (troubles: string[]): string[] => [...new Set(troubles)];

/** The area that a part adds to the floor; a missing corner takes it away. */
const areaOfPart = (part: Part): number =>
  part.what === 'corner' ? -(part.along * part.depth) : ((part.along + part.outer) / 2) * part.depth;

function cheekOf(part: Part): number {
  const aside = (part.along - part.outer) / 2;
  return Math.sqrt(part.depth * part.depth + aside * aside);
}

/** The shape of a room with parts or slopes, or null where it is a plain box or given by its area alone. */
export function shapeOf(room: Values): Shape | null {
  const [parts, slopes] = [rowsIn(room, PARTS), rowsIn(room, SLOPES)];
  if (parts.length === 0 && slopes.length === 0) return null;
  if (slopes.length === 0) return withParts(room, parts);
  if (parts.length > 0 || numberOf(room, ROOM_AREA) !== null) return notSettled(room, parts);
  return withSlopes(room, slopes);
}

function withParts(room: Values, rows: Row[]): Shape {
  const { parts, troubles } = readParts(room, rows);
  const [length, width, height] = [numberOf(room, 'length_m'), numberOf(room, 'width_m'), numberOf(room, 'height_m')];
  const own = numberOf(room, ROOM_AREA);
  let area = own;
  if (own === null && length !== null && width !== null && troubles.length === 0) {
    area = length * width;
    for (const part of parts) area += areaOfPart(part);
  }
  const sides: Record<string, Whole> = {};
  for (const side of WALL_NAMES) {
    const measured = numberOf(room, WALLS[side][0]);
    let span = measured;
    if (span !== null)
      for (const part of parts) {
        if (part.what === 'rectangle' && BESIDE[side].includes(part.where as Wall)) span += part.depth;
        else if (part.what === 'bay' && part.where === side) span += part.outer - part.along + 2 * cheekOf(part);
      }
    const size: Whole = { width_m: troubles.length > 0 ? null : span, height_m: height };
    if (own !== null && measured === null) delete size['width_m'];
    sides[side] = size;
  }
  Object.assign(sides, { floor: { area_m2: area }, ceiling: { area_m2: area }, slope: {} });
  const volume = area !== null && height !== null ? area * height : null;
  return { floor: area, volume, sides, troubles, parts, slopes: [] };
}

function readParts(room: Values, rows: Row[]): { parts: Part[]; troubles: string[] } {
  const parts: Part[] = [];
  const troubles: string[] = [];
  const [length, width] = [numberOf(room, 'length_m'), numberOf(room, 'width_m')];
  for (const row of rows) {
    const { what, where } = row;
    const [along, depth, outer] = [numberOf(row, 'along_m'), numberOf(row, 'depth_m'), numberOf(row, 'outer_m')];
    if (along === null || depth === null) {
      troubles.push('part_size');
      continue;
    }
    if (typeof where !== 'string' || !(what === 'corner' ? CORNERS : (WALL_NAMES as string[])).includes(where)) {
      troubles.push('part_where');
      continue;
    }
    if (what === 'corner') {
      if ((length !== null && along >= length) || (width !== null && depth >= width)) troubles.push('corner_too_large');
    } else {
      const span = numberOf(room, WALLS[where as Wall][0]);
      if (span !== null && along > span + DUST) troubles.push('part_too_wide');
    }
    parts.push({ what: String(what), where, along, depth, outer: what === 'bay' && outer !== null ? outer : along });
  }
  const corners = parts.filter((part) => part.what === 'corner');
  if (troubles.length === 0 && cornersOverlap(length, width, corners)) troubles.push('corners_overlap');
  return { parts, troubles: once(troubles) };
}

const cornersOverlap = (length: number | null, width: number | null, corners: Part[]): boolean =>
  corners.some((one, place) =>
    corners.slice(place + 1).some((other) => {
      const [[deep, along], [theirs, sideways]] = [one.where.split('_'), other.where.split('_')];
      const apartAlong = along !== sideways && (length === null || one.along + other.along <= length + DUST);
      const apartDeep = deep !== theirs && (width === null || one.depth + other.depth <= width + DUST);
      return !apartAlong && !apartDeep;
    }),
  );

/** A room with slopes whose floor is no plain rectangle: its walls and ceilings are asked for one by one. */
function notSettled(room: Values, rows: Row[]): Shape {
  const flat = withParts(room, rows);
  const sides: Record<string, Whole> = Object.fromEntries(
    [...WALL_NAMES, 'ceiling', 'slope'].map((side) => [side, {}]),
  );
  sides['floor'] = flat.sides['floor']!;
  const trouble = rows.length > 0 ? 'slopes_and_parts' : 'slopes_and_area';
  return { ...flat, volume: null, sides, troubles: [...flat.troubles, trouble] };
}

function withSlopes(room: Values, rows: Row[]): Shape {
  const [length, width, height] = [numberOf(room, 'length_m'), numberOf(room, 'width_m'), numberOf(room, 'height_m')];
  const floor: Whole = { width_m: width, height_m: length };
  const plan = length === null || width === null ? null : length * width;
  const nothing = { volume: null, sides: unknown(floor), parts: [], slopes: [] };
  if (length === null || width === null || height === null) return { ...nothing, floor: plan, troubles: [] };
  const { slopes: raw, troubles } = readSlopes(room, rows, height);
  const runOf = (side: Wall) => raw.find((slope) => slope.side === side)?.run ?? 0;
  const restLength = length - runOf('left') - runOf('right');
  const restWidth = width - runOf('front') - runOf('back');
  if (troubles.length === 0 && (restLength < -DUST || restWidth < -DUST)) troubles.push('slopes_too_far');
  if (troubles.length > 0) return { ...nothing, floor: plan, troubles };
  const bySide = new Map(raw.map((slope) => [slope.side, slope]));
  const meetings: [Slope, Slope][] = [];
  for (const one of ['front', 'back'] as const)
    for (const other of ['left', 'right'] as const)
      if (bySide.has(one) && bySide.has(other)) meetings.push([bySide.get(one)!, bySide.get(other)!]);
  const slopes = raw.map((slope) => ({ ...slope, area: areaOfSlope(slope, meetings) }));
  let corners = 0;
  for (const [one, other] of meetings) {
    const [small, large] = [Math.min(one.drop, other.drop), Math.max(one.drop, other.drop)];
    if (large > 0) corners += one.run * other.run * (small / 2 - (small * small) / (6 * large));
  }
  let volume = length * width * height;
  for (const slope of slopes) volume -= ((slope.run * slope.drop) / 2) * slope.span;
  volume += corners;
  const sides: Record<string, Whole> = Object.fromEntries(
    WALL_NAMES.map((side) => [side, wallUnder(room, side, bySide, height)]),
  );
  sides['floor'] = floor;
  sides['ceiling'] =
    restLength > DUST && restWidth > DUST ? { width_m: restWidth, height_m: restLength } : { area_m2: 0 };
  if (slopes.length === 1) sides['slope'] = { width_m: slopes[0]!.span, height_m: slopes[0]!.length };
  else {
    let area = 0;
    for (const slope of slopes) area += slope.area;
    sides['slope'] = { area_m2: area };
  }
  return { floor: plan, volume, sides, troubles: [], parts: [], slopes };
}

const unknown = (floor: Whole): Record<string, Whole> => ({
  ...Object.fromEntries(WALL_NAMES.map((side) => [side, { width_m: null, height_m: null }])),
  floor,
  ceiling: { width_m: null, height_m: null },
  slope: { area_m2: null },
});

function readSlopes(room: Values, rows: Row[], height: number): { slopes: Slope[]; troubles: string[] } {
  const slopes: Slope[] = [];
  const troubles: string[] = [];
  for (const row of rows) {
    const [low, said, length] = [numberOf(row, 'low_m'), numberOf(row, 'run_m'), numberOf(row, 'slope_m')];
    const side = row['side'] as Wall;
    if (!WALL_NAMES.includes(side) || low === null || (said === null && length === null)) {
      troubles.push('slope_part_missing');
      continue;
    }
    if (slopes.some((slope) => slope.side === side)) {
      troubles.push('slope_twice');
      continue;
    }
    if (height - low < -DUST) {
      troubles.push('low_too_high');
      continue;
    }
    const drop = Math.max(height - low, 0);
    let run = said;
    if (run === null) {
      const square = length! * length! - drop * drop;
      if (square <= DUST) {
        troubles.push('slope_too_short');
        continue;
      }
      run = Math.sqrt(square);
    }
    const span = numberOf(room, WALLS[side][0])!;
    slopes.push({ side, span, low, drop, run, length: Math.sqrt(run * run + drop * drop), area: 0 });
  }
  return { slopes, troubles: once(troubles) };
}

/** Of a corner that two slopes share, each has what lies lower in it. */
function areaOfSlope(slope: Slope, meetings: readonly [Slope, Slope][]): number {
  let plan = slope.span * slope.run;
  for (const [one, other] of meetings) {
    if (slope !== one && slope !== other) continue;
    const across = slope === one ? other : one;
    const share =
      slope.drop <= across.drop
        ? across.drop > 0
          ? slope.drop / across.drop / 2
          : 0.5
        : 1 - across.drop / slope.drop / 2;
    plan -= slope.run * across.run * (1 - share);
  }
  return (plan * slope.length) / slope.run;
}

/** The corner that the slope across its end takes off a wall with this drop. */
function cutOff(drop: number, across: Slope): number {
  const over = across.drop - drop;
  return over > DUST ? (over * over * across.run) / across.drop / 2 : 0;
}

function wallUnder(room: Values, side: Wall, slopes: ReadonlyMap<Wall, Slope>, height: number): Whole {
  const span = numberOf(room, WALLS[side][0])!;
  const own = slopes.get(side);
  const [drop, low] = own ? [own.drop, own.low] : [0, height];
  let cut = 0;
  for (const beside of BESIDE[side]) if (slopes.has(beside)) cut += cutOff(drop, slopes.get(beside)!);
  if (low <= DUST) return { area_m2: 0 };
  if (cut > 0) return { area_m2: span * low - cut };
  return { width_m: span, height_m: low };
}
