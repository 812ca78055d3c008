import 'fake-indexeddb/auto';
import fc from 'fast-check';
import { beforeEach, describe, expect, test, vi } from 'vitest';
import { database, dropMeta, putMeta, readMeta } from '../src/store/database.ts';
import { applyPull, applyPush, meetEpoch, nextBatch, saveView } from '../src/store/exchange.ts';
import { sha256Of } from '../src/store/hash.ts';
import { journalState, rewriteNow, usePort } from '../src/store/journal/client.ts';
import { compare, linesOfDatabase } from '../src/store/journal/compare.ts';
import { checksum, decode, encode, type Line } from '../src/store/journal/lines.ts';
import { markArrived, savePicture, soundBytes } from '../src/store/photos.ts';
import { lockedHere } from '../src/store/locked.ts';
import { forgetSession, keepSession } from '../src/store/session.ts';
import { fetchToPhone, newRecord, removeFromPhone, saveEdits, startSurvey } from '../src/store/surveys.ts';
import { FakeDisk } from './files.fake.ts';
import { portTo } from './journal.fake.ts';

const una = { user: { name: 'Una', email: 'una@demo.example' }, firm: { name: 'F' } };
const oto = { user: { name: 'Oto', email: 'oto@demo.example' }, firm: { name: 'Other' } };
let disk: FakeDisk;

beforeEach(async () => {
  vi.restoreAllMocks();
  // A journal that fails says so on the console each time, which is what many of these tests bring about.
  vi.spyOn(console, 'error').mockImplementation(() => undefined);
  for (const table of database.tables) await table.clear();
  disk = new FakeDisk();
  usePort(portTo(disk));
});

/** All that a person would miss. */
async function here(): Promise<unknown> {
  const records = await database.records.toArray();
  const waiting = await database.outbox.toArray();
  return {
    surveys: (await database.surveys.toArray()).map((row) => row.id),
    records: records.map(({ key, values }) => [key, values]),
    waiting: waiting.map(({ id, value, seen }) => [id, value, seen]).sort(),
    photos: (await database.photos.where('arrived').equals(0).toArray()).map((photo) => [photo.key, photo.size_bytes]),
    session: (await readMeta('session'))?.user.email,
  };
}

const wipe = async () => {
  for (const table of database.tables) await table.clear();
};
const journalFile = () =>
  [...disk.root.folders.get('wattwalk')!.files].filter(([name]) => !name.endsWith('.whole')).at(-1)!;
const picture = { bytes: new Uint8Array([1, 2, 3, 4]).buffer, media_type: 'image/jpeg', width_px: 2, height_px: 2 };

async function someWork(): Promise<string> {
  await keepSession(una);
  const survey = await startSurvey({ household_name: 'Thimble' });
  await saveEdits(survey, [{ kind: 'room', id: 'r1', values: { name: 'Kitchen', length_m: 4.2 } }]);
  await saveEdits(survey, [
    { kind: 'room', id: 'r1', values: { name: 'Galley' } },
    newRecord(survey, 'room', { name: 'Hall' }),
  ]);
  await savePicture(survey, picture, { category: 'meter' });
  return survey;
}

