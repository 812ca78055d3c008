import 'fake-indexeddb/auto';
import { beforeEach, describe, expect, test, vi } from 'vitest';
import { BOOK } from '../src/domain/book.ts';
import { Survey, type SurveyRecord } from '../src/domain/survey.ts';
import { requestFor } from '../src/engine/live.ts';
import { database } from '../src/store/database.ts';
import { watchOverview, watchSurvey, type Live, type OpenSurvey } from '../src/store/live.ts';
import { forgetSession, keepSession } from '../src/store/session.ts';
import { saveEdits, startSurvey } from '../src/store/surveys.ts';
import { useFetcher } from '../src/sync/api.ts';
import { syncOnce } from '../src/sync/cycle.ts';
import { compare } from '../src/store/journal/compare.ts';
import { usePort } from '../src/store/journal/client.ts';
import { FakeDisk } from './files.fake.ts';
import { portTo } from './journal.fake.ts';
import { FakeOffice } from './office.fake.ts';

let office: FakeOffice;
const SECRET = '77321.45';

beforeEach(async () => {
  for (const table of database.tables) await table.clear();
  await keepSession({ user: { name: 'Ada', email: 'ada@teasel.example' }, firm: { name: 'Teasel' } });
  office = new FakeOffice();
  office.role = 'office';
  useFetcher(office.fetcher);
  office.change(BOOK, 'u1', 'name', 'Unit one', 'unit');
  office.change(BOOK, 'a1', 'code', 'P-22', 'article');
  office.change(BOOK, 'a1', 'cost_price', SECRET, 'article');
});

/** Everything that lies in the store of this phone, as text. */
async function stored(): Promise<string> {
  return JSON.stringify(await Promise.all(database.tables.map((table) => table.toArray())));
}

async function valueOf<T>(live: Live<T>): Promise<T> {
  for (;;) {
    const found = live.value.value;
    if (found !== undefined) {
      live.stop();
      return found;
    }
    await new Promise((done) => setTimeout(done, 5));
  }
}

const values = async (kind: string, id: string) => (await database.records.get(`${BOOK}/${kind}/${id}`))?.values;
const asked = () => office.calls.filter((call) => call.includes('/api/book'));

