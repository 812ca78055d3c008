import 'fake-indexeddb/auto';
import fc from 'fast-check';
import { beforeEach, describe, expect, test, vi } from 'vitest';
import { BOOK } from '../src/domain/book.ts';
import { database, readMeta } from '../src/store/database.ts';
import { applyPull } from '../src/store/exchange.ts';
import { fetchToPhone, removeFromPhone, saveEdits, startSurvey } from '../src/store/surveys.ts';
import { offerAgain, replacePicture, savePicture } from '../src/store/photos.ts';
import { forgetSession, heldHere, keepSession } from '../src/store/session.ts';
import { photoState } from '../src/domain/photos.ts';
import { Survey } from '../src/domain/survey.ts';
import { useFetcher } from '../src/sync/api.ts';
import { syncOnce } from '../src/sync/cycle.ts';
import { FakeOffice, type Fault } from './office.fake.ts';

let office: FakeOffice;

beforeEach(async () => {
  for (const table of database.tables) await table.clear();
  office = new FakeOffice();
  useFetcher(office.fetcher);
});

const waiting = () => database.outbox.toArray();
const room = (survey: string, id: string, values: Record<string, string | number | null>) =>
  saveEdits(survey, [{ kind: 'room', id, values }]);

async function here(survey: string): Promise<Record<string, unknown>> {
  const state: Record<string, unknown> = {};
  for (const record of await database.records.where('survey').equals(survey).toArray()) {
    for (const [field, value] of Object.entries(record.values)) state[`${record.id}/${field}`] = value;
  }
  return state;
}

