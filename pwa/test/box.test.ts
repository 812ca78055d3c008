import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  copyRoom,
  elementFor,
  fitsSurface,
  nextName,
  keptAfterAll,
  removal,
  resize,
  setBeyond,
  sideOf,
  sidesOf,
  surfacesOf,
  usualConstruction,
  type Beyond,
  type Side,
} from '../src/domain/box.ts';
import { openingConstruction } from '../src/domain/entry.ts';
import { looksFor, looksOf, setLook, SLOTS, usualOf } from '../src/domain/fast_start.ts';
import { fieldOf, type Values } from '../src/domain/model.ts';
import { sizeIn } from '../src/domain/sizes.ts';
import { Survey, type Edit, type SurveyRecord } from '../src/domain/survey.ts';

/** Carry edits out on plain records, as the store does. */
function carryOut(records: SurveyRecord[], edits: Edit[]): SurveyRecord[] {
  const made = new Map(
    records.map((record) => [`${record.kind}/${record.id}`, { ...record, values: { ...record.values } }]),
  );
  for (const edit of edits) {
    const key = `${edit.kind}/${edit.id}`;
    const record = made.get(key) ?? { kind: edit.kind, id: edit.id, values: {} as Values };
    for (const [name, value] of Object.entries(edit.values)) {
      if (value === null) delete record.values[name];
      else record.values[name] = value;
    }
    made.set(key, record);
  }
  return [...made.values()];
}

let number = 0;
const makeId = () => `made-${++number}`;

const HOUSE: SurveyRecord[] = [
  { kind: 'construction', id: 'wall', values: { element: 'wall', is_usual: true, name: 'Cavity' } },
  { kind: 'construction', id: 'stud', values: { element: 'partition', is_usual: true, name: 'Stud' } },
  { kind: 'construction', id: 'boards', values: { element: 'floor', is_usual: true, name: 'Boards' } },
  { kind: 'room', id: 'kitchen', values: { name: 'Kitchen', length_m: 4.2, width_m: 3.6, height_m: 2.4 } },
  { kind: 'room', id: 'hall', values: { name: 'Hall', length_m: 2, width_m: 1.2, height_m: 2.4 } },
];
const house = (more: SurveyRecord[] = []) => new Survey('s', [...HOUSE, ...more]);

test('a side becomes a surface of the right element with the usual construction', () => {
  const survey = house();
  const kitchen = survey.find('room', 'kitchen')!;
  expect(setBeyond(survey, kitchen, 'front', 'outside', { id: 'a' })).toEqual({
    kind: 'surface',
    id: 'a',
    values: { room: 'kitchen', side: 'front', element: 'wall', other_side: 'outside', construction: 'wall' },
  });
  expect(setBeyond(survey, kitchen, 'left', 'room', { id: 'b', otherRoom: 'hall' }).values).toMatchObject({
    element: 'partition',
    other_room: 'hall',
    construction: 'stud',
  });
  // A ceiling under another room has no construction of its own here: the floor above is the same boards.
  expect(setBeyond(survey, kitchen, 'ceiling', 'room', { id: 'c' }).values).toMatchObject({
    element: 'ceiling',
    construction: 'boards',
  });
  expect(setBeyond(survey, kitchen, 'floor', 'ground', { id: 'd' }).values).toMatchObject({
    element: 'ground_floor',
    other_side: 'ground',
  });
});

test('a side of a room in an extension gets what is usual there, else what is usual in the main house', () => {
  const rear = { kind: 'construction', id: 'new-wall', values: { element: 'wall', is_usual: true, extension: 'rear' } };
  const survey = house([
    // Written down before the main house's would be found, so the order does not decide.
    rear,
    { kind: 'extension', id: 'rear', values: { name: 'Rear extension' } },
    { kind: 'room', id: 'study', values: { name: 'Study', extension: 'rear' } },
  ]);
  const made = (room: string, side: Side, beyond: Beyond) =>
    setBeyond(survey, survey.find('room', room)!, side, beyond, { id: 'a' }).values['construction'];
  expect(made('study', 'front', 'outside')).toBe('new-wall');
  expect(made('study', 'left', 'room')).toBe('stud');
  expect(made('kitchen', 'front', 'outside')).toBe('wall');
  const first = new Survey('s', [rear, ...HOUSE]);
  expect(usualOf(first, slotOf('wall'))!.id).toBe('wall');
  const wall = { kind: 'surface', id: 'w', values: { room: 'study', element: 'wall' } };
  expect(openingConstruction(house([rear, wall]), 'wall', wall)!.id).toBe('wall');
  expect(openingConstruction(new Survey('s', [...survey.all(), wall]), 'wall', wall)!.id).toBe('new-wall');
});

