/** A room as a box: its sides, six unless its ceiling slopes, what is beyond each, and the surfaces made from that. */
import { isUsualIn, partyWall, servesWhere, type Serves } from './fast_start.ts';
import { kindOf, model, rowsIn, withDefaults, type Values } from './model.ts';
import { shapeOf, SLOPES } from './shape.ts';
import { sizeIn } from './sizes.ts';
import type { Edit, Survey, SurveyRecord } from './survey.ts';

export type Side = 'front' | 'right' | 'back' | 'left' | 'floor' | 'ceiling' | 'slope';
export type Beyond = 'outside' | 'ground' | 'room' | 'unheated' | 'neighbour' | 'nothing';

/** All sides that a room can have. */
export const SIDES: readonly Side[] = ['front', 'right', 'back', 'left', 'floor', 'ceiling', 'slope'];
export const SIDE_WORDS: Record<Side, string> = {
  front: 'Front side',
  right: 'Right side',
  back: 'Back side',
  left: 'Left side',
  floor: 'Floor',
  ceiling: 'Ceiling',
  slope: 'Sloping ceiling',
};
/**
 * The sides that a room has. A slope takes the place of a wall that it comes down to the floor at; two that meet leave no flat ceiling.
 * The twin of `sides_of` in `survey/box.py`.
 */
export function sidesOf(room: Values): Side[] {
  const shape = shapeOf(room);
  const hasSlopes = rowsIn(room, SLOPES).length > 0;
  return SIDES.filter((side) => (side === 'slope' ? hasSlopes : shape?.sides[side]?.['area_m2'] !== 0));
}

/** A side as the room beyond it has it. */
export const oppositeOf = (side: unknown): Side | null =>
  (model.closing.opposite[String(side)] as Side | undefined) ?? null;
const ROUND: readonly Side[] = ['front', 'right', 'back', 'left'];

/**
 * A side as the room beyond it has it, where both rooms say which way their front sides look; else as if neither were turned.
 * The twin of `side_beyond` in `survey/sides.py`.
 */
export function sideBeyond(side: Side | null, room: Values | undefined, beyond: Values | undefined): Side | null {
  const { turns } = model.closing;
  const [one, other] = [turns[String(room?.['turn'])], turns[String(beyond?.['turn'])]];
  const at = side === null ? -1 : ROUND.indexOf(side);
  if (at < 0 || one === undefined || other === undefined) return oppositeOf(side);
  return ROUND[(at + one + 6 - other) % 4]!;
}

/** What lies over or under a room is measured by length and width. */
export const isFlat = (side: Side): boolean => side === 'floor' || side === 'ceiling' || side === 'slope';

const OPENINGS = ['window', 'door', 'rooflight'];

export interface BeyondChoice {
  beyond: Beyond;
  label: string;
}

const WALL_CHOICES: BeyondChoice[] = [
  { beyond: 'outside', label: 'Outside' },
  { beyond: 'room', label: 'Another room' },
  { beyond: 'unheated', label: 'Unheated space' },
  { beyond: 'neighbour', label: 'Neighbour' },
  { beyond: 'ground', label: 'Ground' },
  { beyond: 'nothing', label: 'Nothing worth counting' },
];

/** What can be beyond a side, in the words that fit it. */
export function beyondChoices(side: Side): BeyondChoice[] {
  if (side === 'floor') {
    return [
      { beyond: 'ground', label: 'Ground' },
      { beyond: 'room', label: 'A room below' },
      { beyond: 'unheated', label: 'Unheated space below' },
      { beyond: 'outside', label: 'Outside air below' },
      { beyond: 'neighbour', label: 'Neighbour below' },
      { beyond: 'nothing', label: 'Nothing worth counting' },
    ];
  }
  if (side === 'ceiling') {
    return [
      { beyond: 'outside', label: 'Loft or roof' },
      { beyond: 'room', label: 'A room above' },
      { beyond: 'unheated', label: 'Unheated space above' },
      { beyond: 'neighbour', label: 'Neighbour above' },
      { beyond: 'nothing', label: 'Nothing worth counting' },
    ];
  }
  if (side === 'slope') {
    return [
      { beyond: 'outside', label: 'Roof' },
      { beyond: 'unheated', label: 'Unheated space behind' },
      { beyond: 'neighbour', label: 'Neighbour behind' },
      { beyond: 'nothing', label: 'Nothing worth counting' },
    ];
  }
  return WALL_CHOICES;
}

/** Which element a side is, from what is beyond it. */
export function elementFor(side: Side, beyond: Beyond): string {
  if (side === 'floor') return beyond === 'ground' ? 'ground_floor' : 'floor';
  // The published figures for a loft insulated at the joists reach through the loft to the outside air.
  if (side === 'ceiling' || side === 'slope') return beyond === 'outside' ? 'roof' : 'ceiling';
  return beyond === 'room' || beyond === 'nothing' ? 'partition' : 'wall';
}

