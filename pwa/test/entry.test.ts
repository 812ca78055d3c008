import fc from 'fast-check';
import { expect, test } from 'vitest';
import { copyRoom, heightBeside } from '../src/domain/box.ts';
import {
  alikeFor,
  constructionsFor,
  nameFor,
  newRoom,
  newOpening,
  openingConstruction,
  restOfSide,
  storeyBeside,
} from '../src/domain/entry.ts';
import { readArea, readCount } from '../src/domain/parse.ts';
import { asPart, sizeOf } from '../src/domain/sizes.ts';
import { Survey, type SurveyRecord } from '../src/domain/survey.ts';

const room = (id: string, values = {}): SurveyRecord => ({
  kind: 'room',
  id,
  values: { name: id, storey: 'ground', length_m: 4.2, width_m: 3.9, height_m: 2.5, ...values },
});
const surface = (id: string, values = {}): SurveyRecord => ({
  kind: 'surface',
  id,
  values: { room: 'den', side: 'front', element: 'wall', other_side: 'outside', ...values },
});
const construction = (id: string, element: string, values = {}): SurveyRecord => ({
  kind: 'construction',
  id,
  values: { name: id, element, ...values },
});
const house = (...records: SurveyRecord[]) => new Survey('s', [room('den'), ...records]);
let number = 0;
const makeId = () => `made-${++number}`;

test('a room is named by its use, and counted where the name is taken', () => {
  expect(newRoom(house(), 'bedroom', 'first', 'a')).toEqual({
    kind: 'room',
    id: 'a',
    values: { name: 'Bedroom', use: 'bedroom', storey: 'first' },
  });
  expect(nameFor(house(room('b', { name: 'Bedroom' })), 'bedroom_en_suite', 'first')).toBe('Bedroom 2');
  expect(nameFor(house(), 'hall', 'ground')).toBe('Hall');
  expect(nameFor(house(), 'hall', 'first')).toBe('Landing');
  expect(nameFor(house(), 'bathroom', 'first')).toBe('Bathroom');
});

test('the storey above and below, and the height of the last room there', () => {
  expect(storeyBeside('ground', 'ceiling')).toBe('first');
  expect(storeyBeside('ground', 'front')).toBe('ground');
  expect(storeyBeside('basement', 'floor')).toBe('basement');
  const survey = house(
    room('up', { storey: 'first', height_m: 2.3 }),
    room('new', { storey: 'first', height_m: null }),
    room('low'),
  );
  expect(heightBeside(survey, survey.find('room', 'new')!)).toBe(2.3);
  expect(heightBeside(survey, survey.find('room', 'low')!)).toBe(2.5);
  expect(heightBeside(house(), house().find('room', 'den')!)).toBeNull();
});

test('what is left of a wall keeps its height, of a ceiling the edge that was cut across', () => {
  const { values } = room('den');
  expect(restOfSide(values, 'right', [{ width_m: 3.1, height_m: 2.5 }])).toEqual({ width_m: 0.8, height_m: 2.5 });
  expect(restOfSide({ ...values, length_m: 3, width_m: 3.1 }, 'ceiling', [{ width_m: 3, height_m: 2.4 }])).toEqual({
    width_m: 0.7,
    height_m: 3,
  });
  expect(restOfSide(values, 'floor', [{ area_m2: 10 }])).toEqual({ area_m2: 6.38 });
  expect(restOfSide(values, 'right', [])).toBeNull();
  expect(restOfSide(values, 'right', [{ width_m: 3.9, height_m: 2.5 }])).toBeNull();
  expect(restOfSide(values, 'right', [{ width_m: 3.1 }])).toBeNull();
  expect(restOfSide({ height_m: 2.5 }, 'right', [{ width_m: 3.1, height_m: 2.5 }])).toBeNull();
});

