import 'fake-indexeddb/auto';
import { beforeEach, expect, test, vi } from 'vitest';
import { database } from '../src/store/database.ts';
import { applyPull, applyPush } from '../src/store/exchange.ts';
import { surveyDocument } from '../src/store/copy.ts';
import { sha256Of } from '../src/store/hash.ts';
import { rowsIn, type Values } from '../src/domain/model.ts';
import { savePicture } from '../src/store/photos.ts';
import { changeRecord, newRecord, saveEdits, startSurvey } from '../src/store/surveys.ts';
import { NotSaved, write } from '../src/store/write.ts';

beforeEach(async () => {
  vi.restoreAllMocks();
  if (!database.isOpen()) await database.open();
  for (const table of database.tables) await table.clear();
});

const picture = (bytes: number[]) => ({
  bytes: new Uint8Array(bytes).buffer,
  media_type: 'image/jpeg',
  width_px: 2,
  height_px: 1,
});

test('the database asks for strict durability', () => {
  expect(
    (database as unknown as { _options: { chromeTransactionDurability: string } })._options.chromeTransactionDurability,
  ).toBe('strict');
});

test('a record and its change go in together or not at all: the nth write fails, for every n', async () => {
  const survey = await startSurvey({ household_name: 'Thimble' });
  const before = [await database.records.toArray(), await database.outbox.toArray(), await database.surveys.toArray()];
  const targets = [
    [database.records, 'bulkPut'],
    [database.outbox, 'bulkDelete'],
    [database.outbox, 'bulkAdd'],
    [database.refused, 'bulkDelete'],
    [database.surveys, 'put'],
  ] as const;
  for (const [table, method] of targets) {
    const spy = vi
      .spyOn(table as unknown as Record<string, () => Promise<unknown>>, method)
      .mockImplementation(() => Promise.reject(new Error('the disk is on strike')));
    await expect(saveEdits(survey, [{ kind: 'room', id: 'r', values: { name: 'Kitchen' } }])).rejects.toThrow(NotSaved);
    expect(spy.mock.calls.length).toBeGreaterThanOrEqual(2);
    spy.mockRestore();
    expect([
      await database.records.toArray(),
      await database.outbox.toArray(),
      await database.surveys.toArray(),
    ]).toEqual(before);
  }
});

test('a connection that died is opened again, once', async () => {
  const survey = await startSurvey();
  let calls = 0;
  await write(async () => {
    calls += 1;
    if (calls === 1) throw new DOMException('The database connection is closing.', 'InvalidStateError');
    await database.transaction('rw', database.surveys, () => database.surveys.update(survey, { edits: 7 }));
  });
  expect(calls).toBe(2);
  expect((await database.surveys.get(survey))!.edits).toBe(7);
});

test('a full storage is said in words and not tried twice', async () => {
  let calls = 0;
  const work = () => {
    calls += 1;
    return Promise.reject(new DOMException('no room', 'QuotaExceededError'));
  };
  await expect(write(work)).rejects.toThrow(/full/);
  expect(calls).toBe(1);
});

test('clearing an answer is a change to nothing; an empty record is made by not being deleted', async () => {
  const survey = await startSurvey({ household_name: 'Thimble' });
  await saveEdits(survey, [newRecord(survey, 'room', {})]);
  await saveEdits(survey, [
    {
      kind: 'survey',
      id: (await database.records.toArray()).find((record) => record.kind === 'survey')!.id,
      values: { household_name: null },
    },
  ]);
  const changes = await database.outbox.toArray();
  expect(changes.map((change) => [change.kind, change.field, change.value])).toEqual(
    expect.arrayContaining([
      ['room', 'deleted', false],
      ['survey', 'household_name', null],
    ]),
  );
  expect(changes).toHaveLength(2);
});