describe('an exchange', () => {
  test('brings every change to the office, and says so', async () => {
    const survey = await startSurvey({ household_name: 'Thimble' });
    await room(survey, 'r1', { name: 'Kitchen', length_m: 4.2 });
    expect(await waiting()).toHaveLength(3);
    expect(await syncOnce()).toEqual({ kind: 'done', trouble: null });
    expect(await waiting()).toEqual([]);
    expect(office.state(survey)).toEqual(await here(survey));
    const row = await database.surveys.get(survey);
    expect(row).toMatchObject({ cursor: 3 });
    expect(row!.office_at).not.toBeNull();
    expect((await database.assessments.get(survey))!.revision).toBe(3);
  });

  test('goes in batches when there is much', async () => {
    const survey = await startSurvey();
    await saveEdits(
      survey,
      Array.from({ length: 1200 }, (_item, at) => ({ kind: 'room', id: `r${at}`, values: { name: `Room ${at}` } })),
    );
    await syncOnce();
    expect(office.calls.filter((call) => call.startsWith('POST'))).toHaveLength(3);
    expect(await waiting()).toEqual([]);
  }, 60_000);

  test('brings what others changed, page by page, and keeps what waits here', async () => {
    const survey = await startSurvey({ household_name: 'Thimble' });
    await syncOnce();
    for (let at = 0; at < 30; at += 1) office.change(survey, `r${at}`, 'name', `Room ${at}`);
    await syncOnce();
    expect(await here(survey)).toEqual(office.state(survey));
    office.change(survey, 'r1', 'name', 'Theirs');
    await room(survey, 'r1', { name: 'Mine' });
    office.refuse = (change) => (change.value === 'Mine' ? 'No.' : null);
    await syncOnce();
    // Refused, so it no longer waits; and both the refused answer and theirs are kept.
    expect((await database.refused.toArray())[0]).toMatchObject({ value: 'Mine', problem: { message: 'No.' } });
    await room(survey, 'r1', { name: 'Better' });
    expect(await database.refused.count()).toBe(0);
  });

  test('what the office works out is asked for while the survey comes, and again where the survey went on meanwhile', async () => {
    for (let at = 0; at < 20; at += 1) office.change('theirs', `r${at}`, 'name', `Room ${at}`);
    await fetchToPhone('theirs');
    const asked = (part: string) => office.calls.filter((call) => call.includes(part));
    await syncOnce();
    expect((await database.assessments.get('theirs'))!.revision).toBe(20);
    expect(asked('/assessment')).toHaveLength(1);
    expect(office.calls.findIndex((call) => call.includes('/assessment'))).toBeLessThan(
      office.calls.findIndex((call) => call.includes('since=7&')),
    );
    // Each page once.
    expect(asked('/changes').map((call) => /since=(\d+)/.exec(call)![1])).toEqual(['0', '7', '14']);
    for (let at = 0; at < 10; at += 1) office.change('theirs', `r${at}`, 'name', `Bedroom ${at}`);
    office.fault = (path) => {
      if (path.includes('since=27&')) {
        office.fault = () => 'none';
        office.change('theirs', 'p', 'sha256', 'a photo', 'photo');
      }
      return 'none';
    };
    await syncOnce();
    const row = (await database.surveys.get('theirs'))!;
    expect(row.cursor).toBe(31);
    expect((await database.assessments.get('theirs'))!.revision).toBe(31);
    expect(row.photos_at_office.map((photo) => photo.sha256)).toEqual(['a photo']);
  });

  /** What every cursor of a survey was set to while `work` ran. */
  async function cursorsDuring(work: () => Promise<unknown>): Promise<number[]> {
    const seen: number[] = [];
    const note = (changes: object) => {
      if ('cursor' in changes) seen.push(Number(changes.cursor));
    };
    database.surveys.hook('updating', note);
    await work();
    database.surveys.hook('updating').unsubscribe(note);
    return seen;
  }

  test('a survey that comes in pages goes in as a whole, so that no screen shows half of it', async () => {
    for (let at = 0; at < 20; at += 1) office.change('theirs', `r${at}`, 'name', `Room ${at}`);
    await fetchToPhone('theirs');
    expect(await cursorsDuring(syncOnce)).toEqual([20]);
    expect(await here('theirs')).toEqual(office.state('theirs'));
  });

  test('what had come of a survey before the way was cut off is kept, and the rest is asked for from there', async () => {
    for (let at = 0; at < 20; at += 1) office.change('theirs', `r${at}`, 'name', `Room ${at}`);
    await fetchToPhone('theirs');
    office.fault = (path) => (path.includes('since=14&') ? 'no_connection' : 'none');
    expect(await cursorsDuring(syncOnce)).toEqual([14]);
    expect(Object.keys(await here('theirs'))).toHaveLength(14);
    office.fault = () => 'none';
    office.calls = [];
    await syncOnce();
    expect(
      office.calls.filter((call) => call.includes('/changes')).map((call) => /since=(\d+)/.exec(call)![1]),
    ).toEqual(['14']);
    expect(await here('theirs')).toEqual(office.state('theirs'));
  });

  test('the office works a survey out while the book of the firm comes', async () => {
    office.role = 'office';
    office.change(BOOK, 'u1', 'name', 'Unit', 'unit');
    office.change('theirs', 'r1', 'name', 'Kitchen');
    await fetchToPhone('theirs');
    await syncOnce();
    const at = (part: string) => office.calls.findIndex((call) => call.includes(part));
    expect(at('theirs/assessment')).toBeGreaterThan(0);
    expect(at('theirs/assessment')).toBeLessThan(at('/api/book/changes'));
    expect(office.calls.filter((call) => call.includes('theirs/assessment'))).toHaveLength(1);
    expect((await database.assessments.get('theirs'))!.revision).toBe(1);
  });

  test('of a large survey only what changed is written', async () => {
    await database.records.bulkPut(
      Array.from({ length: 300 }, (_, at) => ({
        key: `theirs/room/r${at}`,
        survey: 'theirs',
        kind: 'room',
        id: `r${at}`,
        values: { name: 'Before' },
        seen: {},
      })),
    );
    let written = 0;
    const note = () => void (written += 1);
    database.records.hook('updating', note);
    const changes = Array.from({ length: 150 }, (_, at) => ({
      id: `c${at}`,
      kind: 'room',
      record: `r${at}`,
      field: 'name',
      value: 'After',
      revision: at + 1,
    }));
    await applyPull('theirs', changes, 150);
    database.records.hook('updating').unsubscribe(note);
    expect(written).toBe(150);
    const names = (await database.records.toArray()).map((record) => record.values['name']);
    expect(names.filter((name) => name === 'After')).toHaveLength(150);
  });

  test('what came while a refused value waited is shown before an edit may count as having seen it', async () => {
    const survey = await startSurvey({ household_name: 'Thimble' });
    office.refuse = (change) => (change.value === 'Mine' ? 'No.' : null);
    await syncOnce();
    await room(survey, 'r1', { name: 'Mine' });
    office.change(survey, 'r1', 'name', 'Theirs');
    // It waits through a pull, as when the line breaks between a push and what follows it.
    await applyPull(
      survey,
      [{ id: 'other-1', kind: 'room', record: 'r1', field: 'name', value: 'Theirs', revision: 2 }],
      2,
    );
    expect((await here(survey))['r1/name']).toBe('Mine');
    await syncOnce();
    expect((await database.refused.toArray())[0]).toMatchObject({ value: 'Mine' });
    expect((await here(survey))['r1/name']).toBe('Theirs');
    await room(survey, 'r1', { name: 'Better' });
    await syncOnce();
    expect(office.surveys.get(survey)!.at(-1)).toMatchObject({ value: 'Better', seen: 2, contested: false });
  });

  test('a change that had not seen another one says what it had seen, so that the office can tell', async () => {
    const survey = await startSurvey({ household_name: 'Thimble' });
    await room(survey, 'r1', { name: 'Kitchen' });
    await syncOnce();
    office.change(survey, 'r1', 'name', 'Scullery');
    await room(survey, 'r1', { name: 'Galley' });
    await syncOnce();
    const log = office.surveys.get(survey)!;
    expect(log.at(-1)).toMatchObject({ value: 'Galley', contested: true, seen: 2 });
    // A pick has seen both.
    await saveEdits(survey, [{ kind: 'room', id: 'r1', values: { name: 'Scullery' } }], true);
    await syncOnce();
    expect(log.at(-1)).toMatchObject({ value: 'Scullery', contested: false, resolves: true, seen: 4 });
  });

  test('photos follow their survey and are only then at the office', async () => {
    const survey = await startSurvey();
    await savePicture(
      survey,
      { bytes: new Uint8Array([1, 2, 3]).buffer, media_type: 'image/jpeg', width_px: 1, height_px: 1 },
      { category: 'meter' },
    );
    office.fault = (path) => (path.includes('/photos/') ? 'no_connection' : 'none');
    expect((await syncOnce()).kind).toBe('no_answer');
    expect(await heldHere()).toMatchObject({ photos: 1, changes: 0 });
    expect((await database.surveys.get(survey))!.office_at).toBeNull();
    expect((await removeFromPhone(survey)).removed).toBe(false);
    office.fault = () => 'none';
    await syncOnce();
    expect([...office.photos.values()]).toEqual([3]);
    expect(await heldHere()).toMatchObject({ photos: 0 });
    expect((await removeFromPhone(survey)).removed).toBe(true);
    expect(await database.photoBytes.count()).toBe(0);
  });

  test('a survey of the office comes whole to an empty phone', async () => {
    for (let at = 0; at < 20; at += 1) office.change('elsewhere', `r${at % 5}`, `f${at}`, at);
    await fetchToPhone('elsewhere');
    await syncOnce();
    expect(await here('elsewhere')).toEqual(office.state('elsewhere'));
  });
});