test('a copy of a room is in the same part of the house', () => {
  const survey = house([{ kind: 'room', id: 'study', values: { name: 'Study', extension: 'rear' } }]);
  expect(copyRoom(survey, survey.find('room', 'study')!, makeId)[0]!.values['extension']).toBe('rear');
});

test('taking an extension away leaves its rooms, which then ask which part they are in', () => {
  const survey = house([
    { kind: 'extension', id: 'rear', values: { name: 'Rear extension' } },
    { kind: 'room', id: 'study', values: { name: 'Study', extension: 'rear' } },
  ]);
  expect(removal(survey, 'extension', 'rear')).toEqual([{ kind: 'extension', id: 'rear', values: { deleted: true } }]);
});

test('every side and every beyond makes values that the model knows', () => {
  const beyonds: Beyond[] = ['outside', 'ground', 'room', 'unheated', 'neighbour', 'nothing'];
  const known = (name: string) => new Set(fieldOf('surface', name).choices!.map((choice) => choice.value));
  for (const side of [...sidesOf({}), 'slope' as const]) {
    expect(known('side')).toContain(side);
    for (const beyond of beyonds) {
      expect(known('element')).toContain(elementFor(side, beyond));
      expect(known('other_side')).toContain(beyond);
    }
  }
});

test('changing what is beyond keeps a construction chosen by hand while the element stays', () => {
  const wall: SurveyRecord = {
    kind: 'surface',
    id: 'w',
    values: {
      room: 'kitchen',
      side: 'front',
      element: 'wall',
      other_side: 'outside',
      construction: 'special',
      width_m: 3,
    },
  };
  const survey = house([wall]);
  const kitchen = survey.find('room', 'kitchen')!;
  expect(setBeyond(survey, kitchen, 'front', 'neighbour', { id: 'x', existing: wall })).toEqual({
    kind: 'surface',
    id: 'w',
    values: { other_side: 'neighbour' },
  });
  expect(setBeyond(survey, kitchen, 'front', 'room', { id: 'x', existing: wall, otherRoom: 'hall' }).values).toEqual({
    element: 'partition',
    other_side: 'room',
    other_room: 'hall',
    construction: 'stud',
  });
});

test('a partition is one record and is met on the opposite side of the other room', () => {
  const survey = house([
    {
      kind: 'surface',
      id: 'p',
      values: { room: 'kitchen', side: 'left', element: 'partition', other_side: 'room', other_room: 'hall' },
    },
  ]);
  expect(sideOf(survey, 'hall', 'right').walls).toMatchObject([{ isShared: true, record: { id: 'p' } }]);
  expect(sideOf(survey, 'hall', 'left').walls).toEqual([]);
  expect(sideOf(survey, 'kitchen', 'left').walls).toMatchObject([{ isShared: false }]);
});

test('a new size is one answer a size, and the sides that follow the box have it', () => {
  const sizes = fc.integer({ min: 100, max: 900 }).map((value) => value / 100);
  fc.assert(
    fc.property(sizes, sizes, sizes, (length, width, height) => {
      const survey = house([
        {
          kind: 'surface',
          id: 'f',
          values: { room: 'kitchen', side: 'front', element: 'wall', other_side: 'outside' },
        },
        {
          kind: 'surface',
          id: 'h',
          values: { room: 'kitchen', side: 'right', element: 'wall', other_side: 'outside', width_m: 1.11 },
        },
        {
          kind: 'surface',
          id: 'win',
          values: { room: 'kitchen', side: 'front', element: 'window', opening_in: 'f', width_m: 4.2, height_m: 1 },
        },
        {
          kind: 'surface',
          id: 'p',
          values: { room: 'hall', side: 'front', element: 'partition', other_side: 'room', other_room: 'kitchen' },
        },
      ]);
      const edit = resize(survey.find('room', 'kitchen')!, { length_m: length, width_m: width, height_m: height });
      const after = new Survey('s', carryOut([...survey.all()], [edit]));
      const size = (id: string) => sizeIn(after, after.find('surface', id)!);
      expect(size('f')).toEqual({ width_m: length, height_m: height });
      expect(size('h')).toEqual({ width_m: 1.11, height_m: height });
      expect(size('win')).toEqual({ width_m: 4.2, height_m: 1 });
      // A wall between two rooms is as large as the room says that it was told from.
      expect(size('p')).toEqual({ width_m: 2, height_m: 2.4 });
    }),
  );
  const kitchen = house().find('room', 'kitchen')!;
  expect(resize(kitchen, { length_m: 5, width_m: 3.6, height_m: 2.4 })).toEqual({
    kind: 'room',
    id: 'kitchen',
    values: { length_m: 5 },
  });
});