test('lists and counts are changed as they are stored: none of those said at once takes the place of another', async () => {
  const survey = await startSurvey();
  const add = (place: string) =>
    changeRecord(survey, 'cable_run', 'c', (present) => ({
      stretches: [...rowsIn(present, 'stretches'), { place, length_m: 1 }],
    }));
  const rename = changeRecord(survey, 'cable_run', 'c', (present) => ({
    stretches: rowsIn(present, 'stretches').map((row) => ({ ...row, length_m: 2 })),
  }));
  await Promise.all([add('loft'), add('cupboard'), rename, add('buried')]);
  const { values } = (await database.records.get(`${survey}/cable_run/c`))!;
  expect(rowsIn(values, 'stretches').map((row) => row['place'])).toEqual(['loft', 'cupboard', 'buried']);
  expect(
    await database.outbox.where('[survey+kind+record]').equals([survey, 'cable_run', 'c']).toArray(),
  ).toMatchObject([{ field: 'stretches', value: values['stretches'] }]);
});

test('edits that follow from others are worked out from what is stored, and nothing is written where none follow', async () => {
  const survey = await startSurvey();
  await saveEdits(survey, [{ kind: 'room', id: 'r', values: { length_m: 4 } }]);
  const follow = () =>
    saveEdits(survey, (present) => {
      const { length_m: length } = present.find('room', 'r')!.values;
      return typeof length === 'number' && length < 6
        ? [{ kind: 'room', id: 'r', values: { length_m: length + 1 } }]
        : [];
    });
  await Promise.all([follow(), follow(), follow()]);
  expect((await database.records.get(`${survey}/room/r`))!.values).toEqual({ length_m: 6 });
  expect((await database.surveys.get(survey))!.edits).toBe(4);
});

test('cursor and pulled data go in together: if either fails, neither is there', async () => {
  const survey = await startSurvey();
  for (const [table, method] of [
    [database.records, 'bulkPut'],
    [database.surveys, 'update'],
  ] as const) {
    const spy = vi
      .spyOn(table as unknown as Record<string, () => Promise<unknown>>, method)
      .mockImplementation(() => Promise.reject(new Error('strike')));
    await expect(
      applyPull(survey, [{ id: 'o5', kind: 'room', record: 'r', field: 'name', value: 'A', revision: 5 }], 5),
    ).rejects.toThrow(NotSaved);
    spy.mockRestore();
    expect((await database.surveys.get(survey))!.cursor).toBe(0);
    expect(await database.records.get(`${survey}/room/r`)).toBeUndefined();
  }
});

test('what waits here is not overwritten by what is pulled, and remembers what it had seen', async () => {
  const survey = await startSurvey();
  await applyPull(survey, [{ id: 'o4', kind: 'room', record: 'r', field: 'name', value: 'First', revision: 4 }], 4);
  await saveEdits(survey, [{ kind: 'room', id: 'r', values: { name: 'Mine' } }]);
  await applyPull(
    survey,
    [
      { id: 'o9', kind: 'room', record: 'r', field: 'name', value: 'Theirs', revision: 9 },
      { id: 'o10', kind: 'room', record: 'r', field: 'notes', value: 'Damp', revision: 10 },
    ],
    10,
  );
  expect((await database.records.get(`${survey}/room/r`))!.values).toEqual({ name: 'Mine', notes: 'Damp' });
  await saveEdits(survey, [{ kind: 'room', id: 'r', values: { name: 'Mine again' } }]);
  expect((await database.outbox.toArray()).filter((change) => change.field === 'name')).toMatchObject([
    { value: 'Mine again', seen: 4 },
  ]);
});

test('an answer takes out of the outbox only what it names, and nothing that another survey named', async () => {
  const [one, two] = [await startSurvey({ household_name: 'A' }), await startSurvey({ household_name: 'B' })];
  const named = (await database.outbox.where('survey').equals(one).toArray())[0]!.id;
  const accepted = { status: 'accepted' as const, revision: 1, contested: false, problem: null };
  await applyPush(two, [{ ...accepted, id: named }]);
  await applyPush(one, [
    { ...accepted, id: 'never-made' },
    { ...accepted, id: named, status: 'perhaps' as never },
  ]);
  expect(await database.outbox.count()).toBe(2);
  await applyPush(one, [{ ...accepted, id: named }]);
  expect((await database.outbox.toArray()).map((change) => change.survey)).toEqual([two]);
  expect(await database.sent.toArray()).toHaveLength(1);
});