describe('when the network or the office fails', () => {
  const faults: Fault[] = [
    'no_connection',
    'server_error',
    'html_500',
    'captive_portal',
    'captive_json',
    'cut_off',
    'time_out_after_commit',
    'half_the_results',
    'sign_in',
  ];

  test.each(faults)('%s keeps everything, and the next good exchange brings it once', async (fault) => {
    const survey = await startSurvey({ household_name: 'Thimble' });
    await room(survey, 'r1', { name: 'Kitchen' });
    await room(survey, 'r2', { name: 'Hall' });
    const before = await here(survey);
    office.fault = (path) => (path.endsWith('/changes') ? fault : 'none');
    const outcome = await syncOnce();
    if (fault === 'half_the_results') expect(outcome.kind).toBe('done');
    else expect(outcome.kind).toBe(fault === 'sign_in' ? 'sign_in' : 'no_answer');
    if (fault !== 'half_the_results') expect(await waiting()).toHaveLength(3);
    expect(await here(survey)).toEqual(before);
    expect(await readMeta('epoch')).toBe('first');
    office.fault = () => 'none';
    expect(await syncOnce()).toEqual({ kind: 'done', trouble: null });
    expect(office.state(survey)).toEqual(before);
    expect(office.surveys.get(survey)).toHaveLength(3);
    expect(await waiting()).toEqual([]);
    expect(await database.refused.count()).toBe(0);
  });

  test('an edit made while the answer was lost is not mixed into the change that the office may have', async () => {
    const survey = await startSurvey();
    await room(survey, 'r1', { name: 'One' });
    office.fault = (path) => (path.endsWith('/changes') ? 'time_out_after_commit' : 'none');
    await syncOnce();
    await room(survey, 'r1', { name: 'Two' });
    office.fault = () => 'none';
    await syncOnce();
    expect(await database.refused.count()).toBe(0);
    expect(office.state(survey)['r1/name']).toBe('Two');
    expect((await here(survey))['r1/name']).toBe('Two');
  });

  test('a request that arrives after its replacement takes nothing back', async () => {
    const survey = await startSurvey();
    await syncOnce();
    await room(survey, 'r1', { name: 'One' });
    office.fault = (path) => (path.endsWith('/changes') ? 'late' : 'none');
    await syncOnce();
    await room(survey, 'r1', { name: 'Two' });
    await syncOnce();
    await room(survey, 'r1', { name: 'Three' });
    office.fault = () => 'none';
    await syncOnce();
    office.arrive();
    await syncOnce();
    expect(office.state(survey)['r1/name']).toBe('Three');
    expect((await here(survey))['r1/name']).toBe('Three');
    expect(office.spent.size).toBe(2);
  });

  test('an edit that was never offered is replaced without a word to the office', async () => {
    const survey = await startSurvey();
    await room(survey, 'r1', { name: 'One' });
    await room(survey, 'r1', { name: 'Two' });
    await syncOnce();
    expect(office.surveys.get(survey)!.filter((change) => change.replaces !== undefined)).toEqual([]);
  });

  test('sign-in wanted: everything stays, and is sent after it', async () => {
    await keepSession({ user: { name: 'Una', email: 'una@demo.example' }, firm: { name: 'F' } });
    const survey = await startSurvey({ household_name: 'Thimble' });
    office.fault = (path) => (path === '/api/health' ? 'none' : 'sign_in');
    expect(await syncOnce()).toEqual({ kind: 'sign_in' });
    expect(await readMeta('needs_sign_in')).toBe(true);
    expect(await waiting()).toHaveLength(1);
    expect((await keepSession({ user: { name: 'Oto', email: 'oto@demo.example' }, firm: { name: 'F' } })).kept).toBe(
      false,
    );
    expect((await forgetSession()).done).toBe(false);
    expect((await keepSession({ user: { name: 'Una', email: 'una@demo.example' }, firm: { name: 'F' } })).kept).toBe(
      true,
    );
    office.fault = () => 'none';
    await syncOnce();
    expect(office.state(survey)).toEqual(await here(survey));
    expect((await forgetSession()).done).toBe(true);
    expect(await database.records.count()).toBe(0);
  });

  test('whatever fails in whatever order, nothing is lost and nothing is doubled', async () => {
    const step = fc.oneof(
      fc.record({
        do: fc.constant('edit' as const),
        record: fc.constantFrom('r1', 'r2'),
        field: fc.constantFrom('name', 'notes'),
        value: fc.oneof(
          fc.string({ maxLength: 4 }).map((text) => `v${text}`),
          fc.constant(null),
        ),
      }),
      fc.record({
        do: fc.constant('sync' as const),
        plan: fc.array(fc.constantFrom<Fault>('none', 'late', ...faults), { minLength: 1, maxLength: 6 }),
      }),
      fc.record({
        do: fc.constant('other' as const),
        record: fc.constantFrom('r3', 'r4'),
        value: fc.string({ maxLength: 4 }),
      }),
      fc.record({ do: fc.constant('restore' as const), share: fc.integer({ min: 0, max: 3 }) }),
      fc.record({ do: fc.constant('arrive' as const) }),
    );
    await fc.assert(
      fc.asyncProperty(fc.array(step, { minLength: 1, maxLength: 14 }), async (plan) => {
        for (const table of database.tables) await table.clear();
        office = new FakeOffice();
        useFetcher(office.fetcher);
        const survey = await startSurvey({ household_name: 'Thimble' });
        const mine: Record<string, unknown> = {};
        let epochs = 0;
        for (const item of plan) {
          if (item.do === 'edit') {
            await room(survey, item.record, { [item.field]: item.value });
            mine[`${item.record}/${item.field}`] = item.value;
          } else if (item.do === 'other') office.change(survey, item.record, 'name', item.value);
          else if (item.do === 'arrive') office.arrive();
          else if (item.do === 'restore')
            office.restore(
              survey,
              Math.floor(((office.surveys.get(survey)?.length ?? 0) * item.share) / 3),
              `epoch-${++epochs}`,
            );
          else {
            let at = 0;
            office.fault = () => item.plan[at++] ?? 'none';
            await syncOnce();
            office.fault = () => 'none';
          }
          // What the screen called saved is there, whatever has just happened.
          const present = await here(survey);
          for (const [path, value] of Object.entries(mine)) expect(present[path] ?? null).toBe(value);
        }
        for (let round = 0; round < 3; round += 1) expect(await syncOnce()).toEqual({ kind: 'done', trouble: null });
        // What was under way all the time comes at the very end, and takes nothing back.
        office.arrive();
        for (let round = 0; round < 2; round += 1) expect(await syncOnce()).toEqual({ kind: 'done', trouble: null });
        for (const [path, value] of Object.entries(mine)) expect(office.state(survey)[path] ?? null).toBe(value);
        expect(await waiting()).toEqual([]);
        expect(await database.refused.count()).toBe(0);
        expect(office.state(survey)).toEqual(await here(survey));
        const log = office.surveys.get(survey)!;
        expect(new Set(log.map((entry) => entry.id)).size).toBe(log.length);
      }),
      { numRuns: 260, seed: 20260301 },
    );
  }, 60_000);
});

