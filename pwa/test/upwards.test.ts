import { expect, test } from 'vitest';
import { nextRoom, surfacesOf } from '../src/domain/box.ts';
import { likeTheOtherSide, roomsBeyond } from '../src/domain/entry.ts';
import { fieldOf } from '../src/domain/model.ts';
import { Survey, type Edit, type SurveyRecord } from '../src/domain/survey.ts';
import { copiedUpwards, copyUpwards } from '../src/domain/upwards.ts';
import { readInto } from '../src/forms/typed.ts';

const room = (id: string, values = {}): SurveyRecord => ({
  kind: 'room',
  id,
  values: { name: id, storey: 'ground', use: 'living', length_m: 4.2, width_m: 3.9, height_m: 2.5, ...values },
});
const surface = (id: string, of: string, side: string, beyond: string, values = {}): SurveyRecord => ({
  kind: 'surface',
  id,
  values: { room: of, side, element: beyond === 'room' ? 'partition' : 'wall', other_side: beyond, ...values },
});
let number = 0;
const makeId = () => `made-${String(++number).padStart(3, '0')}`;
const applied = (survey: Survey, edits: readonly Edit[]): Survey => {
  const records = new Map([...survey.all()].map((item) => [`${item.kind}/${item.id}`, item]));
  for (const { kind, id, values } of edits) {
    const before = records.get(`${kind}/${id}`);
    records.set(`${kind}/${id}`, { kind, id, values: { ...before?.values, ...values } });
  }
  return new Survey(survey.id, [...records.values()]);
};

const wall: SurveyRecord = { kind: 'construction', id: 'brick', values: { element: 'wall', is_usual: true } };
const stud: SurveyRecord = { kind: 'construction', id: 'stud', values: { element: 'partition', is_usual: true } };
const ground = (...more: SurveyRecord[]) =>
  new Survey('s', [
    wall,
    stud,
    room('Lounge'),
    room('Hall', { use: 'hall', length_m: 2, width_m: 3.9 }),
    room('Not measured', { length_m: null, width_m: null, height_m: null }),
    surface('front', 'Lounge', 'front', 'outside', { construction: 'brick' }),
    surface('window', 'Lounge', 'front', 'outside', {
      element: 'window',
      opening_in: 'front',
      width_m: 1.2,
      height_m: 1.1,
    }),
    surface('party', 'Lounge', 'left', 'neighbour', { construction: 'brick' }),
    surface('between', 'Lounge', 'right', 'room', { other_room: 'Hall', width_m: 3.1 }),
    surface('garage', 'Hall', 'right', 'unheated', { unheated_space: 'corridor' }),
    surface('floor', 'Lounge', 'floor', 'ground', { element: 'ground_floor' }),
    ...more,
  ]);

test('a storey goes upwards with its sizes, its outside walls and the walls between what is copied', () => {
  const survey = ground();
  expect(copiedUpwards(survey, 'ground')).toMatchObject({ above: 'first', rooms: [{ id: 'Lounge' }, { id: 'Hall' }] });
  const uses = new Map([
    ['Lounge', 'bedroom'],
    ['Hall', 'hall'],
  ]);
  const up = applied(survey, copyUpwards(survey, 'ground', uses, makeId));
  const [bedroom, landing] = ['Bedroom', 'Landing'].map((name) =>
    up.ofKind('room').find((item) => item.values['name'] === name)!,
  );
  expect(bedroom!.values).toEqual({
    name: 'Bedroom',
    use: 'bedroom',
    storey: 'first',
    length_m: 4.2,
    width_m: 3.9,
    height_m: 2.5,
  });
  const said = (id: string) =>
    surfacesOf(up, id).map(({ record, side }) => [side, record.values['other_side'], record.values['width_m'] ?? null]);
  expect(said(bedroom!.id)).toEqual(
    expect.arrayContaining([
      ['front', 'outside', null],
      ['left', 'neighbour', null],
      ['right', 'room', 3.1],
      ['floor', 'room', null],
    ]),
  );
  expect(said(bedroom!.id)).toHaveLength(4);
  // The garage beside the hall is no higher than the hall; the wall between the two is one record.
  expect(said(landing!.id)).toEqual(
    expect.arrayContaining([
      ['left', 'room', 3.1],
      ['floor', 'room', null],
    ]),
  );
  expect(said(landing!.id)).toHaveLength(2);
  const front = up.children('surface', bedroom!.id).find((item) => item.values['side'] === 'front')!;
  expect(front.values['construction']).toBe('brick');
  expect(up.ofKind('surface').filter((item) => item.values['element'] === 'window')).toHaveLength(1);
  // What lies between the storeys is told once, from below.
  expect(up.children('surface', 'Lounge').filter((item) => item.values['side'] === 'ceiling')).toHaveLength(1);
  expect(copiedUpwards(up, 'ground')).toBeNull();
});

test('a room with nothing above, and one whose ceiling was spoken of, stay as they are', () => {
  const survey = ground(surface('roof', 'Hall', 'ceiling', 'outside', { element: 'roof' }));
  const uses = new Map([['Hall', 'hall']]);
  expect(copyUpwards(survey, 'ground', uses, makeId)).toEqual([]);
  const one = applied(survey, copyUpwards(survey, 'ground', new Map([['Lounge', 'bedroom']]), makeId));
  const bedroom = one.ofKind('room').find((item) => item.values['storey'] === 'first')!;
  // Over the hall nothing was entered, so what is beyond that wall is asked.
  expect(
    surfacesOf(one, bedroom.id)
      .map((item) => item.side)
      .sort(),
  ).toEqual(['floor', 'front', 'left']);
  expect(copiedUpwards(ground(room('Up', { storey: 'first' })), 'ground')).toBeNull();
  expect(copiedUpwards(new Survey('s', [room('Top', { storey: 'loft' })]), 'loft')).toBeNull();
});

