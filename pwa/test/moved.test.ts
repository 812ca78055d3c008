/** What places said of their units goes to the units: by the rule that Python has, in the store, in a copy read back and in locked work. */
import 'fake-indexeddb/auto';
import { expect, test } from 'vitest';
import golden from '../../tests/golden/moved.json';
import type { Change } from '../src/domain/changes.ts';
import { movesOf, takenOverRecords, type Held } from '../src/domain/moved.ts';
import type { Values } from '../src/domain/model.ts';
import { chosenUnit, unitAt } from '../src/domain/standing.ts';
import { Survey } from '../src/domain/survey.ts';
import { parseCopy } from '../src/store/copy_back.ts';
import { Database, type RecordRow } from '../src/store/database.ts';
import { takeOverUnits } from '../src/store/old_units.ts';

interface Case {
  name: string;
  records: Held[];
  moved: { to: string[][]; said: unknown[][] };
}

test.each((golden as unknown as Case[]).map((item) => [item.name, item] as const))(
  'the phone moves what Python moves: %s',
  (_name, { records, moved }) => {
    const moves = movesOf(records);
    expect({
      to: moves.to.map(({ place, field, unit, becomes }) => [place, field, unit, becomes]),
      said: moves.said.map(({ kind, id, field, value, place }) => [kind, id, field, value, place]),
    }).toEqual(moved);
  },
);

const record = (kind: string, id: string, values: Values, seen: Record<string, number> = {}): RecordRow => ({
  key: `s/${kind}/${id}`,
  survey: 's',
  kind,
  id,
  values,
  seen,
});
const id = (number: number) => `01930000-0000-7000-8000-00000000000${number}`;
const waiting = (number: number, field: string, value: Change['value'], more: Partial<Change> = {}): Change => ({
  id: id(number),
  survey: 's',
  kind: 'outdoor_position',
  record: 'p',
  field,
  value,
  seen: 0,
  made_at: '2026-03-31T14:05:00Z',
  ...more,
});
const PLACE: Values = { name: 'Back wall', sound_power_dba: 57, unit_mass_kg: 112, zone_shape: 'corners' };
const SEEN = { name: 3, sound_power_dba: 4, unit_mass_kg: 5, zone_shape: 6 };

/** A store as the app before left it: the same tables, one version lower. */
async function leaveBehind(name: string, records: RecordRow[], outbox: Change[], more: Change[] = []): Promise<void> {
  const now = new Database(name);
  await now.open();
  const tables = now.tables.map((table) => [
    table.name,
    [table.schema.primKey.keyPath, ...table.schema.indexes.map((index) => index.src)].join(', '),
  ]);
  await now.delete();
  const { default: Dexie } = await import('dexie');
  const before = new Dexie(name);
  before.version(5).stores(Object.fromEntries(tables) as Record<string, string>);
  await before.open();
  await before.table('surveys').put({ id: 's', created_at: 1, born: 'b', cursor: 7, office_at: null, edits: 4 });
  await before.table('records').bulkPut(records);
  await before.table('outbox').bulkPut(outbox);
  await before
    .table('sent')
    .bulkPut(more.map((change) => ({ path: `s/outdoor_position/p/${change.field}`, survey: 's', change })));
  await before.table('refused').bulkPut(more.map((change) => ({ ...change, id: id(9), problem: null })));
  await before.table('live').put({ survey: 's', edits: 4, cursor: 7, engine: 'e', answer: {} });
  before.close();
}

async function values(store: Database): Promise<Record<string, Values>> {
  return Object.fromEntries((await store.records.toArray()).map((item) => [`${item.kind}/${item.id}`, item.values]));
}

test('a store of before goes over when it is opened: the data, what was seen of it, what waits, under the same ids', async () => {
  await leaveBehind(
    'moved-waiting',
    [record('outdoor_position', 'p', PLACE, SEEN)],
    [waiting(1, 'sound_power_dba', 57, { seen: 4, offered: true }), waiting(2, 'zone_shape', 'corners', { seen: 6 })],
    [waiting(3, 'unit_mass_kg', 112)],
  );
  const store = new Database('moved-waiting');
  await store.open();
  expect(await values(store)).toEqual({
    'outdoor_position/p': { name: 'Back wall', unit: 'unit-of-p' },
    'unit/unit-of-p': { name: 'Unit at: Back wall', sound_power_dba: 57, mass_kg: 112, zone_drawing: 'corners' },
  });
  expect((await store.records.get('s/unit/unit-of-p'))!.seen).toEqual({ sound_power_dba: 4, mass_kg: 5 });
  const left = (await store.outbox.orderBy('id').toArray()).map(({ kind, record: of, field, value, seen }) => [
    `${kind}/${of}/${field}`,
    value,
    seen,
  ]);
  expect(left[0]).toEqual(['unit/unit-of-p/sound_power_dba', 57, 4]);
  expect((await store.outbox.get(id(1)))!.offered).toBe(true);
  expect(left.slice(1)).toEqual([
    ['unit/unit-of-p/name', 'Unit at: Back wall', 0],
    ['outdoor_position/p/unit', 'unit-of-p', 0],
    ['unit/unit-of-p/zone_drawing', 'corners', 0],
    ['outdoor_position/p/zone_shape', null, 6],
  ]);
  expect((await store.sent.toArray()).map(({ path, change }) => [path, change.field, change.id])).toEqual([
    ['s/unit/unit-of-p/mass_kg', 'mass_kg', id(3)],
  ]);
  expect((await store.refused.toArray()).map(({ kind, field }) => `${kind}/${field}`)).toEqual(['unit/mass_kg']);
  // Nothing was answered anew, so what was worked out is not called changed; all is pulled once more.
  expect(await store.surveys.get('s')).toMatchObject({ edits: 5, cursor: 0 });
  expect((await store.live.get('s'))!.edits).toBe(5);
  await store.delete();
});

