/** Nobody who has left may still read it, and nothing unsent is lost by leaving. */
import 'fake-indexeddb/auto';
import { beforeEach, describe, expect, test, vi } from 'vitest';
import { lockedWords } from '../src/domain/words.ts';
import { surveyDocument } from '../src/store/copy.ts';
import { database, readMeta } from '../src/store/database.ts';
import { usePort } from '../src/store/journal/client.ts';
import { compare } from '../src/store/journal/compare.ts';
import { encode } from '../src/store/journal/lines.ts';
import { keepLive } from '../src/store/answers.ts';
import { lockedHere } from '../src/store/locked.ts';
import { keepBytes, keepStamp, markArrived, removePicture, savePicture, soundBytes } from '../src/store/photos.ts';
import { forgetSession, heldHere, keepSession } from '../src/store/session.ts';
import { status } from '../src/store/status.ts';
import { fetchToPhone, removeFromPhone, saveEdits, startSurvey } from '../src/store/surveys.ts';
import { useFetcher, type Fetcher } from '../src/sync/api.ts';
import { syncOnce } from '../src/sync/cycle.ts';
import { emptyCache, tellOffice } from '../src/sync/leaving.ts';
import { FakeDisk } from './files.fake.ts';
import { portTo } from './journal.fake.ts';
import { FakeOffice } from './office.fake.ts';

const una = { user: { name: 'Una', email: 'una@demo.example' }, firm: { name: 'F' }, id: '00000000000000aa' };
const oto = { user: { name: 'Oto', email: 'oto@demo.example' }, firm: { name: 'Other' }, id: '00000000000000bb' };
const picture = { bytes: new Uint8Array([1, 2, 3, 4]).buffer, media_type: 'image/jpeg', width_px: 2, height_px: 2 };

let office: FakeOffice;
let disk: FakeDisk;
/** How the office answers to a sign-out, as seen by the phone. */
let onLeaving: () => Response | Promise<Response>;
let calls: string[];

const json = (body: unknown, status = 200) =>
  new Response(JSON.stringify(body), { status, headers: { 'content-type': 'application/json' } });
const fetcher: Fetcher = async (path, init) => {
  calls.push(`${init.method} ${path}`);
  return path.startsWith('/api/session') ? onLeaving() : office.fetcher(path, init);
};

beforeEach(async () => {
  vi.restoreAllMocks();
  vi.spyOn(console, 'error').mockImplementation(() => undefined);
  for (const table of database.tables) await table.clear();
  office = new FakeOffice();
  disk = new FakeDisk();
  calls = [];
  onLeaving = () => json({ ended: true });
  usePort(portTo(disk));
  useFetcher(fetcher);
});

/** Everything that lies on this phone, as text. */
async function everything(): Promise<string> {
  const tables = await Promise.all(
    database.tables.map(async (table) =>
      JSON.stringify(await table.toArray(), (_key, value: unknown) =>
        value instanceof ArrayBuffer ? [...new Uint8Array(value)] : value,
      ),
    ),
  );
  const folder = disk.root.folders.get('wattwalk');
  return [...tables, ...[...(folder?.files.values() ?? [])].map((bytes) => new TextDecoder().decode(bytes))].join('\n');
}
const photosInJournal = () => [...disk.root.folders.get('wattwalk')!.folders.get('photos')!.files.keys()];
const wipe = async () => {
  for (const table of database.tables) await table.clear();
};
const startAgain = async () => {
  usePort(portTo(disk));
  await compare();
};

/** A survey of which the household is at the office, and a room and a photo are not. */
async function halfSent(): Promise<string> {
  await keepSession(una);
  const survey = await startSurvey({ household_name: 'Thimble' });
  await syncOnce();
  await keepLive({ survey, edits: 1, cursor: 1, engine: 'e', answer: { words: 'Thimble' } as never });
  await saveEdits(survey, [{ kind: 'room', id: 'r1', values: { name: 'Galley', length_m: 4.2 } }]);
  await savePicture(survey, picture, {});
  await keepStamp('an office photo', new Uint8Array([5]).buffer);
  return survey;
}