describe('the lines', () => {
  const lines: Line[] = [
    { t: 'device', device: 'd' },
    { t: 'epoch', epoch: 'é ✓ 𝄞' },
    { t: 'gone', survey: 's' },
  ];

  test('the checksum is the published one', () => {
    // Check value of CRC-32 in the catalogue of parametrised CRC algorithms (CRC-32/ISO-HDLC).
    expect(checksum(new TextEncoder().encode('123456789'))).toBe(0xcbf43926);
  });

  test('cut at any byte, the lines before the cut are kept and the rest is a torn end', () => {
    const bytes = encode(lines);
    const ends = lines.map((_line, at) => encode(lines.slice(0, at + 1)).length);
    for (let cut = 0; cut <= bytes.length; cut += 1) {
      const found = decode(bytes.slice(0, cut));
      const whole = ends.filter((end) => end <= cut).length;
      expect(found.lines).toEqual(lines.slice(0, whole));
      expect(found.damaged).toBe(0);
      expect(found.end).toBe(ends[whole - 1] ?? 0);
    }
  });

  test('any byte changed in the middle is damage, and only its own line is lost', () => {
    const bytes = encode(lines);
    const [first, second] = [encode(lines.slice(0, 1)).length, encode(lines.slice(0, 2)).length];
    for (let at = first; at < second; at += 1) {
      const spoilt = bytes.slice();
      spoilt[at] = spoilt[at]! ^ 0x01;
      const found = decode(spoilt);
      expect(found.lines).toEqual([lines[0], lines[2]]);
      expect(found.damaged).toBe(1);
      expect(found.end).toBe(bytes.length);
    }
  });
});

describe('a database that lost what the journal has', () => {
  test('emptied: surveys, edits, photo and session come back, and nothing twice', async () => {
    const survey = await someWork();
    const before = await here();
    await wipe();
    expect((await compare()).restored).toEqual([survey]);
    expect(await here()).toEqual(before);
    const [photo] = await database.photos.toArray();
    expect(await sha256Of((await database.photoBytes.get(photo!.sha256))!.bytes)).toBe(photo!.sha256);
    expect((await compare()).restored).toEqual([]);
    expect(await here()).toEqual(before);
  });

  test('thrown back to any earlier state: it is brought forward', async () => {
    const states: [string, unknown[]][] = [];
    const keepState = async () => {
      for (const table of database.tables) states.push([table.name, await table.toArray()]);
    };
    await keepSession(una);
    const survey = await startSurvey({ household_name: 'Thimble' });
    for (const name of ['Kitchen', 'Galley', 'Scullery']) {
      await keepState();
      await saveEdits(survey, [{ kind: 'room', id: 'r1', values: { name } }, newRecord(survey, 'room', { name })]);
    }
    await applyPull(survey, [{ id: 'o1', kind: 'room', record: 'r9', field: 'name', value: 'Theirs', revision: 1 }], 1);
    const before = await here();
    const tables = database.tables.length;
    for (let from = 0; from < states.length; from += tables) {
      await wipe();
      for (const [name, rows] of states.slice(from, from + tables)) await database.table(name).bulkPut(rows as never[]);
      expect((await compare()).restored).toEqual([survey]);
      expect(await here()).toEqual(before);
    }
  });

  test('behind a journal that was written anew: its whole picture stands', async () => {
    const survey = await someWork();
    const rows = await Promise.all(database.tables.map((table) => table.toArray()));
    await saveEdits(survey, [{ kind: 'room', id: 'r1', values: { name: 'Scullery' } }]);
    const before = await here();
    await rewriteNow();
    await wipe();
    for (const [at, table] of database.tables.entries()) await table.bulkPut(rows[at] as never[]);
    expect((await compare()).restored).toEqual([survey]);
    expect(await here()).toEqual(before);
  });

  test('what comes back may have been sent before, and in the life before: its replacement says so', async () => {
    await meetEpoch('first');
    const survey = await startSurvey();
    await saveEdits(survey, [{ kind: 'room', id: 'r1', values: { name: 'Mine' } }]);
    const [mine] = (await nextBatch(survey, 10)).changes.filter((change) => change.record === 'r1');
    await meetEpoch('second');
    await wipe();
    await compare();
    await saveEdits(survey, [{ kind: 'room', id: 'r1', values: { name: 'Newer' } }]);
    expect((await nextBatch(survey, 10)).changes.filter((change) => change.record === 'r1')).toMatchObject([
      { value: 'Newer', seen: 0, epoch: 'first', replaces: [mine!.id] },
    ]);
  });

  test('what the office had taken and another phone changed since does not come back over it', async () => {
    await keepSession(una);
    const survey = await startSurvey();
    await saveEdits(survey, [{ kind: 'room', id: 'r1', values: { name: 'Mine' } }]);
    const batch = await nextBatch(survey, 10);
    await applyPush(
      survey,
      batch.changes.map((change, at) => ({
        id: change.id,
        status: 'accepted',
        revision: at + 1,
        contested: false,
        problem: null,
      })),
    );
    await applyPull(
      survey,
      [
        ...batch.changes.map((change, at) => ({ ...change, revision: at + 1 })),
        { id: 'o', kind: 'room', record: 'r1', field: 'name', value: 'Theirs', revision: 9 },
      ],
      9,
    );
    const before = await here();
    await wipe();
    await compare();
    expect(await here()).toEqual(before);
    expect((await database.surveys.get(survey))!.cursor).toBe(9);
  });

  test('a survey fetched again while its unsent work was only in the journal gets that work back', async () => {
    const survey = await someWork();
    await wipe();
    await keepSession(una);
    await fetchToPhone(survey);
    await saveEdits(survey, [{ kind: 'room', id: 'r1', values: { name: 'Newest' } }]);
    usePort(portTo(disk));
    // The fetch began a second life in the journal, so the first one is cut off before it for this test.
    const [name, bytes] = journalFile();
    const lines = decode(bytes).lines;
    const cut = lines.findLastIndex((line) => line.t === 'session');
    disk.root.folders.get('wattwalk')!.files.set(name, encode(lines.slice(0, cut)));
    expect((await compare()).restored).toEqual([survey]);
    const room = await database.records.get(`${survey}/room/r1`);
    expect(room!.values).toEqual({ name: 'Newest', length_m: 4.2 });
    expect(await database.photos.count()).toBe(1);
  });

  test('a torn end is cut off and the rest kept; a damaged middle loses its own line only and is mended', async () => {
    const survey = await someWork();
    const [name, bytes] = journalFile();
    const folder = disk.root.folders.get('wattwalk')!;
    folder.files.set(name, bytes.slice(0, bytes.length - 5));
    await wipe();
    expect(await compare()).toMatchObject({ restored: [survey], damaged: 0 });
    expect((await database.records.get(`${survey}/room/r1`))!.values['name']).toBe('Galley');
    const [again, rewritten] = journalFile();
    const spoilt = rewritten.slice();
    spoilt[30] = spoilt[30]! ^ 1;
    folder.files.set(again, spoilt);
    expect((await compare()).damaged).toBe(1);
    expect((await compare()).damaged).toBe(0);
    expect(decode(journalFile()[1]).lines).toEqual(await linesOfDatabase());
  });
});