export const storeyOf = (room: SurveyRecord): string => String(withDefaults(kindOf('room'), room.values)['storey']);

/** The height of the last room that was measured on the same storey: what a room's is taken to be while only its length and width are said. */
export function heightBeside(survey: Survey, room: SurveyRecord): number | null {
  const beside = survey
    .ofKind('room')
    .filter(
      (other) =>
        other.id !== room.id && storeyOf(other) === storeyOf(room) && typeof other.values['height_m'] === 'number',
    )
    .at(-1);
  return beside ? (beside.values['height_m'] as number) : null;
}

/** The room to measure after this one: of those with neither length nor area, one of the same storey first, in the order in which they were named. */
export function nextRoom(survey: Survey, room: SurveyRecord): SurveyRecord | undefined {
  const waiting = survey
    .ofKind('room')
    .filter((item) => item.id !== room.id && !item.values['length_m'] && !item.values['floor_area_m2']);
  return waiting.find((item) => storeyOf(item) === storeyOf(room)) ?? waiting[0];
}

/** Elements whose usual construction may stand in when there is none of the element itself. */
const STANDS_IN: Record<string, string[]> = {
  ceiling: ['floor'],
  floor: ['ceiling'],
  rooflight: ['window'],
  // A loft's ceiling is entered as either.
  roof: ['ceiling'],
};

/** A loft insulated at its joists, or a flat roof, is no slope's. */
const NO_SLOPE = ['roof_loft', 'roof_flat'];

/** Where a surface's construction has to serve, as far as its element and what is beyond it tell; undefined where they do not. */
function wantedFor(element: string, beyond: Beyond | undefined): Serves | undefined {
  if (element === 'wall') return beyond === 'neighbour' ? 'neighbour' : 'outside';
  if (element === 'roof') return 'loft';
  if (element === 'ceiling' || element === 'floor')
    return beyond === 'room' || beyond === 'neighbour' ? 'storeys' : undefined;
  return undefined;
}

/** Whether a construction can be that of such a surface. */
export function fitsSurface(
  item: SurveyRecord,
  element: string,
  beyond: Beyond | undefined,
  side: Side | undefined,
): boolean {
  const own = String(item.values['element']);
  if (own !== element && !(STANDS_IN[element] ?? []).includes(own)) return false;
  if (side === 'slope' && NO_SLOPE.some((look) => String(item.values['look'] ?? item.values['ready']).startsWith(look)))
    return false;
  const [serves, wanted] = [servesWhere(item), wantedFor(element, beyond)];
  // What lies under a loft is no floor between storeys, and a wall to a neighbour none to outside.
  return serves === null || wanted === undefined || serves === wanted;
}

/** The usual construction of an element in the part of the house that a room is in, else in the main house, if there is one. */
export function usualConstruction(
  survey: Survey,
  element: string,
  room?: SurveyRecord,
  side?: Side,
  beyond?: Beyond,
): SurveyRecord | undefined {
  // Where nobody has said how the wall to the neighbour is built, it is taken for the usual wall.
  if (element === 'wall' && beyond === 'neighbour')
    return partyWall(survey) ?? usualConstruction(survey, element, room, side);
  // One that does not say where it serves may be chosen under a loft, but nobody takes it for the loft's.
  const isSure = (item: SurveyRecord) => element !== 'roof' || servesWhere(item) === 'loft';
  const all = survey.ofKind('construction').filter((item) => isSure(item) && fitsSurface(item, element, beyond, side));
  for (const wanted of [element, ...(STANDS_IN[element] ?? [])]) {
    const fitting = all.filter((item) => item.values['element'] === wanted);
    const found =
      fitting.find((item) => isUsualIn(item, room?.values['extension'])) ??
      fitting.find((item) => isUsualIn(item, null)) ??
      (fitting.length === 1 ? fitting[0] : undefined);
    if (found) return found;
  }
  return undefined;
}

export interface Facing {
  record: SurveyRecord;
  /** The side of *this* room on which it is met. */
  side: Side | null;
  /** True when the record belongs to the room on the other side. */
  isShared: boolean;
}

/** Every surface that a room meets: its own, and those of other rooms that name it as the other side. */
export function surfacesOf(survey: Survey, room: string): Facing[] {
  const facing: Facing[] = [];
  for (const record of survey.ofKind('surface')) {
    const side = (record.values['side'] as Side | undefined) ?? null;
    if (record.values['room'] === room) facing.push({ record, side, isShared: false });
    else if (record.values['other_room'] === room && record.values['other_side'] === 'room') {
      const told = survey.find('room', record.values['room']);
      const beyond = survey.find('room', room);
      facing.push({ record, side: sideBeyond(side, told?.values, beyond?.values), isShared: true });
    }
  }
  return facing;
}

