/** Sizes of sides: the golden file is held by the Python too. And what a phone stores of them, and takes over from before. */
import 'fake-indexeddb/auto';
import { beforeEach, describe, expect, test } from 'vitest';
import shapes from '../../tests/golden/shapes.json';
import golden from '../../tests/golden/sizes.json';
import { sidesOf } from '../src/domain/box.ts';
import { sideWords } from '../src/domain/contested.ts';
import { findGaps } from '../src/domain/gaps.ts';
import { model, type Values } from '../src/domain/model.ts';
import { followed, saidAgain, sizeIn, sizeOf, withoutSaidAgain } from '../src/domain/sizes.ts';
import { shapeOf } from '../src/domain/shape.ts';
import { Survey, type Edit, type SurveyRecord } from '../src/domain/survey.ts';
import { parseCopy, readCopyBack } from '../src/store/copy_back.ts';
import { surveyDocument } from '../src/store/copy.ts';
import { Database, database, type RecordRow } from '../src/store/database.ts';
import { applyPull, applyPush, nextBatch } from '../src/store/exchange.ts';
import { usePort } from '../src/store/journal/client.ts';
import { compare } from '../src/store/journal/compare.ts';
import { replay } from '../src/store/journal/replay.ts';
import { saveEdits, startSurvey } from '../src/store/surveys.ts';
import { useFetcher } from '../src/sync/api.ts';
import { syncOnce } from '../src/sync/cycle.ts';
import { FakeOffice } from './office.fake.ts';

interface Case {
  surface: Values;
  room: Values | null;
  size: Values;
  followed: Record<string, number | null>;
  said_again: string[];
}

test('every case of the golden file', () => {
  expect(golden.length).toBeGreaterThan(500);
  for (const { surface, room, size, followed: follows, said_again: again } of golden as unknown as Case[]) {
    expect([surface, room, sizeOf(surface, room ?? undefined)]).toEqual([surface, room, size]);
    expect([surface, room, room ? followed(surface, room) : {}]).toEqual([surface, room, follows]);
    expect([surface, room, room ? saidAgain(surface, room) : []]).toEqual([surface, room, again]);
  }
});

test('every shape of the golden file', () => {
  expect(shapes.length).toBeGreaterThan(30);
  for (const { room, sides, shape } of shapes as unknown as { room: Values; sides: string[]; shape: object | null }[]) {
    const made = shapeOf(room);
    const { floor, volume, troubles } = made ?? {};
    expect([room, made && { floor, volume, sides: made.sides, troubles }]).toEqual([room, shape]);
    expect([room, [...sidesOf(room)].sort()]).toEqual([room, sides]);
  }
});

const KITCHEN: SurveyRecord = {
  kind: 'room',
  id: 'kitchen',
  values: { name: 'Kitchen', use: 'kitchen', length_m: 4.2, width_m: 3.6, height_m: 2.4 },
};
const wall = (id: string, values: Values = {}): SurveyRecord => ({
  kind: 'surface',
  id,
  values: { room: 'kitchen', side: 'front', element: 'wall', other_side: 'outside', ...values },
});

test('what follows the box is no gap; without the length the room has one, and its walls none', () => {
  const gaps = (room: Values, ...surfaces: SurveyRecord[]) =>
    findGaps(new Survey('s', [{ ...KITCHEN, values: { ...KITCHEN.values, ...room } }, ...surfaces]))
      .filter((gap) => gap.field?.endsWith('_m'))
      .map((gap) => [gap.record, gap.field]);
  expect(gaps({}, wall('f'))).toEqual([]);
  expect(gaps({ length_m: null }, wall('f'))).toEqual([['kitchen', 'length_m']]);
  // Walls keep their length when the floor has an area of its own; where none was measured they ask.
  expect(gaps({ floor_area_m2: 12 }, wall('f'))).toEqual([]);
  expect(gaps({ floor_area_m2: 12, length_m: null, perimeter_m: 14 }, wall('f'))).toEqual([['f', 'width_m']]);
  expect(gaps({}, wall('f', { room: 'gone' }))).toEqual([
    ['f', 'width_m'],
    ['f', 'height_m'],
  ]);
  expect(gaps({}, wall('o', { element: 'window', opening_in: 'f' }))).toEqual([
    ['o', 'width_m'],
    ['o', 'height_m'],
  ]);
});

