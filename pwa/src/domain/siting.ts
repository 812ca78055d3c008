/**
 * What lies inside the protective zone of a unit with a flammable refrigerant.
 *
 * The engine's answer is what counts: its polygon and what it says of each thing. Until it is there the plain rectangle stands in,
 * the twin of `engine/place/zone_findings.py`: cases in `tests/golden/zone.json` hold both to the same answers. Places are in metres, seen
 * with one's back to the wall: along is to the right of the unit's centre (minus: left), out is away from the wall.
 */
import type { Answer, ZonePlan } from './assessment.ts';
import { fieldOf, kindOf, numberOf, type Values, withDefaults } from './model.ts';

export type Danger = 'opening' | 'hollow' | 'spark' | 'boundary';

const DANGERS: Record<string, Danger> = {
  air_brick: 'opening', window: 'opening', door: 'opening', light_well: 'opening', cellar_hatch: 'opening',
  drain: 'hollow', gully: 'hollow', pit: 'hollow',
  socket: 'spark', switch: 'spark', isolator: 'spark', charging_point: 'spark', flue: 'spark',
  boundary: 'boundary',
};

export const DANGER_WORDS: Record<Danger, string> = {
  opening: 'leaked propane could flow through it into the house',
  hollow: 'leaked propane could gather in it',
  spark: 'it could set light to leaked propane',
  boundary: "the zone must not reach over the neighbour's land or a public way",
};

const EDGE_TOLERANCE_M = 1e-9;

export type Corner = ZonePlan['corners'][number];