test('an older revision never overwrites a newer one, and unknown kinds and fields are kept as they came', async () => {
  const survey = await startSurvey();
  await applyPull(
    survey,
    [
      { id: 'o5', kind: 'room', record: 'r', field: 'name', value: 'New', revision: 5 },
      { id: 'o3', kind: 'room', record: 'r', field: 'name', value: 'Old', revision: 3 },
    ],
    5,
  );
  await applyPull(
    survey,
    [{ id: 'o6', kind: 'dream', record: 'd', field: 'of', value: { sheep: ['electric'] } as never, revision: 6 }],
    6,
  );
  expect((await database.records.get(`${survey}/room/r`))!.values['name']).toBe('New');
  expect((await database.records.get(`${survey}/dream/d`))!.values).toEqual({ of: { sheep: ['electric'] } });
});

test('a photo is only saved when it reads back the same', async () => {
  const survey = await startSurvey();
  const { id } = await savePicture(survey, picture([1, 2, 3]), { category: 'meter' });
  const record = await database.records.get(`${survey}/photo/${id}`);
  expect(record!.values).toMatchObject({
    category: 'meter',
    size_bytes: 3,
    sha256: await sha256Of(new Uint8Array([1, 2, 3]).buffer),
  });
  const spy = vi
    .spyOn(database.photoBytes, 'get')
    .mockImplementation((() =>
      Promise.resolve({ sha256: 'x', bytes: new Uint8Array([1, 2]).buffer, media_type: 'image/jpeg' })) as never);
  await expect(savePicture(survey, picture([4, 5]), {})).rejects.toThrow(/differs/);
  spy.mockRestore();
  expect((await database.records.toArray()).filter((item) => item.kind === 'photo')).toHaveLength(1);
});

test('the same photo of the same record is kept once, and of another record again', async () => {
  const survey = await startSurvey();
  const photos = async () =>
    (await database.records.toArray()).filter((item) => item.kind === 'photo' && item.values['deleted'] !== true);
  const first = await savePicture(survey, picture([1, 2, 3]), { of: 'r', category: 'meter' });
  expect(first.isThere).toBe(false);
  expect(await savePicture(survey, picture([1, 2, 3]), { of: 'r', category: 'meter' })).toEqual({
    id: first.id,
    isThere: true,
  });
  expect(await photos()).toHaveLength(1);
  const others: Values[] = [{ of: 's', category: 'meter' }, { of: 'r', category: 'other' }, {}];
  for (const about of others) expect((await savePicture(survey, picture([1, 2, 3]), about)).isThere).toBe(false);
  expect(await photos()).toHaveLength(4);
  // One that was taken away is no photo that is there, and bytes that are not the same any more are stored anew.
  await saveEdits(survey, [{ kind: 'photo', id: first.id, values: { deleted: true } }]);
  expect((await savePicture(survey, picture([1, 2, 3]), { of: 'r', category: 'meter' })).isThere).toBe(false);
  const sha256 = await sha256Of(new Uint8Array([1, 2, 3]).buffer);
  await database.photoBytes.put({ sha256, bytes: new Uint8Array([9]).buffer, media_type: 'image/jpeg' });
  expect((await savePicture(survey, picture([1, 2, 3]), {})).isThere).toBe(false);
  expect((await database.photoBytes.get(sha256))!.bytes.byteLength).toBe(3);
});

test('a file copy holds the records and the photos', async () => {
  const survey = await startSurvey({ household_name: 'Thimble' });
  await saveEdits(survey, [
    newRecord(survey, 'room', { name: 'Kitchen' }),
    { kind: 'room', id: 'gone', values: { name: 'Gone', deleted: true } },
  ]);
  await savePicture(survey, picture([1, 2, 3]), { category: 'meter' });
  const copy = JSON.parse(await (await surveyDocument(survey)).text()) as {
    format: string;
    id: string;
    records: Record<string, { name?: string }[]>;
    photos: Record<string, { base64: string }>;
  };
  expect(copy.format).toBe('wattwalk-survey');
  expect(copy.records['room']!.map((item) => item.name)).toEqual(['Kitchen']);
  expect(Object.values(copy.photos)).toEqual([{ base64: 'AQID' }]);
});