const picture = (...bytes: number[]) => ({
  bytes: new Uint8Array(bytes).buffer,
  media_type: 'image/jpeg',
  width_px: 1,
  height_px: 1,
});

describe('a photo on its way', () => {
  const photoRows = () => database.photos.toArray();
  const toPhotos = (fault: Fault) => (path: string) => (path.includes('/photos/') ? fault : 'none');

  test.each<Fault>([
    'proxy_413',
    'captive_json',
    'captive_portal',
    'html_500',
    'server_error',
    'cut_off',
    'no_connection',
  ])('%s says nothing of its bytes: it waits, and is sent when the office answers', async (fault) => {
    const survey = await startSurvey();
    await savePicture(survey, picture(1, 2, 3), { category: 'meter' });
    office.change(survey, 'r1', 'name', 'Theirs');
    office.fault = toPhotos(fault);
    expect(await syncOnce()).toMatchObject({ kind: 'no_answer' });
    expect(await photoRows()).toMatchObject([{ arrived: 0, problem: null }]);
    expect(await heldHere()).toMatchObject({ photos: 1 });
    office.fault = () => 'none';
    expect(await syncOnce()).toEqual({ kind: 'done', trouble: null });
    expect(await photoRows()).toMatchObject([{ arrived: 1 }]);
    expect(office.photos.size).toBe(1);
  });

  test('one that something in between turns away holds up neither the next one nor what others did', async () => {
    const survey = await startSurvey();
    await savePicture(survey, picture(1, 2, 3), {});
    await savePicture(survey, picture(4, 5), {});
    office.change(survey, 'r1', 'name', 'Theirs');
    let turned = 0;
    office.fault = (path) => (path.includes('/photos/') && turned++ === 0 ? 'proxy_413' : 'none');
    expect(await syncOnce()).toMatchObject({ kind: 'no_answer' });
    expect([...office.photos.values()]).toHaveLength(1);
    expect((await here(survey))['r1/name']).toBe('Theirs');
    await syncOnce();
    expect([...office.photos.values()].sort()).toEqual([2, 3]);
  });

  test('one whose answer was lost is sent again, and is there once', async () => {
    const survey = await startSurvey();
    await savePicture(survey, picture(1, 2, 3), {});
    office.fault = toPhotos('time_out_after_commit');
    expect((await syncOnce()).kind).toBe('no_answer');
    expect(await heldHere()).toMatchObject({ photos: 1 });
    office.fault = () => 'none';
    await syncOnce();
    expect([...office.photos.values()]).toEqual([3]);
    expect(await heldHere()).toMatchObject({ photos: 0 });
  });

  test('after a cut the uploading goes on where it was: what has arrived is not sent again', async () => {
    const survey = await startSurvey();
    for (let at = 1; at <= 4; at += 1) await savePicture(survey, picture(at), {});
    let sent = 0;
    office.fault = (path) => (path.includes('/photos/') && ++sent > 2 ? 'no_connection' : 'none');
    expect((await syncOnce()).kind).toBe('no_answer');
    expect(office.photos.size).toBe(2);
    office.fault = () => 'none';
    office.calls = [];
    await syncOnce();
    expect(office.calls.filter((call) => call.startsWith('PUT'))).toHaveLength(2);
    expect(office.photos.size).toBe(4);
  });

  test('bytes that changed on the way are no fault of the photo', async () => {
    const survey = await startSurvey();
    await savePicture(survey, picture(1), {});
    office.refusePhoto = () => ({ code: 'hash_differs', message: 'Changed on the way.' });
    expect((await syncOnce()).kind).toBe('no_answer');
    expect(await photoRows()).toMatchObject([{ arrived: 0, problem: null }]);
  });

  test('one that the office refuses itself says so, and goes once more when a person offers it again', async () => {
    const survey = await startSurvey();
    await savePicture(survey, picture(1), {});
    office.refusePhoto = () => ({ code: 'not_a_picture', message: 'It cannot be read.' });
    expect(await syncOnce()).toEqual({ kind: 'done', trouble: null });
    const [row] = await photoRows();
    expect(row).toMatchObject({ arrived: 0, problem: { code: 'not_a_picture', message: 'It cannot be read.' } });
    office.refusePhoto = () => null;
    office.calls = [];
    await syncOnce();
    expect(office.calls.filter((call) => call.startsWith('PUT'))).toEqual([]);
    await offerAgain(survey, row!.sha256);
    await syncOnce();
    expect(office.photos.size).toBe(1);
    expect(await photoRows()).toMatchObject([{ arrived: 1, problem: null }]);
  });

  test('one taken again takes the place of the refused one, whose bytes go', async () => {
    const survey = await startSurvey();
    const { id: record } = await savePicture(survey, picture(1), { category: 'meter' });
    const before = (await photoRows())[0]!.sha256;
    office.refusePhoto = (sha256) =>
      sha256 === before ? { code: 'not_a_picture', message: 'It cannot be read.' } : null;
    await syncOnce();
    await replacePicture(survey, record, before, picture(2));
    expect(await syncOnce()).toEqual({ kind: 'done', trouble: null });
    const rows = await photoRows();
    expect(rows).toMatchObject([{ record, arrived: 1, problem: null }]);
    expect(rows[0]!.sha256).not.toBe(before);
    expect([...office.photos.keys()]).toEqual([rows[0]!.sha256]);
    expect(office.state(survey)[`${record}/sha256`]).toBe(rows[0]!.sha256);
    expect(office.state(survey)[`${record}/category`]).toBe('meter');
    expect(await database.photoBytes.count()).toBe(1);
  });
});

