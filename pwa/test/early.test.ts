import 'fake-indexeddb/auto';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { BOOK } from '../src/domain/book.ts';
import { database, putMeta } from '../src/store/database.ts';
import { forgetFirstReading, type FirstReading } from '../src/store/first_reading.ts';
import { watchSurvey, watchWaits, type Live } from '../src/store/live.ts';
import { fetchToPhone, newRecord, saveEdits, startSurvey } from '../src/store/surveys.ts';

const SESSION = { user: { name: 'Ada', email: 'ada@test.example' }, firm: { name: 'Test' } };

beforeEach(() => vi.resetModules());
afterEach(async () => {
  forgetFirstReading();
  vi.unstubAllGlobals();
  if (!database.isOpen()) await database.open();
  for (const table of database.tables) await table.clear();
});

/** What the page reads ahead at this address. */
async function readAhead(hash: string): Promise<FirstReading | null> {
  vi.stubGlobal('location', { hash });
  await import('../src/store/early.ts');
  return globalThis.wattwalkFirstReading!;
}

/** The first value of something watched. */
async function firstOf<T>(live: Live<T>): Promise<T> {
  await vi.waitFor(() => expect(live.value.peek()).not.toBeUndefined());
  live.stop();
  return live.value.peek() as T;
}

test('where there is no store yet, none is made and nothing is said to have been read', async () => {
  database.close();
  indexedDB.deleteDatabase('wattwalk');
  expect(await readAhead('#/')).toBeNull();
  expect((await indexedDB.databases()).map((each) => each.name)).not.toContain('wattwalk');
});

test('what is read ahead is what the store itself gives', async () => {
  const survey = await startSurvey({ household_name: 'Thimble' });
  await saveEdits(survey, [newRecord(survey, 'room', { name: 'Kitchen', length_m: 4 })]);
  await putMeta('session', SESSION);
  const ahead = await readAhead(`#/survey/${survey}/record/room/x`);
  const { survey: opened, ...rest } = (await firstOf(watchSurvey(survey)))!;
  const waits = await firstOf(watchWaits());
  forgetFirstReading();
  const { survey: openedLater, ...later } = (await firstOf(watchSurvey(survey)))!;
  expect(Object.keys(ahead!.surveys)).toEqual([survey]);
  expect(rest).toEqual(later);
  expect([...opened.all()]).toEqual([...openedLater.all()]);
  expect(waits).toEqual(await firstOf(watchWaits()));
  expect(waits).toMatchObject({ session: SESSION, needsSignIn: false });
});

test('a form stands on its records first, says nothing of figures, and has all that the store gives after the next drawing', async () => {
  const survey = await startSurvey({ household_name: 'Thimble' });
  await saveEdits(survey, [newRecord(survey, 'room', { name: 'Kitchen', length_m: 4 })]);
  await putMeta('session', SESSION);
  const office = { assessment: { engine: 'x', findings: [] }, gaps: [], pictures: {}, pictures_dark: {} };
  await database.assessments.put({ survey, revision: 0, edits: 99, fetched_at: 1, ...office } as never);
  await readAhead(`#/survey/${survey}/record/room/x`);
  const frames: (() => void)[] = [];
  vi.stubGlobal('requestAnimationFrame', (work: () => void) => frames.push(work));
  const live = watchSurvey(survey, true);
  await vi.waitFor(() => expect(live.value.peek()).not.toBeUndefined());
  const first = live.value.peek()!;
  expect(first).toMatchObject({ isAhead: true, isCurrent: false, assessment: null });
  expect(first.survey.ofKind('room')).toHaveLength(1);
  await vi.waitFor(() => expect(frames).toHaveLength(1));
  // Long enough for the office's answer to have been read: it is the drawing that is waited for.
  await new Promise((done) => setTimeout(done, 50));
  expect(live.value.peek()).toBe(first);
  frames[0]!();
  await vi.waitFor(() => expect(live.value.peek()!.isAhead).toBeUndefined());
  const whole = live.value.peek()!;
  expect(whole.assessment).toMatchObject({ by: 'office' });
  // Whoever asks for gaps before then is told the truth.
  expect(first.gaps).toEqual(whole.gaps);
  expect(first.gaps.length).toBeGreaterThan(0);
  live.stop();
});

test('a form whose figures are held up in the store is followed by all of it all the same', async () => {
  const survey = await startSurvey({ household_name: 'Thimble' });
  await putMeta('session', SESSION);
  const get = IDBObjectStore.prototype.get;
  const held = vi.spyOn(IDBObjectStore.prototype, 'get').mockImplementation(function (this: IDBObjectStore, key) {
    // A request that is never answered.
    return this.name === 'assessments' ? ({} as IDBRequest) : get.call(this, key);
  });
  await readAhead(`#/survey/${survey}/record/room/x`);
  held.mockRestore();
  vi.stubGlobal('requestAnimationFrame', (work: () => void) => setTimeout(work));
  const live = watchSurvey(survey, true);
  await vi.waitFor(() => expect(live.value.peek()?.isAhead).toBe(true));
  await vi.waitFor(() => expect(live.value.peek()!.isAhead).toBeUndefined(), { timeout: 4_500 });
  live.stop();
});

test("the firm's book is read ahead for a survey, which it lends its units, and lends itself nothing", async () => {
  await fetchToPhone(BOOK);
  await saveEdits(BOOK, [newRecord(BOOK, 'unit', { name: 'Unit one' })]);
  await putMeta('session', SESSION);
  const survey = await startSurvey({ household_name: 'Thimble' });
  for (const [id, lent] of [
    [survey, ['Unit one']],
    [BOOK, []],
  ] as const) {
    vi.resetModules();
    const { book } = (await readAhead(`#/survey/${encodeURIComponent(id)}`))!.surveys[id]!;
    expect(book.records.map((record) => record.values['name'])).toEqual(lent);
    const first = (await firstOf(watchSurvey(id)))!.book;
    forgetFirstReading();
    expect(first).toBe((await firstOf(watchSurvey(id)))!.book);
  }
});

test('the screen follows the store from the first edit on, whatever was read ahead', async () => {
  const survey = await startSurvey({ household_name: 'Thimble' });
  await readAhead(`#/survey/${survey}`);
  const live = watchSurvey(survey);
  await vi.waitFor(() => expect(live.value.peek()?.survey.ofKind('room')).toEqual([]));
  await saveEdits(survey, [newRecord(survey, 'room', { name: 'Kitchen' })]);
  await vi.waitFor(() => expect(live.value.peek()?.survey.ofKind('room')).toHaveLength(1));
  live.stop();
});

test('without anybody signed in nothing of a survey is read ahead, whatever lies in the store', async () => {
  const survey = await startSurvey({ household_name: 'Thimble' });
  expect((await readAhead(`#/survey/${survey}`))!.surveys).toEqual({});
  await putMeta('session', SESSION);
  vi.resetModules();
  expect(Object.keys((await readAhead(`#/survey/${survey}`))!.surveys)).toEqual([survey]);
});

test('a survey that is not on this phone is asked of the store', async () => {
  await startSurvey({ household_name: 'Thimble' });
  expect((await readAhead('#/survey/none'))!.surveys).toEqual({});
  expect(await firstOf(watchSurvey('none'))).toBeNull();
});