describe('the firm’s book', () => {
  test('comes with an exchange, is there without signal, and is not asked for again while nothing has changed', async () => {
    expect(await syncOnce()).toEqual({ kind: 'done', trouble: null });
    expect(await values('unit', 'u1')).toEqual({ name: 'Unit one' });
    const before = asked().length;
    await syncOnce();
    expect(asked().length).toBe(before);
    office.change(BOOK, 'u1', 'name', 'Unit two', 'unit');
    await syncOnce();
    expect(await values('unit', 'u1')).toEqual({ name: 'Unit two' });
    office.fault = () => 'no_connection';
    await syncOnce();
    expect(await values('unit', 'u1')).toEqual({ name: 'Unit two' });
  });

  test('is no survey in the list, and its units can be chosen in one', async () => {
    const survey = await startSurvey();
    await saveEdits(survey, [{ kind: 'design', id: `design-${survey}`, values: { unit: 'u1' } }]);
    await syncOnce();
    expect((await valueOf(watchOverview())).here.map((item) => item.row.id)).toEqual([survey]);
    const open = (await valueOf(watchSurvey(survey))) as OpenSurvey;
    expect(open.survey.ofKind('unit').map((unit) => unit.values['name'])).toEqual(['Unit one']);
    expect(open.survey.isLent(open.survey.find('unit', 'u1')!)).toBe(true);
    const request = JSON.parse(requestFor(open)) as { records: SurveyRecord[]; book: unknown[] };
    expect(request.records.map((record) => record.kind)).not.toContain('unit');
    expect(request.book).toEqual([{ kind: 'unit', id: 'u1', values: { name: 'Unit one' }, left: false }]);
  });

  test('lets what is said offline in it wait, and reach the office', async () => {
    await syncOnce();
    office.fault = () => 'no_connection';
    await saveEdits(BOOK, [{ kind: 'article', id: 'a1', values: { selling_price: '3.00' } }]);
    await syncOnce();
    expect(await database.outbox.count()).toBe(1);
    office.fault = () => 'none';
    await syncOnce();
    expect(await database.outbox.count()).toBe(0);
    expect(office.state(BOOK)['a1/selling_price']).toBe('3.00');
  });

  test('leaves no cost price on the phone of a surveyor', async () => {
    office.role = 'surveyor';
    await syncOnce();
    expect(await values('article', 'a1')).toEqual({ code: 'P-22' });
    expect(await stored()).not.toContain(SECRET);
    office.role = 'office';
    await syncOnce();
    expect(await stored()).toContain(SECRET);
  });

  test('is forgotten and fetched anew when its reader is somebody else to the firm, and what waits stays', async () => {
    await syncOnce();
    expect(await stored()).toContain(SECRET);
    await saveEdits(BOOK, [{ kind: 'unit', id: 'u1', values: { standby_w: 12 } }]);
    office.fault = (path, method) => (method === 'POST' && path.includes('/api/book') ? 'html_500' : 'none');
    office.role = 'surveyor';
    await syncOnce();
    expect(await stored()).toContain(SECRET);
    office.fault = () => 'none';
    await syncOnce();
    expect(await stored()).not.toContain(SECRET);
    expect(await values('article', 'a1')).toEqual({ code: 'P-22' });
    expect((await database.refused.toArray()).map((item) => item.value)).toEqual([12]);
  });

  test('leaves its journal as well, at once or at the next start', async () => {
    vi.spyOn(console, 'error').mockImplementation(() => undefined);
    const disk = new FakeDisk();
    usePort(portTo(disk));
    const journal = () =>
      [...disk.root.folders.get('wattwalk')!.files.values()].map((file) => new TextDecoder().decode(file)).join();
    await syncOnce();
    expect(journal()).toContain(SECRET);
    office.role = 'surveyor';
    await syncOnce();
    expect(journal()).not.toContain(SECRET);
    expect(journal()).toContain('P-22');
    office.role = 'office';
    await syncOnce();
    expect(journal()).toContain(SECRET);
    // The phone dies before the journal is written anew.
    usePort(() => Promise.reject(new Error('the phone died')));
    office.role = 'surveyor';
    await syncOnce().catch(() => undefined);
    usePort(portTo(disk));
    await compare();
    expect(journal()).not.toContain(SECRET);
  });

  test('offers after a restoration what the office wrote, and nothing that was only read', async () => {
    await syncOnce();
    office.restore(BOOK, 1, 'second');
    await syncOnce();
    expect(office.state(BOOK)).toMatchObject({ 'a1/code': 'P-22', 'a1/cost_price': SECRET });
    office.role = 'surveyor';
    await syncOnce();
    office.restore(BOOK, 1, 'third');
    await syncOnce();
    expect(office.state(BOOK)).toEqual({ 'u1/name': 'Unit one' });
    expect(await database.refused.count()).toBe(0);
    expect(await database.outbox.count()).toBe(0);
    expect(await values('article', 'a1')).toEqual({});
  });

  test('goes with whoever signs out, and an office from before there were books says nothing of one', async () => {
    await syncOnce();
    await forgetSession();
    expect(await stored()).not.toContain('P-22');
    await keepSession({ user: { name: 'Ada', email: 'ada@teasel.example' }, firm: { name: 'Teasel' } });
    office.role = null;
    await database.meta.delete('leaving');
    expect(await syncOnce()).toEqual({ kind: 'done', trouble: null });
    expect(await database.surveys.get(BOOK)).toBeUndefined();
  });
});

describe('a survey seen with the book', () => {
  const unit = (id: string, more = {}): SurveyRecord => ({ kind: 'unit', id, values: { name: id, ...more } });
  const design = (chosen: string): SurveyRecord => ({ kind: 'design', id: 'design', values: { unit: chosen } });
  const names = (survey: Survey) => survey.ofKind('unit').map((record) => record.values['name']);

  test('keeps its own before the book’s of the same id', () => {
    const own = { ...unit('u1'), values: { name: 'Own' } };
    expect(names(new Survey('s', [own], [unit('u1'), unit('u2')]))).toEqual(['Own', 'u2']);
    expect([...new Survey('s', [own], [unit('u2')]).all()]).toEqual([own]);
  });

  test('keeps one that has left the list where it was chosen, and nowhere else', () => {
    const book = [unit('u1', { deleted: true }), unit('u2')];
    expect(names(new Survey('s', [design('u1')], book))).toEqual(['u1', 'u2']);
    expect(names(new Survey('s', [design('u2')], book))).toEqual(['u2']);
  });
});