describe('a photo that the office has lost after it had come', () => {
  const rows = () => database.photos.toArray();
  const puts = () => office.calls.filter((call) => call.startsWith('PUT')).length;
  const lose = (sha256: string) => office.photos.delete(sha256);
  async function wordsFor(survey: string, record: string): Promise<{ state: string; words: string }> {
    const row = (await database.surveys.get(survey))!;
    const records = await database.records.where('survey').equals(survey).toArray();
    return photoState(new Survey(survey, records).find('photo', record)!, await rows(), row.photos_at_office);
  }

  test('is sent again by itself, and the word goes from at the office to waiting and back', async () => {
    const survey = await startSurvey();
    const { id: record } = await savePicture(survey, picture(1, 2, 3), {});
    await syncOnce();
    await syncOnce();
    const [{ sha256 } = { sha256: '' }] = await rows();
    expect((await wordsFor(survey, record)).state).toBe('office');
    lose(sha256);
    office.fault = (path) => (path.includes('/photos/') ? 'no_connection' : 'none');
    await syncOnce();
    expect(await rows()).toMatchObject([{ arrived: 0, problem: null }]);
    expect(await heldHere()).toMatchObject({ photos: 1 });
    expect(await wordsFor(survey, record)).toEqual({
      state: 'here',
      words: 'Saved on this phone. The office has lost it, so it is sent again',
    });
    office.fault = () => 'none';
    expect(await syncOnce()).toEqual({ kind: 'done', trouble: null });
    expect([...office.photos]).toEqual([[sha256, 3]]);
    expect((await wordsFor(survey, record)).state).toBe('office');
    expect((await database.surveys.get(survey))!.photos_at_office).toEqual([
      { record, sha256, arrived: true, lost: false },
    ]);
  });

  test('is looked for and sent in one exchange, and not looked for any more while nothing is missing', async () => {
    const survey = await startSurvey();
    await savePicture(survey, picture(1), {});
    await syncOnce();
    await syncOnce();
    lose((await rows())[0]!.sha256);
    office.calls = [];
    await syncOnce();
    expect([puts(), office.photos.size, await heldHere()]).toMatchObject([1, 1, { photos: 0 }]);
    office.calls = [];
    await syncOnce();
    expect(office.calls.map((call) => call.split('?')[0])).toEqual(['GET /api/health', 'GET /api/surveys']);
  });

  test('is found though as many are missing as before', async () => {
    const survey = await startSurvey();
    await savePicture(survey, picture(1), {});
    await syncOnce();
    office.change(survey, 'of-another-phone', 'sha256', 'f'.repeat(64), 'photo');
    await syncOnce();
    const mine = (await rows())[0]!.sha256;
    lose(mine);
    office.photos.set('f'.repeat(64), 1);
    office.came.add('f'.repeat(64));
    await syncOnce();
    expect(office.photos.has(mine)).toBe(true);
  });

  test('and that this phone has lost as well is called missing, and is not sent; when it comes from elsewhere, the word changes', async () => {
    const survey = await startSurvey();
    const { id: record } = await savePicture(survey, picture(1), {});
    await syncOnce();
    await syncOnce();
    const { sha256 } = (await rows())[0]!;
    await database.photoBytes.clear();
    lose(sha256);
    office.calls = [];
    await syncOnce();
    expect(puts()).toBe(0);
    expect(await wordsFor(survey, record)).toEqual({
      state: 'lost',
      words: 'Missing: the office has lost it, and this phone does not have it any more either',
    });
    office.photos.set(sha256, 1);
    await syncOnce();
    expect((await wordsFor(survey, record)).state).toBe('office');
    expect(await heldHere()).toMatchObject({ photos: 0, refused: 0 });
  });

  test('and that this phone never had is called missing too', async () => {
    const survey = await startSurvey();
    await syncOnce();
    const sha256 = 'e'.repeat(64);
    office.change(survey, 'of-another-phone', 'sha256', sha256, 'photo');
    office.photos.set(sha256, 1);
    office.came.add(sha256);
    await syncOnce();
    expect((await wordsFor(survey, 'of-another-phone')).words).toBe('At the office, not on this phone');
    lose(sha256);
    await syncOnce();
    expect(await wordsFor(survey, 'of-another-phone')).toEqual({
      state: 'lost',
      words: 'Missing: the office had it and has lost it, and this phone does not have it either',
    });
  });
});