test("'another like this' copies the room with its own surfaces, openings and emitters", () => {
  const survey = house([
    {
      kind: 'surface',
      id: 'f',
      values: { room: 'kitchen', side: 'front', element: 'wall', other_side: 'outside', width_m: 3.1 },
    },
    { kind: 'surface', id: 'win', values: { room: 'kitchen', element: 'window', opening_in: 'f' } },
    {
      kind: 'surface',
      id: 'theirs',
      values: { room: 'hall', side: 'right', other_side: 'room', other_room: 'kitchen', element: 'partition' },
    },
    { kind: 'emitter', id: 'rad', values: { room: 'kitchen', type: 'panel_22' } },
  ]);
  const edits = copyRoom(survey, survey.find('room', 'kitchen')!, makeId);
  expect(edits.map((edit) => edit.kind)).toEqual(['room', 'surface', 'surface', 'emitter']);
  expect(edits[0]!.values).toMatchObject({ name: 'Kitchen 2', length_m: 4.2 });
  const [room, wall, window, emitter] = edits;
  expect(window!.values['opening_in']).toBe(wall!.id);
  // What was said of a side goes along, and the rest follows the new room.
  expect([wall!.values['width_m'], wall!.values['height_m']]).toEqual([3.1, undefined]);
  for (const edit of [wall, window, emitter]) expect(edit!.values['room']).toBe(room!.id);
  expect(new Set(edits.map((edit) => edit.id)).size).toBe(4);
});

test('names of copies', () => {
  expect(nextName('Bedroom', [])).toBe('Bedroom 2');
  expect(nextName('Bedroom 2', ['Bedroom 3'])).toBe('Bedroom 4');
});

test('a removed room takes its own along and leaves a shared wall to the other room, as a gap', () => {
  const survey = house([
    { kind: 'surface', id: 'f', values: { room: 'kitchen', side: 'front', element: 'wall', other_side: 'outside' } },
    {
      kind: 'surface',
      id: 'p',
      values: { room: 'kitchen', side: 'left', element: 'partition', other_side: 'room', other_room: 'hall' },
    },
    {
      kind: 'surface',
      id: 'q',
      values: { room: 'hall', side: 'back', element: 'partition', other_side: 'room', other_room: 'kitchen' },
    },
    { kind: 'emitter', id: 'rad', values: { room: 'kitchen' } },
  ]);
  const after = new Survey('s', carryOut([...survey.all()], removal(survey, 'room', 'kitchen')));
  expect(after.ofKind('room').map((room) => room.id)).toEqual(['hall']);
  expect(after.ofKind('emitter')).toEqual([]);
  expect(after.ofKind('surface').map((surface) => surface.id)).toEqual(['p', 'q']);
  expect(after.find('surface', 'p')!.values).toEqual({
    room: 'hall',
    side: 'right',
    element: 'partition',
    other_side: 'room',
    width_m: 3.6,
    height_m: 2.4,
  });
  expect(after.find('surface', 'q')!.values['other_room']).toBeUndefined();
});