export const isOpening = (record: SurveyRecord): boolean => OPENINGS.includes(String(record.values['element']));

/** The surfaces of one side, openings apart. */
export function sideOf(survey: Survey, room: string, side: Side): { walls: Facing[]; openings: Facing[] } {
  const all = surfacesOf(survey, room);
  const walls = all.filter((item) => item.side === side && !isOpening(item.record));
  const ids = new Set(walls.map((item) => item.record.id));
  const openings = all.filter((item) => {
    if (!isOpening(item.record)) return false;
    const wall = item.record.values['opening_in'];
    return typeof wall === 'string' && ids.has(wall) ? true : !wall && item.side === side;
  });
  return { walls, openings };
}

/** The edit that says what is beyond a side: a new surface, or the one given, with the usual construction of its element. Without `size` it is the whole side. */
export function setBeyond(
  survey: Survey,
  room: SurveyRecord,
  side: Side,
  beyond: Beyond,
  more: { id: string; otherRoom?: string; space?: string; described?: string; size?: Values; existing?: SurveyRecord },
): Edit {
  const element = elementFor(side, beyond);
  const before = more.existing?.values;
  const values: Values = {
    room: room.id,
    side,
    element,
    other_side: beyond,
    other_room: beyond === 'room' ? (more.otherRoom ?? null) : null,
    unheated_space: beyond === 'unheated' ? (more.space ?? null) : null,
    space: beyond === 'unheated' ? (more.described ?? null) : null,
  };
  const usual = (of: Beyond) => usualConstruction(survey, element, room, side, of);
  // A construction chosen by hand stays while the element stays.
  const isByHand =
    before?.['element'] === element && before['construction'] !== usual(before['other_side'] as Beyond)?.id;
  if (!before || !isByHand) {
    values['construction'] = usual(beyond)?.id ?? null;
  }
  if (!before) Object.assign(values, more.size);
  return {
    kind: 'surface',
    id: more.existing?.id ?? more.id,
    values: before ? changed(before, values) : withoutNull(values),
  };
}

function withoutNull(values: Values): Values {
  return Object.fromEntries(Object.entries(values).filter(([, value]) => value !== null));
}

function changed(before: Values, after: Values): Values {
  return Object.fromEntries(Object.entries(after).filter(([name, value]) => (before[name] ?? null) !== value));
}

/** The edit that gives a room a new size. The sides that follow its box store none, so one length is one answer. */
export function resize(room: SurveyRecord, size: Values): Edit {
  return { kind: 'room', id: room.id, values: changed(room.values, size) };
}

/** A name for a copy: 'Bedroom' → 'Bedroom 2', 'Bedroom 2' → 'Bedroom 3', skipping what is taken. */
export function nextName(name: string, taken: readonly string[]): string {
  const found = /^(.*?)\s*(\d+)?$/.exec(name.trim());
  const stem = found?.[1] || 'Room';
  let number = Number(found?.[2] ?? 1) + 1;
  while (taken.includes(`${stem} ${number}`)) number += 1;
  return `${stem} ${number}`;
}

/** A record's values without what belongs to the one that was looked at, and is not true of its copy. */
function likeIt(record: SurveyRecord): Values {
  const ownFields = kindOf(record.kind).fields.filter((field) => field.is_its_own);
  return Object.fromEntries(
    Object.entries(record.values).filter(([name]) => !ownFields.some((field) => field.name === name)),
  );
}

/**
 * 'Another like this': the room, its own surfaces with their openings, its emitters, under new ids.
 * Walls to other rooms stay behind: what lies beyond them is another room now, and the side asks again.
 */
export function copyRoom(survey: Survey, room: SurveyRecord, makeId: () => string): Edit[] {
  const id = makeId();
  const names = survey.ofKind('room').map((item) => String(item.values['name'] ?? ''));
  const copied: Edit[] = [
    { kind: 'room', id, values: { ...likeIt(room), name: nextName(String(room.values['name'] ?? 'Room'), names) } },
  ];
  const inside = new Set(
    surfacesOf(survey, room.id)
      .filter((item) => item.record.values['other_side'] === 'room')
      .map((item) => item.record.id),
  );
  const own = surfacesOf(survey, room.id)
    .map((item) => item.record)
    .filter(
      (record) =>
        record.values['room'] === room.id && !inside.has(record.id) && !inside.has(String(record.values['opening_in'])),
    );
  const newIds = new Map(own.map((record) => [record.id, makeId()]));
  for (const record of own) {
    const values: Values = { ...record.values, room: id };
    const wall = values['opening_in'];
    if (typeof wall === 'string') values['opening_in'] = newIds.get(wall) ?? null;
    copied.push({ kind: 'surface', id: newIds.get(record.id)!, values: withoutNull(values) });
  }
  for (const emitter of survey.children('emitter', room.id)) {
    copied.push({ kind: 'emitter', id: makeId(), values: { ...likeIt(emitter), room: id } });
  }
  return copied.map((edit) => ({ ...edit, values: withoutNull({ ...edit.values, deleted: null }) }));
}