describe('after the office went back to a copy', () => {
  test('what was seen in the life before says so, and what is seen in this one does not', async () => {
    const survey = await startSurvey({ household_name: 'Thimble' });
    office.change(survey, 'r1', 'name', 'Scullery');
    await syncOnce();
    await syncOnce();
    office.fault = () => 'no_connection';
    await room(survey, 'r1', { name: 'Galley' });
    await syncOnce();
    office.fault = () => 'none';
    office.restore(survey, 1, 'second');
    office.change(survey, 'r9', 'name', 'Elsewhere');
    await syncOnce();
    await room(survey, 'r1', { name: 'Kitchen' });
    await syncOnce();
    const said = office.surveys.get(survey)!.filter((change) => change.record === 'r1' && change.device !== 'other');
    expect(said.map(({ value, seen, epoch }) => ({ value, seen, epoch }))).toEqual([
      { value: 'Galley', seen: 1, epoch: 'first' },
      { value: 'Kitchen', seen: said[0]!.revision, epoch: undefined },
    ]);
    expect(office.epochs.at(-1)).toBe('second');
  });

  test('a batch that was sent into the new life unawares is sent anew, and what comes late from the old one is not taken', async () => {
    const survey = await startSurvey({ household_name: 'Thimble' });
    await room(survey, 'r1', { name: 'Kitchen' });
    office.fault = (path) => (path.endsWith('/changes') ? 'late' : 'none');
    await syncOnce();
    await room(survey, 'r1', { name: 'Galley' });
    office.fault = (path) => {
      if (path.endsWith('/changes') && office.epoch === 'first') office.restore(survey, 0, 'second');
      return 'none';
    };
    expect(await syncOnce()).toEqual({ kind: 'done', trouble: null });
    expect(office.epochs).toEqual(['first', 'second']);
    office.arrive();
    await syncOnce();
    expect(office.state(survey)['r1/name']).toBe('Galley');
    expect(office.state(survey)).toEqual(await here(survey));
  });

  test('everything is offered again: what this phone sent, and what it had from others', async () => {
    const survey = await startSurvey({ household_name: 'Thimble' });
    await room(survey, 'r1', { name: 'Kitchen' });
    office.change(survey, 'r9', 'name', 'From a lost phone');
    await syncOnce();
    await syncOnce();
    const whole = office.state(survey);
    office.restore(survey, 1, 'second');
    await syncOnce();
    await syncOnce();
    expect(office.state(survey)).toEqual(whole);
    expect(await waiting()).toEqual([]);
  });

  test('what others changed meanwhile, under revisions that this phone had already passed, arrives', async () => {
    const survey = await startSurvey({ household_name: 'Thimble' });
    for (let at = 0; at < 6; at += 1) office.change(survey, 'r1', `f${at}`, at);
    await syncOnce();
    office.restore(survey, 1, 'second');
    office.change(survey, 'r2', 'name', 'Pantry');
    await syncOnce();
    await syncOnce();
    expect((await here(survey))['r2/name']).toBe('Pantry');
    expect(office.state(survey)).toEqual(await here(survey));
  });

  test('photos are offered again too', async () => {
    const survey = await startSurvey();
    await savePicture(
      survey,
      { bytes: new Uint8Array([9]).buffer, media_type: 'image/jpeg', width_px: 1, height_px: 1 },
      {},
    );
    await syncOnce();
    office.restore(survey, 0, 'second');
    await syncOnce();
    await syncOnce();
    expect(office.photos.size).toBe(1);
  });
});