test('a room that is kept after all has its own back and its walls linked again, and nothing else that was taken away', () => {
  const before = [
    ...house([
      { kind: 'surface', id: 'f', values: { room: 'kitchen', side: 'front', element: 'wall', other_side: 'outside' } },
      { kind: 'surface', id: 'w', values: { room: 'kitchen', side: 'front', element: 'window', opening_in: 'f' } },
      {
        kind: 'surface',
        id: 'p',
        values: { room: 'kitchen', side: 'left', element: 'partition', other_side: 'room', other_room: 'hall' },
      },
      {
        kind: 'surface',
        id: 'q',
        values: { room: 'hall', side: 'back', element: 'partition', other_side: 'room', other_room: 'kitchen' },
      },
      { kind: 'surface', id: 'x', values: { room: 'hall', side: 'front', element: 'wall', other_side: 'outside' } },
      { kind: 'emitter', id: 'rad', values: { room: 'kitchen' } },
      { kind: 'emitter', id: 'old', values: { room: 'kitchen' } },
    ]).all(),
  ].map((record) => ({ ...record, values: { ...record.values }, seen: {} as Record<string, number> }));
  let revision = 40;
  const carry = (edits: readonly { kind: string; id: string; values: Record<string, unknown> }[]) => {
    for (const edit of edits) {
      for (const [field, value] of Object.entries(edit.values)) {
        const record = before.find((item) => item.id === edit.id)!;
        record.seen[field] = ++revision;
        if (value === null) delete record.values[field];
        else record.values[field] = value as string;
      }
    }
  };
  const shown = () => new Survey('s', before);
  const facing = () =>
    surfacesOf(shown(), 'kitchen')
      .map((item) => [item.record.id, item.side])
      .sort();
  // One that was taken away before, and one after, stay away.
  carry([{ kind: 'emitter', id: 'old', values: { deleted: true } }]);
  const sides = facing();
  const at = revision + 1;
  carry(removal(shown(), 'room', 'kitchen'));
  carry([{ kind: 'surface', id: 'x', values: { deleted: true } }]);
  expect(shown().find('room', 'kitchen')).toBeUndefined();
  carry(keptAfterAll(before, 'room', 'kitchen', at));
  expect(facing()).toEqual(sides);
  expect(shown().find('surface', 'p')!.values).toMatchObject({ room: 'hall', side: 'right', other_room: 'kitchen' });
  expect(shown().find('surface', 'q')!.values['other_room']).toBe('kitchen');
  expect(
    shown()
      .ofKind('emitter')
      .map((emitter) => emitter.id),
  ).toEqual(['rad']);
  expect(shown().find('surface', 'x')).toBeUndefined();
});

test('the fast start offers looks that its element can have, and every look can be reached', () => {
  for (const slot of SLOTS) {
    expect(looksOf(slot).length).toBeGreaterThan(0);
    for (const look of looksOf(slot)) expect(looksFor(slot.element)).toContainEqual(look);
  }
  const elements = fieldOf('surface', 'element').choices!.map((choice) => choice.value);
  const reachable = new Set(elements.flatMap((element) => looksFor(element).map((look) => look.value)));
  expect([...reachable].sort()).toEqual(
    fieldOf('construction', 'look')
      .choices!.map((look) => look.value)
      .sort(),
  );
});

const slotOf = (key: string) => SLOTS.find((slot) => slot.key === key)!;

test('a usual construction fills the surfaces that have none', () => {
  const survey = new Survey('s', [
    { kind: 'surface', id: 'a', values: { element: 'wall' } },
    { kind: 'surface', id: 'b', values: { element: 'wall', construction: 'mine' } },
    { kind: 'surface', id: 'c', values: { element: 'roof' } },
  ]);
  const edits = setLook(survey, slotOf('wall'), 'wall_cavity', () => 'new');
  expect(edits).toEqual([
    {
      kind: 'construction',
      id: 'new',
      values: { element: 'wall', is_usual: true, name: 'Cavity wall, empty', known_by: 'look', look: 'wall_cavity' },
    },
    { kind: 'surface', id: 'a', values: { construction: 'new' } },
  ]);
  const after = new Survey('s', carryOut([...survey.all()], edits));
  expect(usualConstruction(after, 'wall')!.id).toBe('new');
  // A second answer changes the same construction; a name given by hand stays.
  expect(setLook(after, slotOf('wall'), 'wall_cob', () => 'other')).toEqual([
    { kind: 'construction', id: 'new', values: { name: 'Cob or earth wall', known_by: 'look', look: 'wall_cob' } },
  ]);
  const named = new Survey(
    's',
    carryOut([...after.all()], [{ kind: 'construction', id: 'new', values: { name: 'North gable' } }]),
  );
  expect(setLook(named, slotOf('wall'), 'wall_cob', () => 'other')[0]!.values).not.toHaveProperty('name');
  expect(setLook(named, slotOf('wall'), null, () => 'other')).toEqual([
    { kind: 'construction', id: 'new', values: { look: null } },
  ]);
});

