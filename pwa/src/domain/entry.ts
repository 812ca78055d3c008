/** What makes a house quick to enter: rooms by their use, what is left of a side, a side like another, the usual door of a wall. */
import {
  type Beyond,
  fitsSurface,
  isFlat,
  isOpening,
  nextName,
  setBeyond,
  type Side,
  SIDE_WORDS,
  sideOf,
  storeyOf,
  surfacesOf,
  usualConstruction,
} from './box.ts';
import { asNumber, choiceLabel, fieldOf, model, type Values } from './model.ts';
import { isLeft, leftOfSide } from './sides.ts';
import { sizeOf } from './sizes.ts';
import type { Edit, Survey, SurveyRecord } from './survey.ts';

/** Sizes are measured to the centimetre. */
const toCentimetre = (value: number): number => Math.round(value * 100) / 100;

/** The storey above or below, where the model has one. */
export function storeyBeside(storey: string, side: Side): string {
  const all = (fieldOf('room', 'storey').choices ?? []).map((item) => item.value);
  const step = side === 'ceiling' ? 1 : side === 'floor' ? -1 : 0;
  return all[all.indexOf(storey) + step] ?? storey;
}

/** The rooms that can lie beyond a side: those of the storey one looks at, with a loft's above any ceiling, and all others. */
export function roomsBeyond(
  others: readonly SurveyRecord[],
  room: SurveyRecord,
  side: Side,
): { near: SurveyRecord[]; far: SurveyRecord[] } {
  const all = (fieldOf('room', 'storey').choices ?? []).map((item) => item.value);
  const own = storeyOf(room);
  const below = all.slice(0, all.indexOf(own)).filter((storey) => others.some((other) => storeyOf(other) === storey));
  const near =
    side === 'ceiling'
      ? [storeyBeside(own, side), 'loft']
      : // Below a loft lies whatever storey is the highest there.
        side === 'floor'
        ? below.slice(-1)
        : [own];
  const isNear = (other: SurveyRecord) =>
    near.includes(storeyOf(other)) && (isFlat(side) ? storeyOf(other) !== own : true);
  return { near: others.filter(isNear), far: others.filter((other) => !isNear(other)) };
}

/** What a room of this use is called until somebody says otherwise: 'Bedroom', then 'Bedroom 2'. */
export function nameFor(survey: Survey, use: string, storey: string): string {
  const label = choiceLabel(fieldOf('room', 'use'), use);
  const plain =
    use === 'hall'
      ? storey === 'ground' || storey === 'basement'
        ? 'Hall'
        : 'Landing'
      : label.split(/ or | with /)[0]!;
  const taken = survey.ofKind('room').map((room) => String(room.values['name'] ?? ''));
  return taken.includes(plain) ? nextName(plain, taken) : plain;
}

/** A room by its use alone: its name follows. */
export function newRoom(survey: Survey, use: string, storey: string, id: string): Edit {
  return { kind: 'room', id, values: { name: nameFor(survey, use, storey), use, storey } };
}

/** The size that a side has left beside the parts already said, whose sizes are given; null when nothing is left or it cannot be known. */
export function restOfSide(room: Values, side: Side, parts: readonly Values[]): Values | null {
  const whole = sizeOf({ side }, room);
  const left = leftOfSide(room, side, parts);
  if (parts.length === 0 || !isLeft(left)) return null;
  for (const [along, across] of [
    ['width_m', 'height_m'],
    ['height_m', 'width_m'],
  ] as const) {
    const [length, depth] = [asNumber(whole[along]), asNumber(whole[across])];
    const isCutAcross =
      depth !== null &&
      parts.every(
        (part) => part['area_m2'] === undefined && (part[across] === depth || (isFlat(side) && part[along] === depth)),
      );
    if (length !== null && depth !== null && isCutAcross && toCentimetre(left / depth) > 0)
      return { [along]: toCentimetre(left / depth), [across]: depth };
  }
  return { area_m2: toCentimetre(left) };
}