test('an edit says no size that the box says', () => {
  const edit = (values: Values): Edit => ({ kind: 'surface', id: 'f', values });
  expect(
    withoutSaidAgain(edit({ side: 'front', element: 'wall', width_m: 4.2, height_m: 2 }), undefined, KITCHEN.values)
      .values,
  ).toEqual({ side: 'front', element: 'wall', height_m: 2 });
  expect(withoutSaidAgain(edit({ width_m: 4.2 }), wall('f', { width_m: 3 }).values, KITCHEN.values).values).toEqual({
    width_m: null,
  });
  expect(withoutSaidAgain(edit({ width_m: 4.3 }), wall('f').values, KITCHEN.values).values).toEqual({ width_m: 4.3 });
  // A size that came to equal the box by itself is left alone by an edit of another.
  expect(withoutSaidAgain(edit({ height_m: 2 }), wall('f', { width_m: 4.2 }).values, KITCHEN.values).values).toEqual({
    height_m: 2,
  });
});

test('a contest between a size of its own and the box says so', () => {
  const survey = new Survey('s', [KITCHEN, wall('f'), wall('o', { element: 'window' })]);
  const side = { change: 'c', value: null, user: null, made_at: null, revision: 1 };
  const contest = (record: string) => ({ kind: 'surface', record, field: 'width_m', label: 'Width', values: [] });
  expect(sideWords(survey, contest('f'), side)).toBe('As the room is');
  expect(sideWords(survey, contest('o'), side)).toBe('Empty');
});

const put = (record: SurveyRecord): Edit => ({ kind: record.kind, id: record.id, values: record.values });
const valuesOf = async (survey: string, id: string) => (await database.records.get(`${survey}/surface/${id}`))!.values;

describe('on the phone', () => {
  let office: FakeOffice;
  beforeEach(async () => {
    if (!database.isOpen()) await database.open();
    for (const table of database.tables) await table.clear();
    usePort(null);
    office = new FakeOffice();
    useFetcher(office.fetcher);
  });

  test('a typed length is one change, whatever follows the room', async () => {
    const survey = await startSurvey();
    await saveEdits(survey, [put(KITCHEN), put(wall('f')), put(wall('b', { side: 'back', width_m: 4.2 }))]);
    expect(await valuesOf(survey, 'b')).not.toHaveProperty('width_m');
    await syncOnce();
    await saveEdits(survey, [{ kind: 'room', id: 'kitchen', values: { length_m: 5 } }]);
    expect((await database.outbox.toArray()).map(({ record, field, value }) => [record, field, value])).toEqual([
      ['kitchen', 'length_m', 5],
    ]);
    const stored = new Survey(survey, await database.records.toArray());
    expect(sizeIn(stored, stored.find('surface', 'b')!)).toEqual({ width_m: 5, height_m: 2.4 });
  });

  test('a size typed as the box has it takes an own one away', async () => {
    const survey = await startSurvey();
    await saveEdits(survey, [put(KITCHEN), put(wall('f', { width_m: 3 }))]);
    await saveEdits(survey, [{ kind: 'surface', id: 'f', values: { width_m: 4.2 } }]);
    expect(await valuesOf(survey, 'f')).not.toHaveProperty('width_m');
    expect(
      (await database.outbox.toArray())
        .filter((change) => change.field === 'width_m' && change.record === 'f')
        .map((change) => change.value),
    ).toEqual([null]);
  });

  test('an own answer that the office took for another stands as the office has it, and a refused one stays beside its field', async () => {
    const survey = await startSurvey();
    await saveEdits(survey, [put(wall('f', { width_m: 4.2, height_m: 2 }))]);
    const { changes } = await nextBatch(survey, 100);
    await applyPush(
      survey,
      changes.map((change, place) => ({
        id: change.id,
        status: 'accepted',
        revision: place + 1,
        contested: false,
        problem: null,
      })),
    );
    await saveEdits(survey, [{ kind: 'surface', id: 'f', values: { height_m: -1 } }]);
    const [refused] = await database.outbox.toArray();
    await applyPush(survey, [{ id: refused!.id, status: 'refused', revision: null, contested: false, problem: null }]);
    await applyPull(
      survey,
      changes.map(({ id, kind, record, field, value }, place) => ({
        id,
        kind,
        record,
        field,
        value: field === 'width_m' ? null : value,
        revision: place + 1,
      })),
      changes.length,
    );
    const values = await valuesOf(survey, 'f');
    expect(values).not.toHaveProperty('width_m');
    expect(values['height_m']).toBe(-1);
  });

  test('an app that is too old keeps its queue, fetches nothing and says what to do', async () => {
    const survey = await startSurvey({ household_name: 'Thimble' });
    await syncOnce();
    office.change(survey, 'r', 'name', 'Theirs');
    await saveEdits(survey, [{ kind: 'room', id: 'r', values: { notes: 'mine' } }]);
    office.tooOld = 'This app is older than what the office keeps.';
    office.calls = [];
    expect(await syncOnce()).toEqual({ kind: 'done', trouble: office.tooOld });
    expect(office.calls.filter((call) => call.startsWith('GET') && call.includes('/changes'))).toEqual([]);
    expect(await database.outbox.count()).toBe(1);
    expect((await database.surveys.get(survey))!.cursor).toBeLessThan(office.surveys.get(survey)!.length);
    office.tooOld = null;
    await syncOnce();
    expect(await database.outbox.count()).toBe(0);
    expect(office.state(survey)['r/notes']).toBe('mine');
  });

  test('what it sends and what it asks for name the model', async () => {
    const survey = await startSurvey({ household_name: 'Thimble' });
    await syncOnce();
    office.change(survey, 'r', 'name', 'Theirs');
    await syncOnce();
    expect(
      office.calls
        .filter((call) => call.includes('/changes?'))
        .every((call) => call.endsWith(`&model=${model.version}`)),
    ).toBe(true);
    expect(office.models).toContain(model.version);
    expect(model.version.startsWith(`${model.shape}.`)).toBe(true);
  });

  test('a copy of an old phone is read back without its sides saying again what the rooms say, and one of now as it is', async () => {
    const old = {
      format: 'wattwalk-survey',
      version: 1,
      id: 'house',
      records: {
        room: [{ id: 'kitchen', ...KITCHEN.values }],
        surface: [{ id: 'f', ...wall('f', { width_m: 4.2, height_m: 2.1 }).values }],
      },
    };
    await readCopyBack(parseCopy(JSON.stringify(old)));
    expect(await valuesOf('house', 'f')).toMatchObject({ height_m: 2.1 });
    expect(await valuesOf('house', 'f')).not.toHaveProperty('width_m');
    await saveEdits('house', [{ kind: 'room', id: 'kitchen', values: { length_m: 5 } }]);
    // The old copy once more: its wall was as long as its room, and so is this one.
    expect(await readCopyBack(parseCopy(JSON.stringify(old)))).toMatchObject({ answers: 0, differ: 1 });
    expect(await valuesOf('house', 'f')).not.toHaveProperty('width_m');
    const now = await (await surveyDocument('house')).text();
    expect(JSON.parse(now)).toMatchObject({ version: 3 });
    expect(await readCopyBack(parseCopy(now))).toMatchObject({ answers: 0, differ: 0 });
    const own = JSON.parse(now) as typeof old;
    own.records.surface[0]!['width_m' as never] = 3 as never;
    expect(await readCopyBack(parseCopy(JSON.stringify(own)))).toMatchObject({ answers: 0, differ: 1 });
    expect(() => parseCopy(JSON.stringify({ ...old, version: 4 }))).toThrow('reads versions 1, 2 and 3');
  });
});