test('a wall to the neighbour has its own usual construction, and does not become the usual outside wall', () => {
  const survey = house([
    { kind: 'surface', id: 'n', values: { room: 'kitchen', side: 'left', element: 'wall', other_side: 'neighbour' } },
  ]);
  const after = new Survey(
    's',
    carryOut(
      [...survey.all()],
      setLook(survey, slotOf('party'), 'party_brick', () => 'party'),
    ),
  );
  expect(after.find('surface', 'n')!.values['construction']).toBe('party');
  expect(usualConstruction(after, 'wall')!.id).toBe('wall');
  expect(
    setBeyond(after, after.find('room', 'kitchen')!, 'right', 'neighbour', { id: 'x' }).values['construction'],
  ).toBe('party');
  expect(setBeyond(after, after.find('room', 'kitchen')!, 'right', 'outside', { id: 'x' }).values['construction']).toBe(
    'wall',
  );
});

const built = (id: string, element: string, values: Values): SurveyRecord => ({
  kind: 'construction',
  id,
  values: { name: id, element, ...values },
});
const LAYERED = { known_by: 'layers', layers: [{ material: 'Dense plaster', thickness_mm: 13 }] };
const KITCHEN = { kind: 'room', id: 'kitchen', values: { name: 'Kitchen', length_m: 4, width_m: 3, height_m: 2.4 } };
/** What a new side of a bare house is made of, by what it has. */
const startsWith = (side: Side, beyond: Beyond, ...made: SurveyRecord[]) =>
  setBeyond(new Survey('s', [KITCHEN, ...made]), KITCHEN, side, beyond, { id: 'n' }).values['construction'];

test.each([
  ['a look', { known_by: 'look', look: 'party_brick' }],
  ['the library', { known_by: 'ready', ready: 'party_cavity_block' }],
  ['layers', { ...LAYERED, serves: 'neighbour' }],
  ['papers', { known_by: 'declared', u_value_w_m2k: 1.1, serves: 'neighbour' }],
])('a wall to a neighbour by %s is the usual one there, and never an outside wall', (_how, values) => {
  const [party, wall] = [built('party', 'wall', values), built('wall', 'wall', { ...LAYERED, is_usual: true })];
  for (const made of [
    [party, wall],
    [wall, party],
  ]) {
    expect(startsWith('left', 'neighbour', ...made)).toBe('party');
    expect(startsWith('left', 'outside', ...made)).toBe('wall');
    expect(startsWith('left', 'unheated', ...made)).toBe('wall');
  }
  expect(startsWith('left', 'outside', party)).toBeUndefined();
  expect(startsWith('left', 'neighbour', wall)).toBe('wall');
  expect(usualOf(new Survey('s', [wall, party]), slotOf('wall'))?.id).toBe('wall');
  expect(usualOf(new Survey('s', [wall, party]), slotOf('party'))?.id).toBe('party');
});

test.each([
  ['roof', { known_by: 'look', look: 'roof_loft' }],
  ['ceiling', { known_by: 'look', look: 'roof_loft' }],
  ['ceiling', { known_by: 'ready', ready: 'roof_loft_200' }],
  ['ceiling', { ...LAYERED, serves: 'loft' }],
  ['roof', LAYERED],
])('a loft entered as %s lies under the loft and not between storeys', (element, values) => {
  const [loft, between] = [
    built('loft', element, { ...values, is_usual: true }),
    built('between', 'floor', { known_by: 'look', look: 'floor_between', is_usual: true }),
  ];
  for (const made of [
    [loft, between],
    [between, loft],
  ]) {
    expect(startsWith('ceiling', 'outside', ...made)).toBe('loft');
    expect(startsWith('ceiling', 'room', ...made)).toBe('between');
    expect(startsWith('floor', 'room', ...made)).toBe('between');
  }
  expect(startsWith('ceiling', 'room', loft)).toBeUndefined();
  expect(startsWith('ceiling', 'outside', between)).toBeUndefined();
  expect(usualOf(new Survey('s', [between, loft]), slotOf('roof'))?.id).toBe('loft');
});