/** A side that this one can be like, in words, with the edit that makes it so. */
export interface Alike {
  words: string;
  edit: Edit;
}

/**
 * 'Same on the other side': the wall opposite with its windows and doors, said once more; null where that one has none, is in parts,
 * or lies against a room. Opposite walls of a box are equally large, so what sits in one sits in the other.
 */
export function likeTheOtherSide(
  survey: Survey,
  room: SurveyRecord,
  side: Side,
  makeId: () => string,
): { words: string; edits: Edit[] } | null {
  const opposite = model.closing.opposite[side] as Side | undefined;
  if (!opposite || isFlat(side) || sideOf(survey, room.id, side).walls.length > 0) return null;
  const { walls, openings } = sideOf(survey, room.id, opposite);
  const [wall] = walls;
  const beyond = wall?.record.values['other_side'];
  if (!wall || walls.length !== 1 || openings.length === 0 || beyond === 'room' || !beyond) return null;
  const copyOf = (record: SurveyRecord, own: Values): Values => {
    const { name: _name, ...rest } = record.values;
    return Object.fromEntries(Object.entries({ ...rest, ...own }).filter(([, value]) => value !== null));
  };
  const id = makeId();
  const edits: Edit[] = [{ kind: 'surface', id, values: copyOf(wall.record, { side }) }];
  for (const { record } of openings)
    edits.push({ kind: 'surface', id: makeId(), values: copyOf(record, { side, opening_in: id }) });
  const counts = new Map<string, number>();
  for (const { record } of openings) {
    const what = String(record.values['element']) === 'door' ? 'door' : 'window';
    counts.set(what, (counts.get(what) ?? 0) + (asNumber(record.values['count']) ?? 1));
  }
  const with_ = [...counts].map(([what, count]) => (count === 1 ? `a ${what}` : `${count} ${what}s`)).join(' and ');
  return {
    words: `Same as the ${SIDE_WORDS[opposite].toLowerCase()}: ${choiceLabel(fieldOf('surface', 'other_side'), beyond)}, with ${with_}`,
    edits,
  };
}

/** What is said of a side beyond what lies behind it, and is the same for one like it. */
const TOLD_OF_A_SIDE = ['construction', 'unheated_space', 'space', 'depth_below_ground_m', 'below'];

/**
 * Sides that this one may be the same as: those of this room, then those of the others, newest first.
 * Only what one tap could not say by itself: a kind of unheated space, a construction that is not the usual one.
 */
export function alikeFor(survey: Survey, room: SurveyRecord, side: Side, makeId: () => string, size?: Values): Alike[] {
  const own = surfacesOf(survey, room.id)
    .filter((item) => !item.isShared)
    .map((item) => item.record);
  const others = survey.ofKind('surface').filter((item) => item.values['room'] !== room.id);
  const found = new Map<string, Alike>();
  for (const surface of [...own.reverse(), ...others.reverse()]) {
    const { side: theirs, other_side: beyond } = surface.values;
    const isSameWay = isFlat(side) ? theirs === side : typeof theirs === 'string' && !isFlat(theirs as Side);
    if (!isSameWay || isOpening(surface) || !beyond || beyond === 'room') continue;
    const edit = setBeyond(survey, room, side, beyond as Beyond, { id: makeId(), ...(size ? { size } : {}) });
    const plain = edit.values['construction'];
    for (const name of TOLD_OF_A_SIDE) {
      const value = surface.values[name];
      if (value !== undefined && value !== null) edit.values[name] = value;
    }
    if (beyond !== 'unheated' && beyond !== 'ground' && edit.values['construction'] === plain) continue;
    const key = JSON.stringify(['other_side', ...TOLD_OF_A_SIDE].map((name) => edit.values[name] ?? null));
    if (found.has(key) || found.size === 2) continue;
    const place =
      surface.values['room'] === room.id
        ? `the ${SIDE_WORDS[theirs as Side].toLowerCase()}`
        : `in ${String(survey.find('room', surface.values['room'])?.values['name'] ?? 'another room')}`;
    const made = survey.find('construction', edit.values['construction'])?.values['name'];
    const space =
      survey.find('unheated_space', edit.values['space'])?.values['name'] ??
      (edit.values['unheated_space']
        ? choiceLabel(fieldOf('surface', 'unheated_space'), edit.values['unheated_space'])
        : undefined);
    found.set(key, {
      words: `Same as ${place}: ${[space ?? choiceLabel(fieldOf('surface', 'other_side'), beyond), made].filter(Boolean).join(', ')}`,
      edit,
    });
  }
  return [...found.values()];
}

