/** What was taken away comes back with all that went along: before it was sent and after, beside what others did meanwhile; and what cannot come back says so. */
import 'fake-indexeddb/auto';
import { beforeEach, describe, expect, test } from 'vitest';
import { removal } from '../src/domain/box.ts';
import { setLook, SLOTS } from '../src/domain/fast_start.ts';
import { Survey, type Edit } from '../src/domain/survey.ts';
import { inverseOf, placed, stillAs, takenAway } from '../src/domain/taken.ts';
import { database, type RecordRow } from '../src/store/database.ts';
import { dropOldPictures, bringBack, KEPT_DAYS, watchTaken, type TakenHere } from '../src/store/taken.ts';
import { keepBytes, removePicture, savePicture, waitingPhotos } from '../src/store/photos.ts';
import { forgetSession, keepSession } from '../src/store/session.ts';
import { recordsEver, saveEdits, startSurvey } from '../src/store/surveys.ts';
import { useFetcher } from '../src/sync/api.ts';
import { syncOnce } from '../src/sync/cycle.ts';
import { FakeOffice } from './office.fake.ts';

const DAY_MS = 86_400_000;
const picture = { bytes: new Uint8Array([1, 2, 3]).buffer, media_type: 'image/jpeg', width_px: 1, height_px: 1 };
let office: FakeOffice;

beforeEach(async () => {
  for (const table of database.tables) await table.clear();
  office = new FakeOffice();
  useFetcher(office.fetcher);
});

const shown = async (survey: string) => new Survey(survey, await recordsEver(survey));
const values = async (survey: string) =>
  Object.fromEntries(
    [...(await shown(survey)).all()].map((record) => {
      const { deleted: _deleted, ...rest } = record.values;
      return [`${record.kind}/${record.id}`, rest];
    }),
  );

/** What is listed as taken away, once. */
async function listed(survey: string): Promise<TakenHere[]> {
  const live = watchTaken(survey);
  try {
    for (let turn = 0; turn < 200 && live.value.value === undefined; turn += 1)
      await new Promise((later) => setTimeout(later, 5));
    return live.value.value!;
  } finally {
    live.stop();
  }
}

const names = (found: readonly TakenHere[]) =>
  found.map((item) => [item.record.id, item.along.map((other) => other.id).sort()]);

/** Two rooms with a wall between them, told from the kitchen, and a door in it; a window and a radiator of the kitchen's own. */
async function house(): Promise<string> {
  const survey = await startSurvey({ household_name: 'Quince' });
  await saveEdits(survey, [
    { kind: 'room', id: 'kitchen', values: { name: 'Kitchen', length_m: 4, width_m: 3, height_m: 2.4 } },
    { kind: 'room', id: 'hall', values: { name: 'Hall', length_m: 2, width_m: 2, height_m: 2.4 } },
    {
      kind: 'surface',
      id: 'front',
      values: { room: 'kitchen', side: 'front', element: 'wall', other_side: 'outside' },
    },
    { kind: 'surface', id: 'window', values: { room: 'kitchen', element: 'window', opening_in: 'front', width_m: 1 } },
    {
      kind: 'surface',
      id: 'between',
      values: { room: 'kitchen', side: 'left', element: 'partition', other_side: 'room', other_room: 'hall' },
    },
    {
      kind: 'surface',
      id: 'back',
      values: { room: 'hall', side: 'back', element: 'partition', other_side: 'room', other_room: 'kitchen' },
    },
    { kind: 'emitter', id: 'rad', values: { room: 'kitchen', type: 'panel_22' } },
  ]);
  return survey;
}

const take = (survey: string, kind: string, id: string) => saveEdits(survey, (present) => removal(present, kind, id));