describe('a store of before', () => {
  const NOW = '2026-03-31T14:05:00Z';
  const id = (number: number) => `01930000-0000-7000-8000-${String(number).padStart(12, '0')}`;
  const row = {
    id: 's',
    created_at: 1,
    born: 'b',
    cursor: 7,
    office_at: null,
    edits: 4,
    contested: [],
    refused_at_office: 0,
    photos_at_office: [],
    latest_report: null,
    reoffer: 0 as const,
  };
  const record = ({ kind, id, values }: SurveyRecord, seen: Record<string, number> = {}): RecordRow => ({
    key: `s/${kind}/${id}`,
    survey: 's',
    kind,
    id,
    values,
    seen,
  });
  const waiting = (number: number, item: string, field: string, value: number, more = {}) => ({
    id: id(number),
    survey: 's',
    kind: item === 'kitchen' ? 'room' : 'surface',
    record: item,
    field,
    value,
    seen: 3,
    made_at: NOW,
    ...more,
  });
  const records = [
    record({ ...KITCHEN, values: { ...KITCHEN.values, length_m: 5 } }, { length_m: 3 }),
    record(wall('front', { width_m: 5, height_m: 2.4 }), { width_m: 3, height_m: 4 }),
    record(wall('back', { side: 'back', width_m: 5, height_m: 2.4 }), { width_m: 5, height_m: 6 }),
    record(wall('part', { side: 'left', width_m: 1.5, height_m: 2.4 })),
    record(wall('pane', { element: 'window', opening_in: 'front', width_m: 5, height_m: 2.4 })),
  ];
  // The room was made longer without signal: its length waits, and each wall's beside it, one of them under way already.
  const outbox = [
    waiting(1, 'kitchen', 'length_m', 5),
    waiting(2, 'front', 'width_m', 5, { offered: true }),
    waiting(3, 'back', 'width_m', 5),
    waiting(4, 'part', 'width_m', 1.5),
  ];

  async function leaveBehind(name: string): Promise<void> {
    const now = new Database(name);
    await now.open();
    await now.surveys.put(row);
    await now.records.bulkPut(records);
    await now.outbox.bulkPut(outbox);
    await now.assessments.put({
      survey: 's',
      revision: 7,
      fetched_at: 1,
      edits: 4,
      assessment: {} as never,
      gaps: [],
      pictures: {} as never,
    });
    const tables = now.tables.map((table) => [
      table.name,
      [table.schema.primKey.keyPath, ...table.schema.indexes.map((index) => index.src)].join(', '),
    ]);
    const kept = await Promise.all(now.tables.map(async (table) => [table.name, await table.toArray()] as const));
    await now.delete();
    // The same tables, as the version before had them.
    const { default: Dexie } = await import('dexie');
    const before = new Dexie(name);
    before.version(4).stores(Object.fromEntries(tables));
    await before.open();
    for (const [table, rows] of kept) await before.table(table).bulkPut(rows);
    before.close();
  }

  async function looks(opened: Database): Promise<void> {
    const sizes = Object.fromEntries(
      (await opened.records.where('survey').equals('s').toArray())
        .filter((item) => item.kind === 'surface')
        .map(({ id: item, values }) => [item, [values['width_m'], values['height_m']]]),
    );
    expect(sizes).toEqual({
      front: [undefined, undefined],
      back: [undefined, undefined],
      part: [1.5, undefined],
      pane: [5, 2.4],
    });
    const left = await opened.outbox.orderBy('id').toArray();
    expect(left.map((change) => [change.record, change.field, change.value])).toEqual([
      ['kitchen', 'length_m', 5],
      ['part', 'width_m', 1.5],
      ['back', 'width_m', null],
      ['front', 'width_m', null],
    ]);
    // What takes the place of one that was under way names it, and hands on what it had seen; its id is new.
    expect(left.find((change) => change.record === 'front')).toMatchObject({ seen: 3, replaces: [id(2)] });
    expect(left.find((change) => change.record === 'front')!.id > id(4)).toBe(true);
  }

  test('goes over when it is opened, with all that waits in it, and is pulled once more', async () => {
    await leaveBehind('of-before');
    const opened = new Database('of-before');
    await opened.open();
    await looks(opened);
    expect(await opened.surveys.get('s')).toMatchObject({ edits: 5, cursor: 0 });
    // Nothing was answered anew, so what the office worked out is not called changed.
    expect((await opened.assessments.get('s'))!.edits).toBe(5);
    await opened.delete();
  });

  test('goes over once: opened again it stays as it is', async () => {
    await leaveBehind('opened-twice');
    const first = new Database('opened-twice');
    await first.open();
    const after = [await first.records.toArray(), await first.outbox.toArray(), await first.surveys.toArray()];
    first.close();
    const second = new Database('opened-twice');
    await second.open();
    expect([await second.records.toArray(), await second.outbox.toArray(), await second.surveys.toArray()]).toEqual(
      after,
    );
    await second.delete();
  });

  test('comes back from an old journal the same way', async () => {
    if (!database.isOpen()) await database.open();
    for (const table of database.tables) await table.clear();
    const lines = [{ t: 'whole' as const, row, records, waiting: outbox, photos: [] }];
    let written: unknown = null;
    usePort(async (order) => {
      if (order.do === 'read') return { lines, end: 1, damaged: 0, torn: 0 };
      if (order.do === 'photoNames') return [];
      if (order.do === 'rewrite') written = order.lines;
      return 1;
    });
    expect((await compare()).restored).toEqual(['s']);
    await looks(database);
    // The journal was written anew from what stands now.
    const kept = replay(written as never).surveys.get('s')!;
    expect(kept.records.get('s/surface/front')!.values).not.toHaveProperty('width_m');
    expect(kept.row.edits).toBe((await database.surveys.get('s'))!.edits);
    usePort(null);
  });

  test('a pull from the beginning brings what the office decided, also where it decided otherwise', async () => {
    if (!database.isOpen()) await database.open();
    for (const table of database.tables) await table.clear();
    usePort(null);
    await database.surveys.put({ ...row, cursor: 0 });
    await database.records.bulkPut([
      record(KITCHEN, { length_m: 1 }),
      record(wall('kept'), { width_m: 2 }),
      record(wall('follows', { width_m: 4 }), { width_m: 3 }),
    ]);
    const line = (item: string, field: string, value: number | null, revision: number) => ({
      id: id(revision),
      kind: 'surface',
      record: item,
      field,
      value,
      revision,
    });
    await applyPull('s', [line('kept', 'width_m', 4.2, 2), line('follows', 'width_m', null, 3)], 3);
    expect((await valuesOf('s', 'kept'))['width_m']).toBe(4.2);
    expect(await valuesOf('s', 'follows')).not.toHaveProperty('width_m');
  });
});