test('a floor whose room has an area takes parts: by edges or by area, and what is left is asked', () => {
  const odd = { ...room('den').values, floor_area_m2: 15 };
  expect(restOfSide(odd, 'ceiling', [{ width_m: 2, height_m: 3 }])).toEqual({ area_m2: 9 });
  expect(restOfSide(odd, 'floor', [{ area_m2: 6 }, { area_m2: 9 }])).toBeNull();
  // A part said by its edges has no other area, or that one would win; and the other way round.
  expect(asPart({ width_m: 2, height_m: 3 })).toEqual({ width_m: 2, height_m: 3, area_m2: null });
  expect(asPart({ area_m2: 6 })).toEqual({ area_m2: 6, width_m: null, height_m: null });
  expect(asPart({ width_m: 3.1 })).toEqual({ width_m: 3.1, area_m2: null });
  const said = { side: 'floor', element: 'floor', area_m2: 9 };
  expect(sizeOf({ ...said, ...asPart({ width_m: 2, height_m: 3 }) }, odd)).toEqual({ width_m: 2, height_m: 3 });
});

test('an area in place of sizes', () => {
  expect(readArea('7.2 m2', false)).toEqual({ ok: true, value: 7.2 });
  expect(readArea('7,2', true)).toEqual({ ok: true, value: 7.2 });
  expect(readArea('7.2', false).ok).toBe(false);
  expect(readArea('3 x 2', true).ok).toBe(false);
  expect(readArea('3 m', true).ok).toBe(false);
});

test('a part and what is left are together the side', () => {
  fc.assert(
    fc.property(fc.integer({ min: 20, max: 380 }), (cm) => {
      const part = { width_m: cm / 100, height_m: 2.5 };
      const rest = restOfSide(room('den').values, 'right', [part]);
      const left = rest ? (rest['width_m'] as number) * (rest['height_m'] as number) : 0;
      expect(Math.abs((cm / 100) * 2.5 + left - 3.9 * 2.5)).toBeLessThan(0.11);
    }),
  );
});

test('a side can be the same as one next door: only what one tap could not say, each once', () => {
  const survey = house(
    room('study'),
    construction('usual', 'wall', { is_usual: true }),
    construction('lined', 'wall'),
    { kind: 'unheated_space', id: 'garage', values: { name: 'Garage' } },
    surface('plain', { construction: 'usual' }),
    surface('special', { side: 'right', construction: 'lined' }),
    surface('theirs', { room: 'study', side: 'left', other_side: 'unheated', space: 'garage', construction: 'usual' }),
    surface('top', {
      room: 'study',
      side: 'ceiling',
      element: 'ceiling',
      other_side: 'unheated',
      unheated_space: 'loft_felted',
    }),
    surface('partition', { room: 'study', element: 'partition', other_side: 'room', other_room: 'den' }),
  );
  const den = survey.find('room', 'den')!;
  const [lined, garage, ...more] = alikeFor(survey, den, 'back', makeId);
  expect(more).toEqual([]);
  expect(lined!.words).toBe('Same as the right side: Outside air, lined');
  expect(lined!.edit.values).toMatchObject({
    room: 'den',
    side: 'back',
    element: 'wall',
    other_side: 'outside',
    construction: 'lined',
  });
  expect(lined!.edit.values['width_m']).toBeUndefined();
  expect(garage!.words).toBe('Same as in study: Garage, usual');
  expect(garage!.edit.values).toMatchObject({ other_side: 'unheated', space: 'garage' });
  expect(alikeFor(survey, den, 'ceiling', makeId).map((item) => item.edit.values)).toMatchObject([
    { element: 'ceiling', unheated_space: 'loft_felted' },
  ]);
  expect(alikeFor(survey, den, 'floor', makeId)).toEqual([]);
});

