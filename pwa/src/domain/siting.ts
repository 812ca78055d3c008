/**
 * What lies inside the protective zone of a unit with a flammable refrigerant.
 *
 * The engine's answer is what counts: its polygon and what it says of each thing. Until it is there the planning shape is worked out
 * here, the twin of `engine/place/zone.py`: cases in `tests/golden/zone.json` hold both to the same answers. Places are in metres, seen
 * with one's back to the wall: along is to the right of the unit's centre (minus: left), out is away from the wall.
 */
import { DANGERS, REFRIGERANT_CLASSES, STANDING_WORDS } from '../generated/answers.ts';
import type { Answer, ZonePlan } from './assessment.ts';
import { plainNumber, withUnit } from './check.ts';
import { fieldOf, kindOf, numberOf, type Values, valuesTakenOver, withDefaults } from './model.ts';

export type Danger = (typeof DANGERS)[keyof typeof DANGERS];

const EDGE_TOLERANCE_M = 1e-9;

export type Corner = ZonePlan['corners'][number];

/** A rectangle on the ground, m: along from left to right, out from near to far. */
export interface Extents {
  left: number;
  right: number;
  near: number;
  far: number;
}

export interface Wanted {
  of: string;
  field: string;
}

export interface Zone {
  /** The outline in order; empty while the shape cannot be drawn here. */
  corners: Corner[];
  /** The safety class of the refrigerant, `a3` or `a2l`, by which the place is judged. */
  safety: string;
  /** What the engine says of each thing, by its id; null before it has answered. */
  states: Map<string, ZonePlan['objects'][number]['state']> | null;
  /** The planning shape, and the largest that it can be whatever the missing measures turn out to be; null with the maker's corners. */
  planning: { drawn: Extents; most: Extents } | null;
  /** What stands around the unit as the planning shape takes it, in words. */
  words: string;
  /** Height of the unit's top above the ground; null when it is not known, and then nothing is too high. */
  top_m: number | null;
  /** Fields of the unit or of its place whose absence makes the zone smaller than it is. */
  missing: Wanted[];
  /** False while only the engine knows the shape and has not answered, or cannot tell it: nothing is called outside then. */
  is_drawn: boolean;
}

export interface UnitPlan {
  width_m: number | null;
  depth_m: number | null;
  /** Between the wall and the unit's back. */
  back_m: number;
}

function metres(values: Values, name: string): number | null {
  const value = numberOf(values, name);
  return value === null ? null : value / 1000;
}

/** The body of a unit at a place; without a unit nothing is known of its size. */
export function unitOf(position: Values, unit: Values | undefined): UnitPlan {
  return {
    width_m: metres(unit ?? {}, 'width_mm'),
    depth_m: metres(unit ?? {}, 'depth_mm'),
    back_m: metres(position, 'clear_back_mm') ?? 0,
  };
}

/** What the engine says of a position as it stands; null before it has answered, or when something has changed since. */
export function planOf(open: { assessment: Answer | null; changedSince: boolean }, position: string): ZonePlan | null {
  if (open.changedSince) return null;
  return open.assessment?.assessment.site?.zones?.find((plan) => plan.id === position) ?? null;
}

/** How many reaches the planning shape goes along a wall, and away from one. */
const ALONG_WALL = 2;
const OFF_WALL = Math.SQRT2;

type Surroundings = { kind: 'free' | 'wall' | 'corner'; side: 'left' | 'right' | null; missing: string[] };

/** What stands around a unit by all that is said of it: where two answers differ the stricter holds, and so it does where none is given. */
function surroundingsOf(values: Values): Surroundings {
  const [shape, faced, surfaces] = [
    values['zone_shape'],
    values['wall_faced'] ?? null,
    values['reflecting_surfaces'] ?? null,
  ];
  if (shape === 'corner_left' || shape === 'corner_right')
    return { kind: 'corner', side: shape === 'corner_left' ? 'left' : 'right', missing: [] };
  if (surfaces === 'three') return { kind: 'corner', side: null, missing: ['zone_shape'] };
  const hasWall = (faced !== null && faced !== 'free') || surfaces === 'two' || shape === 'wall';
  if (!hasWall && (faced === 'free' || shape === 'free')) return { kind: 'free', side: null, missing: [] };
  return { kind: 'wall', side: null, missing: hasWall ? [] : ['wall_faced'] };
}