test('a long batch goes packed, a short one as it is, and without a packer both do', async () => {
  const seen: { packed: boolean; bytes: number }[] = [];
  const wire = office.fetcher;
  useFetcher((input, init) => {
    if (init.method === 'POST')
      seen.push({
        packed: (init.headers as Record<string, string>)['Content-Encoding'] === 'gzip',
        bytes: typeof init.body === 'string' ? init.body.length : (init.body as ArrayBuffer).byteLength,
      });
    return wire(input, init);
  });
  const survey = await startSurvey({ household_name: 'Thimble' });
  await syncOnce();
  await saveEdits(
    survey,
    Array.from({ length: 60 }, (_, place) => ({
      kind: 'room',
      id: `r${place}`,
      values: { name: `Room ${place}`, length_m: place },
    })),
  );
  await syncOnce();
  vi.stubGlobal('CompressionStream', undefined);
  await saveEdits(
    survey,
    Array.from({ length: 60 }, (_, place) => ({ kind: 'room', id: `r${place}`, values: { length_m: place + 1 } })),
  );
  await syncOnce();
  vi.unstubAllGlobals();
  expect(seen.map((each) => each.packed)).toEqual([false, true, false]);
  expect(seen[1]!.bytes / 120).toBeLessThan(60);
  expect(office.surveys.get(survey)!.filter((change) => change.kind === 'room')).toHaveLength(180);
});