describe('a journal that is behind', () => {
  test('takes up what the database has: a store of an older version, or lines that did not get there', async () => {
    usePort(null);
    await someWork();
    const before = await here();
    usePort(portTo(disk));
    await compare();
    await wipe();
    await compare();
    expect({ ...((await here()) as object), photos: [] }).toEqual({ ...(before as object), photos: [] });
    expect(journalState.value.kind).toBe('kept');
  });

  test('full: the edit is saved by the database, the state says why, and room brings it up to date', async () => {
    const survey = await someWork();
    disk.room = 10;
    await saveEdits(survey, [{ kind: 'room', id: 'r1', values: { name: 'Pantry' } }]);
    expect(journalState.value).toMatchObject({ kind: 'failing' });
    disk.room = Infinity;
    await saveEdits(survey, [{ kind: 'room', id: 'r1', values: { notes: 'Damp' } }]);
    expect(journalState.value.kind).toBe('kept');
    await wipe();
    await compare();
    expect((await database.records.get(`${survey}/room/r1`))!.values).toMatchObject({ name: 'Pantry', notes: 'Damp' });
  });

  test('a browser without the file system says so, and all else works', async () => {
    usePort(null);
    await someWork();
    expect(journalState.value).toEqual({ kind: 'none' });
    expect(await compare()).toMatchObject({ restored: [] });
  });
});