const AROUND_WORDS = { free: 'standing free', wall: 'before a wall', corner: 'in a corner' };

/** The planning shape with these measures of the unit, m. */
function planningShape(
  values: Values,
  around: Surroundings,
  unit: { width: number; depth: number; back: number },
): Extents {
  const reach = numberOf(values, 'zone_reach_m') ?? 0;
  const [half, front] = [unit.width / 2, unit.back + unit.depth];
  const along = around.kind === 'free' ? 1 : ALONG_WALL;
  const ahead = { free: 1, wall: OFF_WALL, corner: ALONG_WALL }[around.kind];
  const side = half + Math.max(along * reach, numberOf(values, 'zone_side_m') ?? 0);
  const clear = around.side && metres(values, `clear_${around.side}_mm`);
  const cut = clear === null ? side : Math.min(side, half + clear);
  return {
    left: around.side === 'left' ? -cut : -side,
    right: around.side === 'right' ? cut : side,
    near: around.kind === 'free' ? Math.min(unit.back - reach, 0) : 0,
    far: front + Math.max(ahead * reach, numberOf(values, 'zone_front_m') ?? 0),
  };
}

function planningOf(values: Values, body: Values, around: Surroundings): { drawn: Extents; most: Extents } {
  const unit = unitOf(values, body);
  const high = (kind: string, name: string): number => (fieldOf(kind, name).high ?? 0) / 1000;
  const drawn = planningShape(values, around, {
    width: unit.width_m ?? 0,
    depth: unit.depth_m ?? 0,
    back: unit.back_m,
  });
  const large = planningShape(values, around, {
    width: unit.width_m ?? high('unit', 'width_mm'),
    depth: unit.depth_m ?? high('unit', 'depth_mm'),
    back: metres(values, 'clear_back_mm') ?? high('outdoor_position', 'clear_back_mm'),
  });
  return {
    drawn,
    most: {
      ...large,
      left: Math.min(large.left, drawn.left),
      right: Math.max(large.right, drawn.right),
      near: Math.min(large.near, drawn.near),
    },
  };
}

/** The safety class that a unit's place is judged by: `a3`, `a2l` or `a1`, which does not burn; the strictest while it is not known. */
function safetyClassOf(body: Values): string {
  const own = (REFRIGERANT_CLASSES as Record<string, string>)[String(body['refrigerant'])];
  return own ?? String(body['safety_class'] ?? 'a3');
}

/** The zone of a unit at an outdoor position, or null for a refrigerant that does not burn; without a unit the strictest is taken. */
export function zoneOf(position: Values, unit: Values | undefined, plan: ZonePlan | null = null): Zone | null {
  const values = withDefaults(kindOf('outdoor_position'), valuesTakenOver('outdoor_position', position));
  const body = withDefaults(kindOf('unit'), valuesTakenOver('unit', unit ?? {}));
  const safety = safetyClassOf(body);
  if (safety === 'a1') return null;
  // Whether typed corners make an area is the engine's to say.
  const isMakers = plan ? plan.is_makers : body['zone_drawing'] === 'corners';
  const around = surroundingsOf(values);
  const planning = isMakers ? null : planningOf(values, body, around);
  const { left, right, near, far } = planning?.drawn ?? { left: 0, right: 0, near: 0, far: 0 };
  const corners: Corner[] = plan
    ? plan.corners
    : planning
      ? [
          [left, near],
          [right, near],
          [right, far],
          [left, far],
        ]
      : [];
  const wanted = (of: string, holds: Values, names: string[]): Wanted[] =>
    names.filter((field) => (holds[field] ?? null) === null).map((field) => ({ of, field }));
  const clear = ['clear_back_mm', ...(around.side ? [`clear_${around.side}_mm`] : [])];
  return {
    corners,
    safety,
    states: plan && new Map(plan.objects.map((item) => [item.id, item.state])),
    planning,
    words: isMakers ? '' : `${AROUND_WORDS[around.kind]}${around.side ? `, second wall on the ${around.side}` : ''}`,
    top_m: metres(body, 'height_mm'),
    is_drawn: corners.length > 0,
    missing: isMakers
      ? []
      : [
          ...(body['zone_drawing'] === 'corners' ? [{ of: 'unit', field: 'zone_corners' }] : []),
          ...wanted('unit', body, ['width_mm', 'depth_mm']),
          ...wanted('outdoor_position', values, clear),
          ...around.missing.map((field) => ({ of: 'outdoor_position', field })),
        ],
  };
}

