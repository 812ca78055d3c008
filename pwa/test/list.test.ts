import 'fake-indexeddb/auto';
import { beforeEach, describe, expect, test } from 'vitest';
import { surveyWords } from '../src/domain/office.ts';
import { silenceWords } from '../src/domain/words.ts';
import { database, readMeta } from '../src/store/database.ts';
import { applyList, listCursor } from '../src/store/exchange.ts';
import { saveEdits, startSurvey } from '../src/store/surveys.ts';
import { ask, useFetcher } from '../src/sync/api.ts';
import { syncOnce } from '../src/sync/cycle.ts';
import { fetchStates } from '../src/sync/office.ts';
import { FakeOffice } from './office.fake.ts';

let office: FakeOffice;

beforeEach(async () => {
  for (const table of database.tables) await table.clear();
  office = new FakeOffice();
  useFetcher(office.fetcher);
});

const held = async () => (await readMeta('office_surveys'))?.surveys.map((survey) => survey.id).sort() ?? null;
const asked = () => office.calls.filter((call) => call.includes('/api/surveys?'));
const many = (number: number) => {
  for (let at = 0; at < number; at += 1) office.change(`house-${at}`, 'r', 'name', 'Kitchen');
};

describe("the office's list", () => {
  test('is told whole once, page by page, and then only as far as it changed', async () => {
    many(5);
    await syncOnce();
    expect(await held()).toEqual(['house-0', 'house-1', 'house-2', 'house-3', 'house-4']);
    expect(asked()).toEqual(['GET /api/surveys?since=0', 'GET /api/surveys?since=2', 'GET /api/surveys?since=4']);
    office.calls = [];
    const before = await readMeta('office_surveys');
    await syncOnce();
    expect(asked()).toEqual(['GET /api/surveys?since=5']);
    // Nothing new is nothing written: a list of thousands is not stored again each minute.
    expect(await readMeta('office_surveys')).toEqual(before);
    office.calls = [];
    office.reports.set('house-3', 2);
    await syncOnce();
    expect(asked()).toEqual(['GET /api/surveys?since=5']);
    expect((await readMeta('office_surveys'))!.surveys.find((survey) => survey.id === 'house-3')).toMatchObject({
      latest_report: 2,
    });
    expect(await held()).toHaveLength(5);
  });

  test('keeps to what is stored when an exchange breaks off between two pages', async () => {
    many(5);
    let pages = 0;
    office.fault = (path) => (path.startsWith('/api/surveys?') && (pages += 1) === 2 ? 'no_connection' : 'none');
    expect((await syncOnce()).kind).toBe('no_answer');
    expect(await held()).toEqual(['house-0', 'house-1']);
    expect(await listCursor()).toBe(2);
    await syncOnce();
    expect(await held()).toHaveLength(5);
    expect(asked().at(-2)).toBe('GET /api/surveys?since=2');
  });

  test('is never behind its cursor: both go in together or not at all', async () => {
    many(3);
    await syncOnce();
    office.change('house-9', 'r', 'name', 'Hall');
    const put = database.meta.put.bind(database.meta);
    database.meta.put = ((row: { name: string }) => {
      if (row.name === 'office_surveys') throw new Error('full');
      return put(row as never);
    }) as never;
    await expect(syncOnce()).rejects.toThrow();
    database.meta.put = put as never;
    expect(await listCursor()).toBe(3);
    await syncOnce();
    expect(await held()).toContain('house-9');
  });

  test('loses what went away at the office', async () => {
    many(5);
    await syncOnce();
    office.surveys.delete('house-1');
    await syncOnce();
    expect(await held()).toEqual(['house-0', 'house-2', 'house-3', 'house-4']);
    office.calls = [];
    await syncOnce();
    expect(asked()).toHaveLength(1);
  });

  test('does not shrink on the screen while it is told anew', async () => {
    many(5);
    await syncOnce();
    office.epoch = 'second';
    let pages = 0;
    office.fault = (path) => (path.startsWith('/api/surveys?') && (pages += 1) === 2 ? 'no_connection' : 'none');
    await syncOnce();
    expect(await held()).toHaveLength(5);
    office.surveys.delete('house-4');
    await syncOnce();
    expect(await held()).toEqual(['house-0', 'house-1', 'house-2', 'house-3']);
  });

  test('begins anew when the office has another life of its database', async () => {
    many(3);
    await syncOnce();
    office.restore('house-0', 0, 'second');
    office.calls = [];
    await syncOnce();
    expect(asked()[0]).toBe('GET /api/surveys?since=0');
    expect(await held()).toEqual(['house-1', 'house-2']);
  });

  test('begins anew when the epoch changes between the question and the answer', async () => {
    many(3);
    await syncOnce();
    office.fault = (path) => {
      if (path.startsWith('/api/surveys?since=3')) office.restore('house-0', 0, 'second');
      return 'none';
    };
    await syncOnce();
    expect(await held()).toEqual(['house-1', 'house-2']);
    expect((await readMeta('office_surveys'))!.epoch).toBe('second');
  });

  test('begins anew when the office has forgotten the number', async () => {
    many(3);
    await syncOnce();
    const answer = {
      epoch: 'first',
      surveys: [(await readMeta('office_surveys'))!.surveys[0]!],
      since: 0,
      cursor: 1,
      more: false,
      count: 1,
    };
    expect(await applyList(answer, 3)).toMatchObject({ more: false });
    expect(await held()).toHaveLength(1);
    expect(await listCursor()).toBe(1);
  });

  test('does not go back for an answer to an older question', async () => {
    many(3);
    await syncOnce();
    const line = (await readMeta('office_surveys'))!.surveys[0]!;
    expect(
      await applyList(
        { epoch: 'first', surveys: [{ ...line, revision: 0 }], since: 1, cursor: 2, more: false, count: 3 },
        1,
      ),
    ).toMatchObject({ more: true });
    expect(await listCursor()).toBe(3);
    expect((await readMeta('office_surveys'))!.surveys).toContainEqual(line);
  });

  test('is taken whole from an office that does not count', async () => {
    many(3);
    office.counts = false;
    await syncOnce();
    expect(await held()).toHaveLength(3);
    office.surveys.delete('house-0');
    await syncOnce();
    expect(await held()).toEqual(['house-1', 'house-2']);
    // And when that office is brought up to date, it begins to count.
    office.counts = true;
    await syncOnce();
    expect(await listCursor()).toBe(2);
  });

  test('stops asking an office whose numbers never add up', async () => {
    const answer = { epoch: 'first', surveys: [], since: 0, cursor: 0, more: false, count: 7 };
    let calls = 0;
    useFetcher(async (path) => {
      calls += 1;
      return new Response(JSON.stringify(path === '/api/health' ? { status: 'ok', epoch: 'first' } : answer), {
        headers: { 'content-type': 'application/json' },
      });
    });
    expect((await syncOnce()).kind).toBe('done');
    expect(calls).toBeLessThan(5);
  });
});