describe('what a person takes off this phone', () => {
  test('does not come back from the journal: one survey, or all at the sign-out', async () => {
    await keepSession(una);
    const survey = await startSurvey();
    const other = await startSurvey();
    for (const id of [survey, other]) {
      await applyPush(
        id,
        (await nextBatch(id, 9)).changes.map((change) => ({
          id: change.id,
          status: 'accepted',
          revision: 1,
          contested: false,
          problem: null,
        })),
      );
    }
    expect((await removeFromPhone(survey)).removed).toBe(true);
    await compare();
    expect((await database.surveys.toArray()).map((row) => row.id)).toEqual([other]);
    expect((await forgetSession()).done).toBe(true);
    await compare();
    expect(await database.surveys.count()).toBe(0);
    expect(await readMeta('session')).toBeUndefined();
  });

  /** A way to the journal that does something of a person's while it is being compared: at its first order of a kind. */
  const meanwhile = (when: string, act: () => Promise<unknown>) => {
    const way = portTo(disk);
    let isDone = false;
    usePort(async (order) => {
      const answer = await way(order);
      if (order.do === when && !isDone) {
        isDone = true;
        await act();
      }
      return answer;
    });
  };

  test('whoever signs out while the stores are compared is gone: house, session and journal', async () => {
    for (const when of ['read', 'photo']) {
      const survey = await someWork();
      // What the database lost is on its way back from the journal when the person leaves.
      await database.surveys.delete(survey);
      for (const table of [database.records, database.outbox, database.photos])
        await table.where('survey').equals(survey).delete();
      let left: Promise<unknown> = Promise.resolve();
      meanwhile(when, async () => {
        left = forgetSession();
        while ((await readMeta('session')) !== undefined) await new Promise((done) => setTimeout(done, 1));
      });
      await compare();
      await left;
      expect(await here(), when).toEqual({ surveys: [], records: [], waiting: [], photos: [], session: undefined });
      await compare();
      expect(await here(), when).toEqual({ surveys: [], records: [], waiting: [], photos: [], session: undefined });
      expect(new TextDecoder().decode(journalFile()[1]), when).not.toContain('Thimble');
    }
  });

  test('a sign-out while locked work comes back: the session stays ended, and the work is there for its person', async () => {
    await someWork();
    expect((await forgetSession(true)).done).toBe(true);
    await keepSession(oto);
    await database.locked.clear();
    await dropMeta('session');
    let left: Promise<unknown> = Promise.resolve();
    meanwhile('photo', async () => {
      await putMeta('session', oto);
      left = forgetSession();
      while ((await readMeta('session')) !== undefined) await new Promise((done) => setTimeout(done, 1));
    });
    await compare();
    await left;
    expect(await readMeta('session')).toBeUndefined();
    expect(await lockedHere(null)).toMatchObject({ photos: 1 });
  });

  test('work given back while the stores are compared is not locked a second time', async () => {
    for (const person of [oto, una]) {
      await keepSession(person);
      const survey = await startSurvey({ household_name: person.user.name });
      await savePicture(survey, { ...picture, bytes: encode([{ t: 'device', device: survey }]).buffer }, {});
      expect((await forgetSession(true)).done).toBe(true);
    }
    const { changes: waiting } = await lockedHere('oto@demo.example');
    expect(waiting).toBeGreaterThan(0);
    // One's is on its way back from the journal when the other signs in, whom the journal has still as locked.
    await database.locked.where('email').equals('oto@demo.example').delete();
    let given: Promise<unknown> = Promise.resolve();
    meanwhile('photo', async () => {
      given = keepSession(una);
      while ((await readMeta('session')) === undefined) await new Promise((done) => setTimeout(done, 1));
    });
    await compare();
    await given;
    expect(await database.outbox.count()).toBe(waiting);
    expect((await database.locked.toArray()).map((row) => row.email)).toEqual(['oto@demo.example']);
  });

  test("another person's unsent work stays theirs: it is locked, and comes back to nobody else", async () => {
    const survey = await someWork();
    const before = await here();
    await wipe();
    await putMeta('session', oto);
    await compare();
    expect(await database.surveys.count()).toBe(0);
    expect(await lockedHere('oto@demo.example')).toMatchObject({
      changes: (before as { waiting: unknown[] }).waiting.length,
      photos: 1,
    });
    expect(journalState.value.kind).toBe('kept');
    expect((await forgetSession()).done).toBe(true);
    await keepSession(una);
    expect(await here()).toEqual(before);
    expect((await database.surveys.get(survey))!.edits).toBe(4);
  });
});