/** What one person would miss. */
const mine = async () => ({
  waiting: (await database.outbox.toArray()).map(({ id, value, seen }) => [id, value, seen]).sort(),
  photos: (await database.photos.where('arrived').equals(0).toArray()).map((photo) => photo.key),
});

describe('signing out', () => {
  test('with everything at the office leaves nothing of it anywhere', async () => {
    await keepSession(una);
    const survey = await startSurvey({ household_name: 'Thimble' });
    await savePicture(survey, picture, {});
    const { id: blurred } = await savePicture(survey, { ...picture, bytes: new Uint8Array([9]).buffer }, {});
    await removePicture(
      survey,
      blurred,
      String((await database.records.get(`${survey}/photo/${blurred}`))!.values['sha256']),
    );
    await syncOnce();
    expect(photosInJournal()).toHaveLength(1);
    await keepLive({ survey, edits: 1, cursor: 1, engine: 'e', answer: { words: 'Thimble' } as never });
    await keepStamp('an office photo', new Uint8Array([5]).buffer);
    expect(await everything()).toContain('Thimble');
    expect(await database.stamps.count()).toBe(1);
    expect((await forgetSession()).done).toBe(true);
    const left = await everything();
    for (const word of ['Thimble', 'Una', 'una@', survey]) expect(left).not.toContain(word);
    expect(
      await Promise.all(database.tables.filter((table) => table.name !== 'meta').map((table) => table.count())),
    ).toEqual(database.tables.slice(1).map(() => 0));
    expect(photosInJournal()).toEqual([]);
    // A small copy that comes late stays out as well.
    await keepStamp('late', new Uint8Array([5]).buffer);
    expect(await database.stamps.count()).toBe(0);
    await startAgain();
    expect(await database.surveys.count()).toBe(0);
  });

  test('is refused while something is here only; locked, it goes out of sight and nothing else stays', async () => {
    const survey = await halfSent();
    const before = await mine();
    expect((await forgetSession()).done).toBe(false);
    expect(await mine()).toEqual(before);
    expect(await forgetSession(true)).toEqual({
      done: true,
      held: { changes: before.waiting.length, refused: 0, photos: 1 },
    });
    const left = await everything();
    expect(left).toContain('Galley');
    // What the office has is not kept beside what it lacks.
    expect(left).not.toContain('Thimble');

    expect(await lockedHere(null)).toEqual({ changes: before.waiting.length, photos: 1, refused: 0 });
    await keepSession(oto);
    for (const step of [async () => undefined, startAgain, async () => void (await syncOnce())]) {
      await step();
      expect(await mine()).toEqual({ waiting: [], photos: [] });
      expect(await heldHere()).toEqual({ changes: 0, refused: 0, photos: 0 });
      expect(await status()).toMatchObject({ changes: 0, photos: 0, sent: 0, photosSent: 0 });
      expect(await (await surveyDocument(survey)).text()).not.toMatch(/Galley|Thimble|photos/);
      expect(await database.surveys.count()).toBe(0);
    }
    expect(office.state(survey)).not.toHaveProperty('r1/name');
    // Nor does whoever came in between take it along.
    expect((await forgetSession()).done).toBe(true);

    await keepSession(una);
    expect(await mine()).toEqual(before);
    expect(await database.locked.count()).toBe(0);
    expect(await syncOnce()).toEqual({ kind: 'done', trouble: null });
    // The sign-out of the one before was told first; the next exchange is Una's.
    await syncOnce();
    expect(office.state(survey)).toMatchObject({ 'r1/name': 'Galley', 'r1/length_m': 4.2 });
    expect(office.photos.size).toBe(1);
    expect(
      (await database.records.where('survey').equals(survey).toArray()).some(
        (record) => record.values['household_name'] === 'Thimble',
      ),
    ).toBe(true);
    expect(await mine()).toEqual({ waiting: [], photos: [] });
  });

  test('a refused answer comes back with its reason, and what was locked in a life of the office that is over says so', async () => {
    const survey = await halfSent();
    office.refuse = (change) => (change.field === 'length_m' ? 'Too long.' : null);
    await syncOnce();
    await saveEdits(survey, [{ kind: 'room', id: 'r1', values: { name: 'Scullery' } }]);
    const seen = (await database.outbox.toArray())[0]!.seen;
    expect(seen).toBeGreaterThan(0);
    await forgetSession(true);
    await keepSession(oto);
    office.restore(survey, 1, 'second');
    await syncOnce();
    await syncOnce();
    await forgetSession();
    await keepSession(una);
    expect((await database.refused.toArray()).map((row) => row.problem.message)).toEqual(['Too long.']);
    expect((await database.records.get(`${survey}/room/r1`))!.values).toMatchObject({
      length_m: 4.2,
      name: 'Scullery',
    });
    expect((await database.outbox.toArray()).map(({ seen: then, epoch }) => [then, epoch])).toEqual([[seen, 'first']]);
  });

  test('what an app locked that stored the size of every side follows its room when it comes back, where all of the room came back', async () => {
    await keepSession(una);
    const survey = await startSurvey({ household_name: 'Thimble' });
    await saveEdits(survey, [{ kind: 'room', id: 'known', values: { name: 'Hall', use: 'hall', floor_area_m2: 12 } }]);
    await syncOnce();
    await saveEdits(survey, [
      { kind: 'room', id: 'known', values: { length_m: 5 } },
      { kind: 'surface', id: 'partly', values: { room: 'known', side: 'front', element: 'wall' } },
      {
        kind: 'room',
        id: 'made',
        values: { name: 'Galley', use: 'kitchen', length_m: 4.2, width_m: 3, height_m: 2.4 },
      },
      { kind: 'surface', id: 'whole', values: { room: 'made', side: 'front', element: 'wall' } },
    ]);
    await forgetSession(true);
    // As the apps before wrote it down: each wall with its size beside its room's, one of them under way to the office.
    await database.locked.toCollection().modify((row) => {
      const said = (number: number, record: string, field: string, value: number) => ({
        ...row.changes[0]!,
        id: `01930000-0000-7000-8000-00000000000${number}`,
        kind: 'surface',
        record,
        field,
        value,
        seen: 0,
      });
      row.changes.push(
        said(1, 'whole', 'width_m', 4.2),
        { ...said(2, 'whole', 'height_m', 2.4), offered: true },
        said(3, 'partly', 'width_m', 5),
      );
    });
    await keepSession(una);
    const width = async (id: string) => (await database.records.get(`${survey}/surface/${id}`))!.values['width_m'];
    expect(await width('whole')).toBeUndefined();
    // Its room is given by its area, which only the office knows now: there this width is the wall's own.
    expect(await width('partly')).toBe(5);
    const sizes = (await database.outbox.toArray())
      .filter((change) => change.kind === 'surface' && /_m$/.test(change.field))
      .map(({ record, field, value, replaces }) => [record, field, value, replaces ?? []]);
    expect(sizes.sort()).toEqual([
      ['partly', 'width_m', 5, []],
      ['whole', 'height_m', null, ['01930000-0000-7000-8000-000000000002']],
      ['whole', 'width_m', null, []],
    ]);
  });

  test("somebody else's picture with the same bytes takes none of the locked ones along", async () => {
    const survey = await halfSent();
    const [photo] = await database.photos.toArray();
    await forgetSession(true);
    await keepSession(oto);
    const other = await startSurvey();
    const isThere = async () => {
      expect(photosInJournal()).toEqual([photo!.sha256]);
      expect(await database.photoBytes.toCollection().primaryKeys()).toEqual([photo!.sha256]);
    };
    await isThere();
    await keepBytes(other, 'p', photo!.sha256, picture);
    await removePicture(other, 'p', photo!.sha256);
    await isThere();
    await keepBytes(other, 'p', photo!.sha256, picture);
    await markArrived(`${other}/${photo!.sha256}`);
    await isThere();
    await syncOnce();
    await syncOnce();
    expect((await removeFromPhone(other)).removed).toBe(true);
    await isThere();
    await startAgain();
    await isThere();
    await forgetSession();
    await isThere();
    await keepSession(una);
    expect((await database.photos.get(`${survey}/${photo!.sha256}`))!.arrived).toBe(0);
    expect(await soundBytes(photo!)).not.toBeNull();
  });
});