/** What a wall that stays with its other room says from then on: it is looked at from there, as large as it was told, and asks again what is beyond it. */
function fromTheOtherRoom(survey: Survey, surface: SurveyRecord): Values {
  const side = (surface.values['side'] as Side | undefined) ?? null;
  const [told, beyond] = ['room', 'other_room'].map((name) => survey.find('room', surface.values[name])?.values);
  const place = ['from_left_m', 'beyond_from_left_m'].some((name) => (surface.values[name] ?? null) !== null)
    ? { from_left_m: surface.values['beyond_from_left_m'] ?? null, beyond_from_left_m: null }
    : {};
  const size = Object.entries(sizeIn(survey, surface))
    .filter(([name]) => (surface.values[name] ?? null) === null)
    // A size that a shape gives has no end of figures; one that is stored has two.
    .map(([name, value]) => [name, typeof value === 'number' ? Math.round(value * 100) / 100 : value]);
  return {
    side: sideBeyond(side, told, beyond),
    ...place,
    ...Object.fromEntries(size),
  };
}

/**
 * The edits that take a record away with all that goes with it, as the kinds say (`goes_with`): a room takes its surfaces and emitters along,
 * a wall its openings. What belongs to another that stays, too (`or_stays_with`: a wall to another room), stays with that one.
 */
export function removal(survey: Survey, kind: string, id: string): Edit[] {
  const edits: Edit[] = [];
  const gone = new Set<string>();
  const remove = (of: string, record: string) => {
    const key = `${of}/${record}`;
    if (gone.has(key)) return;
    gone.add(key);
    edits.push({ kind: of, id: record, values: { deleted: true } });
    for (const { name, other, item } of leaningOn(survey, of)) {
      const change = (values: Values) => edits.push({ kind: item.kind, id: item.id, values });
      if (item.values[name] !== record) {
        if (other !== undefined && item.values[other] === record) change({ [other]: null });
        continue;
      }
      const stays = other !== undefined && item.values[other] !== record && survey.find(of, item.values[other]);
      if (stays) change({ [name]: stays.id, [other]: null, ...fromTheOtherRoom(survey, item) });
      else remove(item.kind, item.id);
    }
  };
  remove(kind, id);
  return edits;
}

/** Every record with a field that goes with one of this kind: the field's name, and that of the one that it may stay with. */
function leaningOn(survey: Survey, kind: string): { name: string; other: string | undefined; item: SurveyRecord }[] {
  return Object.values(model.kinds).flatMap((next) =>
    next.fields
      .filter((field) => field.goes_with && field.refers_to?.includes(kind))
      .flatMap((field) =>
        survey.ofKind(next.name).map((item) => ({ name: field.name, other: field.or_stays_with, item })),
      ),
  );
}

/**
 * The edits that keep a record after all which somebody took away: what `removal` took along comes back, and walls shared with it are linked again.
 *
 * @param records all of the survey, those that were taken away too, with the revision of each field's last change
 * @param revision that of the removal: what went along stands right behind it in the log
 */
export function keptAfterAll(
  records: readonly (SurveyRecord & { seen: Readonly<Record<string, number>> })[],
  kind: string,
  id: string,
  revision: number,
): Edit[] {
  const edits: Edit[] = [{ kind, id, values: { deleted: false } }];
  const gone = new Set([id]);
  const behind = records
    .flatMap((record) => ['deleted', 'other_room'].map((field) => ({ record, field, at: record.seen[field] ?? 0 })))
    .filter((item) => item.at > revision)
    .sort((one, other) => one.at - other.at);
  for (const { record, field } of behind) {
    const { values } = record;
    if (field === 'deleted') {
      // The first that has nothing to do with it ends what was taken along.
      if (
        values['deleted'] !== true ||
        !Object.values(values).some((value) => typeof value === 'string' && gone.has(value))
      )
        break;
      gone.add(record.id);
      edits.push({ kind: record.kind, id: record.id, values: { deleted: false } });
    } else if (
      kind === 'room' &&
      values['other_room'] === undefined &&
      values['other_side'] === 'room' &&
      values['room'] !== id
    ) {
      edits.push({ kind: record.kind, id: record.id, values: { other_room: id } });
    } else break;
  }
  return edits;
}