describe('a photo', () => {
  test('spoilt in the database is healed from the journal; spoilt in both it is not called sound', async () => {
    await someWork();
    const [photo] = await database.photos.toArray();
    await database.photoBytes.update(photo!.sha256, { bytes: new Uint8Array([9]).buffer });
    expect(await sha256Of((await soundBytes(photo!))!)).toBe(photo!.sha256);
    expect(new Uint8Array((await database.photoBytes.get(photo!.sha256))!.bytes)).toEqual(new Uint8Array([1, 2, 3, 4]));
    await database.photoBytes.update(photo!.sha256, { bytes: new Uint8Array([9]).buffer });
    disk.root.folders
      .get('wattwalk')!
      .folders.get('photos')!
      .files.set(photo!.sha256, new Uint8Array([7]));
    expect(await soundBytes(photo!)).toBeNull();
  });
});

test('the phone dies at any step of the file system, in any order of work: after the restart and a wipe all noted edits are there', async () => {
  const work = fc.array(fc.constantFrom('edit', 'photo', 'rewrite', 'compare'), { minLength: 1, maxLength: 6 });
  await fc.assert(
    fc.asyncProperty(work, fc.integer({ min: 0, max: 60 }), async (plan, after) => {
      await wipe();
      disk = new FakeDisk();
      usePort(portTo(disk));
      await keepSession(una);
      const survey = await startSurvey();
      disk.crashAfter = after;
      const noted: Record<string, number> = {};
      for (const [at, item] of plan.entries()) {
        if (item === 'edit') {
          await saveEdits(survey, [{ kind: 'room', id: `r${at % 2}`, values: { length_m: at } }]);
          // Only what the journal said it has is claimed: the database is wiped below.
          if (journalState.value.kind === 'kept') noted[`r${at % 2}`] = at;
          else break;
        } else if (item === 'photo') await savePicture(survey, { ...picture, bytes: new Uint8Array([at]).buffer }, {});
        else if (item === 'rewrite') await rewriteNow().catch(() => undefined);
        else await compare().catch(() => undefined);
        if (disk.crashAfter < 0) break;
      }
      disk.restart();
      usePort(portTo(disk));
      await wipe();
      await compare();
      for (const [room, value] of Object.entries(noted))
        expect((await database.records.get(`${survey}/room/${room}`))!.values['length_m']).toBe(value);
    }),
    { numRuns: 150, seed: 20260301 },
  );
}, 60_000);

test('a photo that the office has lost is kept a second time again, until it has come once more', async () => {
  const survey = await someWork();
  const [row] = await database.photos.toArray();
  await compare();
  await markArrived(row!.key);
  expect(await portTo(disk)({ do: 'photo', sha256: row!.sha256 })).toBeNull();
  expect(
    await saveView(survey, {
      contested: [],
      refused: 0,
      photos: [{ record: row!.record, sha256: row!.sha256, arrived: false, lost: true }],
    }),
  ).toBe(1);
  await wipe();
  await compare();
  expect((await database.photos.toArray()).map(({ sha256, arrived }) => [sha256, arrived])).toEqual([[row!.sha256, 0]]);
  expect(await soundBytes(row!)).toEqual(picture.bytes);
});