test('what is locked is told in numbers', () => {
  expect(lockedWords({ changes: 0, photos: 0, refused: 0 }, true)).toBe('');
  expect(lockedWords({ changes: 1, photos: 0, refused: 0 }, false)).toBe(
    '1 change waits on this phone, locked. It comes back when whoever made it signs in here again.',
  );
  expect(lockedWords({ changes: 2, photos: 1, refused: 1 }, true)).toBe(
    '2 changes, 1 photo and 1 refused answer of somebody else wait on this phone, locked. They come back when whoever made them signs in here again.',
  );
});

describe('a phone that dies', () => {
  test('at any step of a sign-out has signed out or not, and keeps what is here only', async () => {
    let out = 0;
    for (let after = 0; after < 40; after += 1) {
      await wipe();
      disk = new FakeDisk();
      usePort(portTo(disk));
      office = new FakeOffice();
      await halfSent();
      const before = await mine();
      disk.crashAfter = after;
      await forgetSession(true).catch(() => undefined);
      if (disk.crashAfter >= 0) out += 1;
      disk.restart();
      await startAgain();
      expect(await readMeta('session')).toBeUndefined();
      expect(await database.surveys.count()).toBe(0);
      expect(await readMeta('leaving')).toEqual({ session: una.id });
      const left = await everything();
      for (const word of ['Thimble', '"Una"']) expect([after, left.includes(word)]).toEqual([after, false]);
      await keepSession(oto);
      await startAgain();
      expect(await mine()).toEqual({ waiting: [], photos: [] });
      await forgetSession();
      await keepSession(una);
      expect(await mine()).toEqual(before);
    }
    expect(out).toBeGreaterThan(0);
  }, 60_000);

  test('and loses its store brings back what is locked, as locked as before, and nobody who has left', async () => {
    await halfSent();
    const before = await mine();
    await forgetSession(true);
    await wipe();
    await startAgain();
    expect(await readMeta('session')).toBeUndefined();
    expect(await readMeta('leaving')).toEqual({ session: una.id });
    expect(await database.surveys.count()).toBe(0);
    await keepSession(oto);
    expect(await mine()).toEqual({ waiting: [], photos: [] });
    await forgetSession();
    await keepSession(una);
    expect(await mine()).toEqual({ ...before, waiting: before.waiting });
    expect(await soundBytes((await database.photos.toArray())[0]!)).not.toBeNull();
  });

  test('a line that another tab writes after the sign-out brings nothing back', async () => {
    const survey = await halfSent();
    await forgetSession(true);
    const change = {
      id: '01930000-0000-7000-8000-00000000000a',
      survey,
      kind: 'room',
      record: 'r1',
      field: 'notes',
      value: 'late',
      seen: 0,
      made_at: '2026-03-31T14:05:00Z',
    };
    const [name, bytes] = [...disk.root.folders.get('wattwalk')!.files]
      .filter(([file]) => !file.endsWith('.whole'))
      .at(-1)!;
    const line = encode([{ t: 'edit', survey, born: '', edits: 9, changes: [change] }]);
    disk.root.folders.get('wattwalk')!.files.set(name, new Uint8Array([...bytes, ...line]));
    await wipe();
    await startAgain();
    expect(await database.surveys.count()).toBe(0);
    await keepSession(oto);
    await startAgain();
    expect(await mine()).toEqual({ waiting: [], photos: [] });
  });
});