test('a door between rooms is like the last one there, or the one door that is not the usual', () => {
  const doors = [construction('front', 'door', { is_usual: true }), construction('inside', 'door')];
  const partition = surface('p', { element: 'partition', other_side: 'room' });
  const wall = surface('w');
  const survey = house(...doors, partition, wall);
  expect(openingConstruction(survey, 'door', partition)?.id).toBe('inside');
  expect(openingConstruction(survey, 'door', wall)?.id).toBe('front');
  const used = house(...doors, construction('third', 'door'), partition, {
    kind: 'surface',
    id: 'd',
    values: { room: 'den', element: 'door', opening_in: 'p', construction: 'third' },
  });
  expect(openingConstruction(used, 'door', partition)?.id).toBe('third');
  expect(constructionsFor(used, { element: 'door' })).toHaveLength(3);
  const looks = [
    construction('porch', 'door'),
    construction('hatch', 'door'),
    construction('in', 'door', { look: 'door_inside' }),
  ];
  expect(openingConstruction(house(...doors.slice(0, 1), ...looks, partition), 'door', partition)?.id).toBe('in');
  expect(constructionsFor(house(construction('one', 'wall')), { element: 'wall' })).toEqual([]);
});

test('between rooms no outside door is offered: the first door there makes an inside door, the next one is like it', () => {
  const front = construction('front', 'door', { is_usual: true, look: 'door_solid' });
  const [partition, wall] = [surface('p', { element: 'partition', other_side: 'room' }), surface('w')];
  const size = { room: 'den', element: 'door', side: 'left', width_m: 0.75, height_m: 2 };
  const survey = house(front, partition, wall);
  const [inside, door, ...more] = newOpening(survey, partition, size, makeId);
  expect(more).toEqual([]);
  expect(inside).toMatchObject({
    kind: 'construction',
    values: { name: 'Inside door', element: 'door', known_by: 'look', look: 'door_inside' },
  });
  expect(door).toMatchObject({ kind: 'surface', values: { ...size, opening_in: 'p', construction: inside!.id } });
  const next = house(front, partition, wall, inside as SurveyRecord, door as SurveyRecord);
  expect(newOpening(next, partition, size, makeId)).toMatchObject([{ values: { construction: inside!.id } }]);
  expect(newOpening(survey, wall, size, makeId)).toMatchObject([
    { values: { opening_in: 'w', construction: 'front' } },
  ]);
  const window = newOpening(house(wall), wall, { ...size, element: 'window' }, makeId);
  expect(window).toHaveLength(1);
  expect(window[0]!.values['construction']).toBeUndefined();
});

test('a copy leaves behind what is true of the first room only', () => {
  const survey = house(
    surface('w'),
    surface('p', { side: 'left', element: 'partition', other_side: 'room', other_room: 'hall' }),
    { kind: 'surface', id: 'd', values: { room: 'den', element: 'door', opening_in: 'p' } },
    { kind: 'emitter', id: 'e', values: { room: 'den', type: 'panel_22', condition: 'rust' } },
  );
  const edits = copyRoom(
    survey,
    {
      ...survey.find('room', 'den')!,
      values: { ...survey.find('room', 'den')!.values, damp_seen: true, notes: 'Spots' },
    },
    makeId,
  );
  expect(edits.map((edit) => [edit.kind, edit.values['element'] ?? null])).toEqual([
    ['room', null],
    ['surface', 'wall'],
    ['emitter', null],
  ]);
  expect(edits[0]!.values).not.toHaveProperty('damp_seen');
  expect(edits[0]!.values).not.toHaveProperty('notes');
  expect(edits[2]!.values).not.toHaveProperty('condition');
});

test('a count before a size is a count, and a size is never taken for one', () => {
  expect(readCount('2 x 1.2 x 1.05')).toEqual({ count: 2, rest: '1.2 x 1.05' });
  expect(readCount('3 of 1200 x 900 mm')).toEqual({ count: 3, rest: '1200 x 900 mm' });
  expect(readCount('2 x 1.2')).toEqual({ count: 1, rest: '2 x 1.2' });
  expect(readCount('1.2 x 1.05')).toEqual({ count: 1, rest: '1.2 x 1.05' });
  expect(readCount('60 x 1.2 x 1')).toEqual({ count: 1, rest: '60 x 1.2 x 1' });
});