describe('an office that is busy', () => {
  test('says so, and everything is kept until it has time', async () => {
    const survey = await startSurvey({ household_name: 'Thimble' });
    office.fault = (path) => (path.endsWith('/changes') ? 'busy' : 'none');
    const outcome = await syncOnce();
    expect(outcome).toMatchObject({ kind: 'no_answer', isBusy: true });
    expect(silenceWords(outcome as { why: string; isBusy: boolean })).toMatch(/^The office is busy/);
    expect(await database.outbox.count()).toBeGreaterThan(0);
    office.fault = () => 'none';
    await saveEdits(survey, [{ kind: 'room', id: 'r', values: { name: 'Hall' } }]);
    expect((await syncOnce()).kind).toBe('done');
    expect(await database.outbox.count()).toBe(0);
  });

  test('is not taken for one in trouble, nor a proxy for it', async () => {
    office.fault = () => 'server_error';
    expect(await ask('/api/health')).not.toHaveProperty('isBusy');
    office.fault = () => 'html_500';
    expect(silenceWords((await ask('/api/health')) as { why: string })).toMatch(/^No answer from the office/);
  });
});

describe('states of surveys', () => {
  test('come page by page', async () => {
    const state = (id: string, gaps: number | null) => ({ id, revision: 1, gaps, email: null });
    const pages = [
      { surveys: [state('a', 1)], cursor: 5, more: true },
      { surveys: [state('b', null)], cursor: 9, more: false },
    ];
    const paths: string[] = [];
    useFetcher(async (path) => {
      paths.push(path);
      return new Response(JSON.stringify(pages[paths.length - 1]), { headers: { 'content-type': 'application/json' } });
    });
    const reply = await fetchStates();
    expect(reply.kind === 'ok' && reply.body.surveys.map((item) => item.gaps)).toEqual([1, null]);
    expect(paths).toEqual(['/api/survey-states?since=0', '/api/survey-states?since=5']);
  });

  test('that are not counted yet say so, and never that there are no gaps', () => {
    const words = surveyWords(
      { contested: 0, refused: 0, photos_missing: 0, latest_report: null },
      { id: 's', revision: 1, gaps: null, email: null },
    ).map((item) => item.words);
    expect(words).toContain('Gaps not yet counted');
    expect(words).not.toContain('No gaps');
  });
});