test('what is wholly at the office goes over without a change, since the office says it by itself', async () => {
  await leaveBehind(
    'moved-there',
    [
      record('outdoor_position', 'p', PLACE, SEEN),
      record('unit', 'u', { name: '8 kW' }, { name: 1 }),
      record('design', 'd', { unit: 'u' }, { unit: 2 }),
    ],
    [],
  );
  const store = new Database('moved-there');
  await store.open();
  expect(await values(store)).toEqual({
    'outdoor_position/p': { name: 'Back wall' },
    'unit/u': { name: '8 kW', sound_power_dba: 57, mass_kg: 112, zone_drawing: 'corners' },
    'design/d': { unit: 'u' },
  });
  expect(await store.outbox.count()).toBe(0);
  expect((await store.surveys.get('s'))!.cursor).toBe(0);
  const before = await store.records.toArray();
  await store.transaction('rw', store.tables, (transaction) => takeOverUnits(transaction, 's'));
  // It goes over once.
  expect(await store.records.toArray()).toEqual(before);
  expect((await store.surveys.get('s'))!.edits).toBe(5);
  await store.delete();
});

test('a store without such data is left as it is', async () => {
  const place = record('outdoor_position', 'p', { name: 'Back wall', zone_shape: 'wall' }, { name: 3, zone_shape: 4 });
  await leaveBehind('moved-nothing', [place], [waiting(1, 'zone_shape', 'wall')]);
  const store = new Database('moved-nothing');
  await store.open();
  expect(await store.records.toArray()).toEqual([place]);
  expect(await store.outbox.toArray()).toEqual([waiting(1, 'zone_shape', 'wall')]);
  expect(await store.surveys.get('s')).toMatchObject({ edits: 4, cursor: 7 });
  await store.delete();
});

test('a file copy of before is read back with the data on the unit, one of now as it is', () => {
  const places = [{ id: 'p', ...PLACE }];
  const copy = (version: number) =>
    parseCopy(JSON.stringify({ format: 'wattwalk-survey', version, id: 's', records: { outdoor_position: places } }));
  expect(copy(2).records).toEqual({
    outdoor_position: [{ id: 'p', name: 'Back wall', unit: 'unit-of-p' }],
    unit: [{ id: 'unit-of-p', sound_power_dba: 57, mass_kg: 112, name: 'Unit at: Back wall', zone_drawing: 'corners' }],
  });
  expect(copy(3).records).toEqual({ outdoor_position: places });
  expect(() => copy(4)).toThrow('reads versions 1, 2 and 3');
});

test('every old document goes over without losing a record', () => {
  for (const { records } of golden as unknown as Case[]) {
    const listed: Record<string, ({ id: string } & Values)[]> = {};
    for (const { kind, id: of, values: held } of records) (listed[kind] ??= []).push({ ...held, id: of });
    const after = takenOverRecords(listed);
    for (const [kind, items] of Object.entries(listed))
      expect(after[kind]!.map((item) => item.id).slice(0, items.length)).toEqual(items.map((item) => item.id));
  }
});

test('at the first place stands the chosen unit, at another its own before it', () => {
  const at = (design: Values, first: Values, second: Values) => {
    const survey = new Survey('s', [
      record('outdoor_position', 'a', first),
      record('outdoor_position', 'b', second),
      record('unit', 'u', {}),
      record('unit', 'v', {}),
      record('design', 'd', design),
    ]);
    return [...survey.ofKind('outdoor_position').map((place) => unitAt(survey, place)?.id), chosenUnit(survey)?.id];
  };
  expect(at({}, {}, {})).toEqual([undefined, undefined, undefined]);
  expect(at({}, { unit: 'v' }, {})).toEqual(['v', undefined, undefined]);
  expect(at({ unit: 'u' }, { unit: 'v' }, { unit: 'v' })).toEqual(['u', 'v', 'u']);
  expect(at({ unit: 'u' }, {}, {})).toEqual(['u', 'u', 'u']);
  expect(at({ unit: 'gone' }, { unit: 'v' }, { unit: 'gone' })).toEqual(['v', undefined, undefined]);
});
