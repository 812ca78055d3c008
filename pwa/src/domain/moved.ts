/**
 * What older apps stored of a unit at the place where it stands: where it lies now.
 *
 * The twin of `survey/moved.py`, for what a phone holds; `tests/golden/moved.json` holds both to the same answers. Which field became which
 * comes with the survey model.
 */
import { model, type Value, type Values } from './model.ts';

export interface Held {
  kind: string;
  id: string;
  values: Values;
}

export interface Said {
  kind: string;
  id: string;
  field: string;
  value: Value;
  /** The place it is said for. */
  place: string;
}

export interface Moves {
  /** Where each moved field of a place lies now. */
  to: { place: string; field: string; unit: string; becomes: string }[];
  /** What has to be said beside it, in order. */
  said: Said[];
}

const PLACE = 'outdoor_position';
const UNIT = 'unit';
const DESIGN = 'design';
const SECOND = 'second_sound_power_dba';
const SECOND_BECOMES = 'sound_power_dba';
const SHAPE = 'zone_shape';
const BY_CORNERS = 'corners';
const DRAWING = 'zone_drawing';
const LONGEST_NAME = 120;

const isThere = (held: Held): boolean => held.values['deleted'] !== true;
const isKnown = (value: Value | undefined): boolean => value !== undefined && value !== null;

/** Where all that places said of their units lies now; the records come in the order in which they were made. */
export function movesOf(records: readonly Held[]): Moves {
  const places = records.filter((held) => held.kind === PLACE);
  const units = new Set(records.filter((held) => held.kind === UNIT && isThere(held)).map((held) => held.id));
  const design = records.find((held) => held.kind === DESIGN && isThere(held));
  const first = places.find(isThere);
  const moves: Moves = { to: [], said: [] };
  for (const place of places) {
    moveUnit(moves, place, place === first ? design : undefined, units);
    if (!isKnown(place.values[SECOND])) continue;
    const unit = `second-of-${place.id.slice(-54)}`;
    moves.to.push({ place: place.id, field: SECOND, unit, becomes: SECOND_BECOMES });
    moves.said.push(...made(unit, nameOf('Second unit', place), place));
    moves.said.push({ kind: PLACE, id: place.id, field: 'second_unit', value: unit, place: place.id });
  }
  return moves;
}

/** What one place says of its unit; the design comes for the first place only, which the chosen unit stands at. */
function moveUnit(moves: Moves, place: Held, design: Held | undefined, units: ReadonlySet<string>): void {
  const named = Object.entries(model.moved).filter(([field]) => isKnown(place.values[field]));
  const byCorners = place.values[SHAPE] === BY_CORNERS;
  if (named.length === 0 && !byCorners) return;
  const chosen = design?.values['unit'];
  const unit = typeof chosen === 'string' && units.has(chosen) ? chosen : `unit-of-${place.id.slice(-56)}`;
  for (const [field, becomes] of named) moves.to.push({ place: place.id, field, unit, becomes });
  const say = (kind: string, id: string, field: string, value: Value): number =>
    moves.said.push({ kind, id, field, value, place: place.id });
  if (unit !== chosen) {
    const words = design?.values['unit_name'];
    moves.said.push(...made(unit, typeof words === 'string' ? words : nameOf('Unit', place), place));
    // What the design called by its name only is the unit that it has chosen.
    if (design && !isKnown(chosen) && isKnown(words)) say(DESIGN, design.id, 'unit', unit);
    else say(PLACE, place.id, 'unit', unit);
  }
  if (!byCorners) return;
  say(UNIT, unit, DRAWING, BY_CORNERS);
  say(PLACE, place.id, SHAPE, null);
}

function nameOf(what: string, place: Held): string {
  const name = place.values['name'];
  if (typeof name !== 'string' || name === '') return `${what} of a place without a name`;
  // By whole signs, as Python counts them.
  return Array.from(`${what} at: ${name}`).slice(0, LONGEST_NAME).join('');
}

function made(unit: string, name: string, place: Held): Said[] {
  const said = (field: string, value: Value): Said => ({ kind: UNIT, id: unit, field, value, place: place.id });
  // It goes with a place that was taken away.
  return isThere(place) ? [said('name', name)] : [said('name', name), said('deleted', true)];
}

/** The records of a document of an older version with each unit's data on the unit; what it is called by is an id. */
export function takenOverRecords(records: Record<string, ({ id: string } & Values)[]>): typeof records {
  const found = new Map<string, { id: string } & Values>();
  const kinds = [PLACE, UNIT, DESIGN];
  for (const kind of kinds) for (const item of records[kind] ?? []) found.set(`${kind}/${item.id}`, { ...item });
  const moves = movesOf(
    kinds.flatMap((kind) => (records[kind] ?? []).map(({ id, ...values }) => ({ kind, id, values: values as Values }))),
  );
  const at = (kind: string, id: string): { id: string } & Values => {
    const key = `${kind}/${id}`;
    const item = found.get(key) ?? ({ id } as { id: string } & Values);
    found.set(key, item);
    return item;
  };
  for (const { place, field, unit, becomes } of moves.to) {
    at(UNIT, unit)[becomes] = at(PLACE, place)[field]!;
    delete at(PLACE, place)[field];
  }
  for (const said of moves.said) {
    if (said.value === null) delete at(said.kind, said.id)[said.field];
    else at(said.kind, said.id)[said.field] = said.value;
  }
  const result = { ...records };
  for (const kind of kinds) {
    const items = [...found].filter(([key]) => key.startsWith(`${kind}/`)).map(([, item]) => item);
    if (items.length > 0) result[kind] = items;
  }
  return result;
}