describe.each([
  ['before anything was sent', async () => {}],
  ['after all was sent', async () => void (await syncOnce())],
])('a room that was taken away %s', (_name, meanwhile) => {
  test('comes back with all that went along, and with nothing that went before or after', async () => {
    const survey = await house();
    await meanwhile();
    await take(survey, 'surface', 'window');
    await meanwhile();
    const before = await values(survey);
    await take(survey, 'room', 'kitchen');
    await saveEdits(survey, [{ kind: 'note', id: 'n', values: { text: 'x' } }]);
    await take(survey, 'note', 'n');
    await meanwhile();
    expect(names(await listed(survey))).toEqual([
      ['n', []],
      ['kitchen', ['front', 'rad']],
      ['window', []],
    ]);
    await bringBack(survey, 'room', 'kitchen');
    await meanwhile();
    const after = await values(survey);
    // The wall that was told from the kitchen is told from the hall now, and lies between both as before.
    const { ['surface/between']: wall, ...rest } = after;
    const { ['surface/between']: told, ...same } = before;
    expect(rest).toEqual(same);
    expect(told).toMatchObject({ room: 'kitchen', other_room: 'hall' });
    expect(wall).toMatchObject({ room: 'hall', other_room: 'kitchen', other_side: 'room', side: 'right' });
    expect(names(await listed(survey))).toEqual([
      ['n', []],
      ['window', []],
    ]);
    await syncOnce();
    expect(office.state(survey)).toMatchObject({
      'kitchen/deleted': false,
      'rad/deleted': false,
      'window/deleted': true,
    });
  });

  test('twice comes back once, and twice is nothing', async () => {
    const survey = await house();
    await meanwhile();
    await take(survey, 'room', 'kitchen');
    await meanwhile();
    await bringBack(survey, 'room', 'kitchen');
    await take(survey, 'room', 'kitchen');
    await meanwhile();
    await bringBack(survey, 'room', 'kitchen');
    const edits = (await database.surveys.get(survey))!.edits;
    await bringBack(survey, 'room', 'kitchen');
    expect((await database.surveys.get(survey))!.edits).toBe(edits);
    expect((await shown(survey)).find('emitter', 'rad')).toBeDefined();
    expect(await listed(survey)).toEqual([]);
  });
});

test('what belongs to something that is gone too says what comes first', async () => {
  const survey = await house();
  await take(survey, 'surface', 'window');
  await take(survey, 'room', 'kitchen');
  const [room, window] = await listed(survey);
  expect([room!.first, window!.first?.id]).toEqual([null, 'kitchen']);
});

test('a whole action stands in the store, or nothing of it', async () => {
  const survey = await house();
  await take(survey, 'room', 'kitchen');
  const before = await database.records.toArray();
  const put = database.outbox.bulkAdd.bind(database.outbox);
  database.outbox.bulkAdd = (() => {
    throw new Error('the phone dies');
  }) as never;
  await expect(bringBack(survey, 'room', 'kitchen')).rejects.toThrow();
  database.outbox.bulkAdd = put;
  expect(await database.records.toArray()).toEqual(before);
  expect(names(await listed(survey))).toEqual([['kitchen', ['front', 'rad', 'window']]]);
});

test('what another phone took away is listed here, and can come back from here', async () => {
  const survey = await house();
  await syncOnce();
  for (const [kind, id] of [
    ['room', 'kitchen'],
    ['surface', 'front'],
    ['surface', 'window'],
    ['emitter', 'rad'],
  ])
    office.change(survey, id!, 'deleted', true, kind);
  await syncOnce();
  expect((await shown(survey)).find('room', 'kitchen')).toBeUndefined();
  const [item] = await listed(survey);
  expect(item!.record.id).toBe('kitchen');
  await bringBack(survey, 'room', 'kitchen');
  await syncOnce();
  expect(office.state(survey)).toMatchObject({ 'kitchen/deleted': false, 'rad/deleted': false });
});