/** The look of a door between rooms. */
const INSIDE_DOOR = 'door_inside';

/** The construction an opening starts with. A door between rooms is like the last one, an inside door by its look, or the one door that is not the usual; never the usual outside door. */
export function openingConstruction(survey: Survey, element: string, wall: SurveyRecord): SurveyRecord | undefined {
  if (element === 'door' && wall.values['element'] === 'partition') {
    const doors = survey
      .ofKind('surface')
      .filter(
        (item) =>
          item.values['element'] === 'door' &&
          survey.find('surface', item.values['opening_in'])?.values['element'] === 'partition',
      );
    const last = survey.find('construction', doors.at(-1)?.values['construction']);
    const inside = survey
      .ofKind('construction')
      .filter((item) => item.values['element'] === 'door' && item.values['is_usual'] !== true);
    return (
      last ??
      inside.find((item) => [item.values['look'], item.values['ready']].includes(INSIDE_DOOR)) ??
      (inside.length === 1 ? inside[0] : undefined)
    );
  }
  return usualConstruction(survey, element, survey.find('room', wall.values['room']));
}

/** A new opening with its construction; where the house has no door between rooms yet, an inside door is made for it. */
export function newOpening(survey: Survey, wall: SurveyRecord, values: Values, makeId: () => string): Edit[] {
  const element = String(values['element']);
  const known = openingConstruction(survey, element, wall)?.id;
  const opening = (construction: string | undefined): Edit => ({
    kind: 'surface',
    id: makeId(),
    values: { ...values, opening_in: wall.id, ...(construction === undefined ? {} : { construction }) },
  });
  if (known !== undefined || element !== 'door' || wall.values['element'] !== 'partition') return [opening(known)];
  const name = choiceLabel(fieldOf('construction', 'look'), INSIDE_DOOR);
  const inside: Edit = {
    kind: 'construction',
    id: makeId(),
    values: { name, element, known_by: 'look', look: INSIDE_DOOR },
  };
  return [inside, opening(inside.id)];
}

/** As many as fit under the thumb at once. */
const MOST_CHIPS = 5;

/** The constructions that a surface may be of, where there is a choice: the usual one first, then those made last. */
export function constructionsFor(survey: Survey, surface: Values): SurveyRecord[] {
  const [element, beyond, side] = ['element', 'other_side', 'side'].map((name) => surface[name]);
  const fitting = survey
    .ofKind('construction')
    .filter((item) => fitsSurface(item, String(element), beyond as Beyond, side as Side));
  if (fitting.length < 2) return [];
  const first = [
    survey.find('construction', surface['construction']),
    usualConstruction(survey, String(element), survey.find('room', surface['room']), side as Side, beyond as Beyond),
  ].filter((item): item is SurveyRecord => item !== undefined);
  return [...new Set([...first, ...fitting.reverse()])].slice(0, MOST_CHIPS).sort(byOrder(survey));
}

/** In the order in which they were made, so that nothing moves under the thumb when another one is chosen. */
const byOrder = (survey: Survey) => {
  const place = new Map(survey.ofKind('construction').map((item, index) => [item.id, index]));
  return (one: SurveyRecord, other: SurveyRecord): number => place.get(one.id)! - place.get(other.id)!;
};