export function dangerOf(object: Values): Danger | null {
  return (DANGERS as Record<string, Danger>)[String(object['type'])] ?? null;
}

/**
 * `inside`: must be closed off or moved. `dealt_with`: is inside, but closed off or moved, and somebody has seen it done.
 * `not_known`: a measure or the type is missing, so it may be inside. `harmless`: may be anywhere.
 * `undecided`: not inside the planning shape, which says no more than that the maker's drawing decides. Only the maker's own corners say `outside`.
 */
export type Standing = 'inside' | 'dealt_with' | 'not_known' | 'outside' | 'undecided' | 'harmless';

export function standingOf(zone: Zone, object: Values, id?: string): Standing {
  const said = id === undefined ? undefined : zone.states?.get(id);
  if (said) return said === 'above' ? 'outside' : said;
  const [along, out, up] = [numberOf(object, 'along_m'), numberOf(object, 'out_m'), numberOf(object, 'up_m')];
  const isBeyond = (of: Extents): boolean =>
    (along !== null && (along < of.left - EDGE_TOLERANCE_M || along > of.right + EDGE_TOLERANCE_M)) ||
    (out !== null && (out < of.near - EDGE_TOLERANCE_M || out > of.far + EDGE_TOLERANCE_M)) ||
    (up !== null && zone.top_m !== null && up > zone.top_m + EDGE_TOLERANCE_M);
  const type = object['type'] ?? null;
  const isSeenTo = (object['remedy'] === 'close_off' || object['remedy'] === 'move') && object['remedy_done'] === true;
  if (type !== null && dangerOf(object) === null) return 'harmless';
  // A thing that was only just added near corners that only the engine judges waits for its next answer.
  if (!zone.planning) return isSeenTo && type !== null ? 'dealt_with' : 'not_known';
  if (isBeyond(zone.planning.most)) return 'undecided';
  if (along === null || out === null || up === null || type === null) return 'not_known';
  // Beyond a shape that is drawn too small is no comfort.
  if (isBeyond(zone.planning.drawn)) return 'not_known';
  return isSeenTo ? 'dealt_with' : 'inside';
}

/** The words for a standing; what is high enough over the maker's zone says so, since the plan shows it within the zone's outline. */
export function standingWords(zone: Zone, object: Values, id?: string): string {
  const standing = standingOf(zone, object, id);
  if (id !== undefined && zone.states?.get(id) === 'above') return STANDING_WORDS.above;
  return standing === 'inside' && zone.planning ? 'Inside the planning shape' : STANDING_WORDS[standing];
}

/** Write a place for a person: `0.6 m to the left, at the wall, 0.15 m up`. */
export function placeWords(object: Values): string {
  const [along, out, up] = [numberOf(object, 'along_m'), numberOf(object, 'out_m'), numberOf(object, 'up_m')];
  const parts: string[] = [];
  const m = (value: number) => withUnit(plainNumber(Math.abs(value), 2), 'm');
  if (along !== null)
    parts.push(along === 0 ? "at the unit's centre" : `${m(along)} to the ${along > 0 ? 'right' : 'left'}`);
  if (out !== null) parts.push(out === 0 ? 'at the wall' : `${m(out)} out`);
  if (up !== null) parts.push(up === 0 ? 'at the ground' : `${m(up)} ${up > 0 ? 'up' : 'below the ground'}`);
  const missing = [
    ...(along === null ? ['how far along'] : []),
    ...(out === null ? ['how far out'] : []),
    ...(up === null ? ['how high'] : []),
  ];
  return [...parts, ...(missing.length > 0 ? [`${missing.join(' and ')} not known`] : [])].join(', ');
}

/** A point tapped on the plan as answers: in steps of 5 cm, close to the wall is at the wall, never beyond the fields' limits. */
export function placeOf(along_m: number, out_m: number): { along_m: number; out_m: number } {
  const step = (value: number, name: string): number => {
    const field = fieldOf('nearby_object', name);
    const rounded = Math.round(Math.min(field.high ?? value, Math.max(field.low ?? value, value)) * 20) / 20;
    return rounded === 0 ? 0 : rounded;
  };
  return { along_m: step(along_m, 'along_m'), out_m: out_m < 0.12 ? 0 : step(out_m, 'out_m') };
}