describe('a photo', () => {
  const hashOf = async (survey: string, id: string) =>
    String((await database.records.get(`${survey}/photo/${id}`))!.values['sha256']);
  const taken = async () => {
    const survey = await startSurvey();
    const { id } = await savePicture(survey, picture, {});
    const sha256 = await hashOf(survey, id);
    await removePicture(survey, id, sha256);
    return { survey, id, sha256 };
  };

  test('that was never sent keeps its picture for a while, is not sent meanwhile, and comes back whole', async () => {
    const { survey, id, sha256 } = await taken();
    expect(await waitingPhotos()).toEqual([]);
    await syncOnce();
    expect(office.photos.size).toBe(0);
    const [item] = await listed(survey);
    expect(item).toMatchObject({ picture: 'here' });
    expect(item!.until! - Date.now()).toBeGreaterThan((KEPT_DAYS - 1) * DAY_MS);
    await dropOldPictures(Date.now() + (KEPT_DAYS - 1) * DAY_MS);
    await bringBack(survey, 'photo', id);
    expect((await waitingPhotos()).map((photo) => photo.sha256)).toEqual([sha256]);
    await syncOnce();
    expect([...office.photos.keys()]).toEqual([sha256]);
    expect((await shown(survey)).find('photo', id)).toBeDefined();
  });

  test('whose picture is gone says so, and is not called back', async () => {
    const { survey, id } = await taken();
    await dropOldPictures(Date.now() + KEPT_DAYS * DAY_MS);
    expect(await database.photoBytes.count()).toBe(0);
    expect(await listed(survey)).toMatchObject([{ picture: 'gone', until: null }]);
    await expect(bringBack(survey, 'photo', id)).rejects.toMatchObject({
      reason: expect.stringMatching('picture is gone'),
    });
    expect((await shown(survey)).find('photo', id)).toBeUndefined();
  });

  test('that the office has comes back from there', async () => {
    const survey = await startSurvey();
    const { id } = await savePicture(survey, picture, {});
    await syncOnce();
    await removePicture(survey, id, await hashOf(survey, id));
    await database.photoBytes.clear();
    expect(await listed(survey)).toMatchObject([{ picture: 'office' }]);
    await bringBack(survey, 'photo', id);
    expect((await shown(survey)).find('photo', id)).toBeDefined();
  });

  test('with the same bytes as one that is wanted takes none of its own away', async () => {
    const survey = await startSurvey();
    const { id } = await savePicture(survey, picture, {});
    const { id: twin } = await savePicture(survey, picture, { category: 'other' });
    await removePicture(survey, id, await hashOf(survey, id));
    expect(await waitingPhotos()).toHaveLength(1);
    await removePicture(survey, twin, await hashOf(survey, twin));
    expect(await waitingPhotos()).toHaveLength(0);
    // Taken once more, it is wanted after all.
    await keepBytes(survey, 'again', await hashOf(survey, id), picture);
    expect(await waitingPhotos()).toHaveLength(1);
  });

  test('that was taken away counts for nothing that a sign-out would lose', async () => {
    await keepSession({
      user: { name: 'Una', email: 'una@demo.example', role: 'office' },
      firm: { name: 'F' },
      epoch: 'first',
      session: 's',
    } as never);
    const { survey, id } = await taken();
    await syncOnce();
    expect((await forgetSession()).done).toBe(true);
    expect(await database.photoBytes.count()).toBe(0);
    expect([survey, id]).toHaveLength(2);
  });
});

describe('filling the house', () => {
  const slot = SLOTS.find((item) => item.key === 'wall')!;
  const start = (): Survey =>
    new Survey('s', [
      { kind: 'surface', id: 'a', values: { element: 'wall' } },
      { kind: 'surface', id: 'b', values: { element: 'wall' } },
    ]);
  const after = (survey: Survey, edits: readonly Edit[]): Survey => {
    const made = new Map([...survey.all()].map((record) => [record.id, { ...record, values: { ...record.values } }]));
    for (const { kind, id, values: given } of edits) {
      const record = made.get(id) ?? { kind, id, values: {} };
      for (const [name, value] of Object.entries(given)) {
        if (value === null) delete record.values[name];
        else record.values[name] = value;
      }
      made.set(id, record);
    }
    return new Survey('s', made.values());
  };

  test('is taken back whole: the construction goes, and what it filled is as it was', () => {
    const survey = start();
    const edits = setLook(survey, slot, 'wall_cavity', () => 'new');
    const inverse = inverseOf(survey, edits);
    const filled = after(survey, edits);
    const undone = after(filled, stillAs(filled, edits, inverse));
    expect([...undone.all()]).toEqual([...survey.all()]);
  });

  test('leaves alone what was answered otherwise since', () => {
    const survey = start();
    const edits = setLook(survey, slot, 'wall_cavity', () => 'new');
    const inverse = inverseOf(survey, edits);
    const later = after(after(survey, edits), [{ kind: 'surface', id: 'b', values: { construction: 'mine' } }]);
    const undone = after(later, stillAs(later, edits, inverse));
    expect(undone.find('surface', 'a')!.values['construction']).toBeUndefined();
    expect(undone.find('surface', 'b')!.values['construction']).toBe('mine');
  });
});

test('what waits stands behind all that is at the office, in the order in which it was made', () => {
  const row = (id: string, at: number, more = {}) => ({
    kind: 'note',
    id,
    values: { deleted: true, ...more },
    seen: { deleted: at },
  });
  const change = (id: string, record: string) => ({
    id,
    survey: 's',
    kind: 'note',
    record,
    field: 'deleted',
    value: true,
    seen: 0,
    made_at: '',
  });
  const rows = [row('a', 7), row('b', 0), row('c', 9), row('d', 0)] as unknown as RecordRow[];
  const found = takenAway(placed(rows, [change('2', 'b'), change('1', 'd')]));
  expect(found.map((item) => item.record.id)).toEqual(['b', 'd', 'c', 'a']);
});