describe('the office', () => {
  const NO_ANSWERS: [string, () => Response | Promise<Response>][] = [
    ['no signal', () => Promise.reject(new TypeError('Failed to fetch'))],
    ["a portal's page", () => new Response('<html>Welcome</html>', { headers: { 'content-type': 'text/html' } })],
    ["a portal's empty answer", () => new Response(null, { status: 204 })],
    ["a portal's own JSON", () => json({ welcome: true })],
    ['trouble', () => json({ code: 'our_fault', message: 'Something failed.' }, 500)],
    ['a refusal', () => json({ code: 'wrong_origin', message: 'From our own pages only.' }, 403)],
  ];

  test.each(NO_ANSWERS)(
    'is told first of all, and asked nothing else until it has answered: %s',
    async (_name, answer) => {
      await halfSent();
      onLeaving = answer;
      await forgetSession(true);
      await startAgain();
      calls = [];
      for (let tries = 0; tries < 2; tries += 1) {
        expect((await syncOnce()).kind).toBe('no_answer');
        expect(await readMeta('leaving')).toEqual({ session: una.id });
      }
      expect(new Set(calls)).toEqual(new Set([`DELETE /api/session?session=${una.id}`]));
      onLeaving = () => json({ ended: true });
      calls = [];
      expect(await syncOnce()).toEqual({ kind: 'done', trouble: null });
      expect(await readMeta('leaving')).toBeUndefined();
      expect(calls).toEqual([`DELETE /api/session?session=${una.id}`]);
      expect(await tellOffice()).toEqual({ kind: 'nothing' });
    },
  );

  test.each([
    ['a session that had ended', () => json({ code: 'sign_in_needed', message: 'Please sign in.' }, 401)],
    ["another person's session by now", () => json({ ended: false })],
  ])('has nothing more to do with %s', async (_name, answer) => {
    await halfSent();
    await forgetSession(true);
    onLeaving = answer;
    expect(await tellOffice()).toEqual({ kind: 'told' });
    expect(await readMeta('leaving')).toBeUndefined();
  });

  test("is told without the browser's cache, which is emptied afterwards and asked for until it is", async () => {
    await halfSent();
    await emptyCache();
    await forgetSession(true);
    await emptyCache();
    expect(calls.filter((call) => call.endsWith('/api/cache'))).toEqual([]);
    // A browser holds this answer back until its cache is empty.
    let answer: (response: Response) => void = () => {};
    useFetcher((path, init) =>
      path === '/api/cache' ? new Promise<Response>((resolve) => (answer = resolve)) : fetcher(path, init),
    );
    expect(await tellOffice()).toEqual({ kind: 'told' });
    const first = emptyCache();
    expect(emptyCache()).toBe(first);
    expect(await tellOffice()).toEqual({ kind: 'nothing' });
    expect((await keepSession(oto)).kept).toBe(true);
    expect((await syncOnce()).kind).toBe('done');
    answer(new Response('<h1>Sign in to our Wi-Fi</h1>', { headers: { 'content-type': 'text/html' } }));
    await first;
    expect(await readMeta('cache_to_empty')).toBe(true);
    const second = emptyCache();
    await vi.waitFor(async () => {
      answer(new Response(null, { status: 204 }));
      await Promise.race([second, Promise.reject(new Error('not yet'))]);
    });
    expect(await readMeta('cache_to_empty')).toBeUndefined();
    calls = [];
    useFetcher(fetcher);
    await emptyCache();
    expect(calls).toEqual([]);
  });

  test('that wants a fresh sign-in pauses everything and takes nothing', async () => {
    const survey = await halfSent();
    const before = await mine();
    office.fault = (path) => (path === '/api/health' ? 'none' : 'sign_in');
    expect(await syncOnce()).toEqual({ kind: 'sign_in' });
    expect(await readMeta('needs_sign_in')).toBe(true);
    expect(await mine()).toEqual(before);
    expect(await database.surveys.get(survey)).toBeDefined();
    expect((await keepSession(oto)).kept).toBe(false);
    expect(await mine()).toEqual(before);
  });

  test.each([0, 1])(
    'whose answer comes after the sign-out puts nothing back (somebody else signed in: %i)',
    async (isOther) => {
      await keepSession(una);
      const survey = await startSurvey({ household_name: 'Thimble' });
      await syncOnce();
      office.change(survey, 'r9', 'name', 'Late larder');
      const late: string[] = [];
      for (const at of [/^\/api\/surveys\?/, /changes\?/, /assessment$/]) {
        await keepSession(una);
        await fetchToPhone(survey);
        useFetcher(async (path, init) => {
          const answer = await fetcher(path, init);
          if (at.test(path)) {
            late.push(path);
            expect((await forgetSession(true)).done).toBe(true);
            if (isOther) await keepSession(oto);
          }
          return answer;
        });
        expect((await syncOnce()).kind).toBe('no_answer');
        useFetcher(fetcher);
        await tellOffice();
        const left = await everything();
        for (const word of ['Thimble', 'Late larder', survey])
          expect([String(at), word, left.includes(word)]).toEqual([String(at), word, false]);
        if (isOther) await forgetSession();
        await tellOffice();
      }
      expect(late).toHaveLength(3);
    },
  );
});