test('a ceiling that does not say where it serves is nobody’s loft, and may be chosen for it', () => {
  const unknown = built('unknown', 'ceiling', { ...LAYERED, is_usual: true });
  expect(startsWith('ceiling', 'outside', unknown)).toBeUndefined();
  expect(startsWith('ceiling', 'room', unknown)).toBe('unknown');
  expect(fitsSurface(unknown, 'roof', 'outside', 'ceiling')).toBe(true);
  expect(
    fitsSurface(built('between', 'ceiling', { ...LAYERED, serves: 'storeys' }), 'roof', 'outside', 'ceiling'),
  ).toBe(false);
});

test('what a side was only taken to be made of follows what is beyond it; what was chosen by hand stays', () => {
  const made = [
    built('wall', 'wall', { ...LAYERED, is_usual: true }),
    built('party', 'wall', { known_by: 'look', look: 'party_brick' }),
    built('odd', 'wall', LAYERED),
  ];
  const changed = (construction: string) => {
    const existing: SurveyRecord = {
      kind: 'surface',
      id: 'w',
      values: { room: 'kitchen', side: 'left', element: 'wall', other_side: 'outside', construction },
    };
    const survey = new Survey('s', [KITCHEN, ...made, existing]);
    return setBeyond(survey, KITCHEN, 'left', 'neighbour', { id: 'n', existing }).values;
  };
  expect(changed('wall')).toMatchObject({ construction: 'party' });
  expect(changed('odd')).not.toHaveProperty('construction');
});

test('sides are complete', () => expect(sidesOf({}) satisfies Side[]).toHaveLength(6));

const LOFT: SurveyRecord = {
  kind: 'room',
  id: 'loft',
  values: {
    name: 'Loft room',
    length_m: 6,
    width_m: 4,
    height_m: 2.2,
    slopes: [{ side: 'left', low_m: 1, run_m: 1.7 }],
  },
};

test('a slope is made of a roof that may slope, never of a loft insulated at its joists', () => {
  const roof = (id: string, look: string, values: Values = {}): SurveyRecord => ({
    kind: 'construction',
    id,
    values: { element: 'roof', name: id, known_by: 'look', look, ...values },
  });
  const made = (...roofs: SurveyRecord[]) =>
    setBeyond(new Survey('s', [LOFT, ...roofs]), LOFT, 'slope', 'outside', { id: 'n' }).values;
  const joists = roof('joists', 'roof_loft', { is_usual: true });
  expect(made(joists)['construction']).toBeUndefined();
  expect(made(joists, roof('rafters', 'roof_rafters'))).toMatchObject({ element: 'roof', construction: 'rafters' });
  expect(setBeyond(new Survey('s', [LOFT, joists]), LOFT, 'ceiling', 'outside', { id: 'n' }).values).toMatchObject({
    construction: 'joists',
  });
});

test('a wall that outlives its sloped room keeps what it measured, to the centimetre', () => {
  const gable: SurveyRecord = {
    kind: 'surface',
    id: 'gable',
    values: { room: 'loft', side: 'front', element: 'partition', other_side: 'room', other_room: 'hall' },
  };
  const edits = removal(new Survey('s', [...HOUSE, LOFT, gable]), 'room', 'loft');
  // 6 × 2.2 − ½ × 1.7 × 1.2
  expect(edits.find((edit) => edit.id === 'gable')!.values).toMatchObject({ room: 'hall', area_m2: 12.18 });
});

test('under a slope a room has a seventh side; what is not there is not asked', () => {
  expect(sidesOf(LOFT.values)).toEqual(['front', 'right', 'back', 'left', 'floor', 'ceiling', 'slope']);
  const tent = ['left', 'right'].map((side) => ({ side, low_m: 0, run_m: 3 }));
  expect(sidesOf({ ...LOFT.values, slopes: tent })).toEqual(['front', 'back', 'floor', 'slope']);
});