export interface Zone {
  /** The outline in order; empty while the shape cannot be drawn here. */
  corners: Corner[];
  /** What the engine says of each thing, by its id; null before it has answered. */
  states: Map<string, ZonePlan['objects'][number]['state']> | null;
  half_along_m: number;
  out_m: number;
  /** Height of the unit's top above the ground; null when it is not known, and then nothing is too high. */
  top_m: number | null;
  /** Fields whose absence makes the zone smaller than it is. */
  missing: string[];
  /** False while only the engine knows the shape and has not answered, or cannot tell it: nothing is called outside then. */
  is_drawn: boolean;
  /** Whether it is the plain rectangle, which is judged here as the engine does. */
  is_plain: boolean;
  /** How far the zone can reach at most, whatever the missing measures turn out to be. */
  most_half_along_m: number;
  most_out_m: number;
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

export function unitOf(position: Values): UnitPlan {
  return { width_m: metres(position, 'unit_width_mm'), depth_m: metres(position, 'unit_depth_mm'), back_m: metres(position, 'clear_back_mm') ?? 0 };
}

/** What the engine says of a position as it stands; null before it has answered, or when something has changed since. */
export function planOf(open: { assessment: Answer | null; changedSince: boolean }, position: string): ZonePlan | null {
  if (open.changedSince) return null;
  return open.assessment?.assessment.site?.zones?.find((plan) => plan.id === position) ?? null;
}

/** What each usual shape needs besides the unit's own size. */
const SHAPE_NEEDS: Record<string, string> = { corner_left: 'clear_left_mm', corner_right: 'clear_right_mm', corners: 'zone_corners' };

/** The zone of an outdoor position, or null for a refrigerant whose zone is not worked out. */
export function zoneOf(position: Values, plan: ZonePlan | null = null): Zone | null {
  const values = withDefaults(kindOf('outdoor_position'), position);
  if (values['refrigerant'] !== 'r290') return null;
  const shape = String(values['zone_shape']);
  const unit = unitOf(values);
  const most = (name: string): number => metres(values, name) ?? (fieldOf('outdoor_position', name).high ?? 0) / 1000;
  const [side, front] = [numberOf(values, 'zone_side_m') ?? 0, numberOf(values, 'zone_front_m') ?? 0];
  const [half, out] = [(unit.width_m ?? 0) / 2 + side, unit.back_m + (unit.depth_m ?? 0) + front];
  const corners: Corner[] = plan ? plan.corners : shape === 'sides' ? [[-half, 0], [half, 0], [half, out], [-half, out]] : [];
  const needed = ['unit_width_mm', 'unit_depth_mm', 'clear_back_mm', ...(SHAPE_NEEDS[shape] ? [SHAPE_NEEDS[shape]] : [])];
  return {
    corners,
    states: plan && new Map(plan.objects.map((item) => [item.id, item.state])),
    half_along_m: half,
    out_m: out,
    most_half_along_m: most('unit_width_mm') / 2 + side,
    most_out_m: most('clear_back_mm') + most('unit_depth_mm') + front,
    top_m: metres(values, 'unit_height_mm'),
    is_drawn: corners.length > 0,
    is_plain: shape === 'sides',
    missing: shape === 'sides' || (plan && plan.missing.length > 0) ? needed.filter((name) => (values[name] ?? null) === null) : [],
  };
}

export function dangerOf(object: Values): Danger | null {
  return DANGERS[String(object['type'])] ?? null;
}

/**
 * `inside`: must be closed off or moved. `dealt_with`: is inside, but closed off or moved, and somebody has seen it done.
 * `not_known`: a measure or the type is missing, so it may be inside. `harmless`: may be anywhere.
 */
export type Standing = 'inside' | 'dealt_with' | 'not_known' | 'outside' | 'harmless';

export function standingOf(zone: Zone, object: Values, id?: string): Standing {
  const said = id === undefined ? undefined : zone.states?.get(id);
  if (said) return said === 'above' ? 'outside' : said;
  const [along, out, up] = [numberOf(object, 'along_m'), numberOf(object, 'out_m'), numberOf(object, 'up_m')];
  const isBeyond = (half_along_m: number, out_m: number): boolean =>
    (along !== null && Math.abs(along) > half_along_m + EDGE_TOLERANCE_M) ||
    (out !== null && out > out_m + EDGE_TOLERANCE_M) ||
    (up !== null && zone.top_m !== null && up > zone.top_m + EDGE_TOLERANCE_M);
  const type = object['type'] ?? null;
  if (type !== null && dangerOf(object) === null) return 'harmless';
  // A thing that was only just added to a shape that only the engine knows is judged by its next answer.
  if (!zone.is_drawn || !zone.is_plain) {
    const isSeenTo = (object['remedy'] === 'close_off' || object['remedy'] === 'move') && object['remedy_done'] === true;
    return isSeenTo && type !== null ? 'dealt_with' : 'not_known';
  }
  if (isBeyond(zone.most_half_along_m, zone.most_out_m)) return 'outside';
  if (along === null || out === null || up === null || type === null) return 'not_known';
  // Beyond a zone that is drawn too small is no comfort.
  if (isBeyond(zone.half_along_m, zone.out_m)) return 'not_known';
  const isDone = (object['remedy'] === 'close_off' || object['remedy'] === 'move') && object['remedy_done'] === true;
  return isDone ? 'dealt_with' : 'inside';
}

/** The words for a standing; what is high enough over the zone says so, since the plan shows it within the zone's outline. */
export function standingWords(zone: Zone, object: Values, id?: string): string {
  const standing = standingOf(zone, object, id);
  const said = id === undefined ? undefined : zone.states?.get(id);
  if (said) return said === 'above' ? 'Outside the zone, above it' : STANDING_WORDS[standing];
  if (standing === 'outside' && standingOf(zone, { ...object, up_m: 0 }) !== 'outside') return 'Outside the zone, above it';
  return STANDING_WORDS[standing];
}

const STANDING_WORDS: Record<Standing, string> = {
  inside: 'Inside the zone', dealt_with: 'Inside, dealt with', not_known: 'May be inside the zone', outside: 'Outside the zone', harmless: 'No danger by itself',
};

/** Write a place for a person: `0.6 m to the left, at the wall, 0.15 m up`. */
export function placeWords(object: Values): string {
  const [along, out, up] = [numberOf(object, 'along_m'), numberOf(object, 'out_m'), numberOf(object, 'up_m')];
  const parts: string[] = [];
  const m = (value: number) => `${Math.abs(value).toLocaleString('en-GB', { maximumFractionDigits: 2 })} m`;
  if (along !== null) parts.push(along === 0 ? "at the unit's centre" : `${m(along)} to the ${along > 0 ? 'right' : 'left'}`);
  if (out !== null) parts.push(out === 0 ? 'at the wall' : `${m(out)} out`);
  if (up !== null) parts.push(up === 0 ? 'at the ground' : `${m(up)} ${up > 0 ? 'up' : 'below the ground'}`);
  const missing = [
    ...(along === null ? ['how far along'] : []), ...(out === null ? ['how far out'] : []), ...(up === null ? ['how high'] : []),
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