test('copies of one use are numbered', () => {
  const survey = ground();
  const uses = new Map([
    ['Lounge', 'bedroom'],
    ['Hall', 'bedroom'],
  ]);
  const names = copyUpwards(survey, 'ground', uses, makeId).flatMap((edit) =>
    edit.kind === 'room' ? [edit.values['name']] : [],
  );
  expect(names).toEqual(['Bedroom', 'Bedroom 2']);
});

test('the same on the other side: the wall with its windows, where the other one is alone and no room’s', () => {
  const survey = ground();
  const lounge = survey.find('room', 'Lounge')!;
  const same = likeTheOtherSide(survey, lounge, 'back', makeId)!;
  expect(same.words).toBe('Same as the front side: Outside air, with a window');
  const [back, window] = same.edits;
  expect(back!.values).toMatchObject({ side: 'back', other_side: 'outside', construction: 'brick' });
  expect(window!.values).toMatchObject({ side: 'back', opening_in: back!.id, width_m: 1.2, height_m: 1.1 });
  // Said already, against a room, or without anything in it: nothing that one tap could not say.
  for (const side of ['front', 'left', 'right', 'ceiling'] as const)
    expect(likeTheOtherSide(survey, lounge, side, makeId)).toBeNull();
  expect(likeTheOtherSide(survey, survey.find('room', 'Hall')!, 'left', makeId)).toBeNull();
});

test('the same on the other side is not offered where it would be said twice, of a part, or of a room', () => {
  const door = (of: string) =>
    surface('door', 'Lounge', 'right', 'outside', { element: 'door', opening_in: of, width_m: 0.8, height_m: 2 });
  const offered = (side: 'back' | 'left', ...more: SurveyRecord[]) => {
    const survey = ground(...more);
    return likeTheOtherSide(survey, survey.find('room', 'Lounge')!, side, makeId);
  };
  expect(offered('back')).not.toBeNull();
  expect(offered('back', surface('said', 'Lounge', 'back', 'neighbour'))).toBeNull();
  expect(offered('back', surface('more', 'Lounge', 'front', 'outside', { width_m: 1 }))).toBeNull();
  // Once nothing else speaks against it: the left side opposite a door into the hall.
  const left = ground(door('between'));
  const free = new Survey(
    's',
    [...left.all()].filter((item) => item.id !== 'party'),
  );
  expect(likeTheOtherSide(free, free.find('room', 'Lounge')!, 'left', makeId)).toBeNull();
});

test('what can lie beyond a side: rooms of that storey, a loft above any', () => {
  const [den, up, loft, low] = [
    room('den'),
    room('up', { storey: 'first' }),
    room('attic', { storey: 'loft' }),
    room('low'),
  ];
  const names = (rooms: SurveyRecord[]) => rooms.map((item) => item.id);
  expect(names(roomsBeyond([up, loft, low], den, 'front').near)).toEqual(['low']);
  expect(names(roomsBeyond([up, loft, low], den, 'ceiling').near)).toEqual(['up', 'attic']);
  expect(names(roomsBeyond([den, up, low], loft, 'floor').near)).toEqual(['up']);
  expect(names(roomsBeyond([up, loft, low], den, 'front').far)).toEqual(['up', 'attic']);
  expect(names(roomsBeyond([up], den, 'floor').near)).toEqual([]);
});

test('the next room is one that was named and not measured, of this storey first', () => {
  const empty = { length_m: null, width_m: null, height_m: null };
  const survey = new Survey('s', [
    room('den'),
    room('bed', { storey: 'first', ...empty }),
    room('hall', empty),
    room('odd', { ...empty, floor_area_m2: 9 }),
  ]);
  expect(nextRoom(survey, survey.find('room', 'den')!)?.id).toBe('hall');
  expect(nextRoom(survey, survey.find('room', 'hall')!)?.id).toBe('bed');
  expect(nextRoom(new Survey('s', [room('den')]), room('den'))).toBeUndefined();
});

test('sizes typed into the first field fill the others, or none of them', () => {
  const width = fieldOf('hot_water', 'place_width_mm');
  expect(readInto('hot_water', width, '620 640 1850')).toEqual({
    ok: true,
    value: { place_width_mm: 620, place_depth_mm: 640, place_height_mm: 1850 },
  });
  expect(readInto('hot_water', width, '.62 x .64')).toEqual({
    ok: true,
    value: { place_width_mm: 620, place_depth_mm: 640 },
  });
  expect(readInto('hot_water', width, '620')).toEqual({ ok: true, value: { place_width_mm: 620 } });
  expect(readInto('hot_water', width, '620 x 64000')).toEqual({
    ok: false,
    why: 'Clear depth: Expected 100 to 5000\u00a0mm, found 64,000.',
  });
  for (const text of ['620 x door', '620 640 1850 3']) expect(readInto('hot_water', width, text).ok, text).toBe(false);
  // An answer that brings others with it stands alone.
  expect(readInto('hot_water', width, '620 640', true).ok).toBe(false);
  expect(readInto('hot_water', fieldOf('hot_water', 'door_width_mm'), '620 640').ok).toBe(false);
});
