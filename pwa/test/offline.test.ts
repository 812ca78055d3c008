/** Rules of the offline store that no other file holds: stores of earlier versions, and clocks that are wrong. */
import 'fake-indexeddb/auto';
import Dexie from 'dexie';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { Database, database } from '../src/store/database.ts';
import { saveEdits, startSurvey } from '../src/store/surveys.ts';
import { useFetcher } from '../src/sync/api.ts';
import { syncOnce } from '../src/sync/cycle.ts';
import { FakeOffice } from './office.fake.ts';

/** Every shape of the store that was ever on a phone, as IndexedDB has it: Dexie's number times ten. A new version adds its line and changes none. */
const EVER: { version: number; stores: Record<string, { keyPath: string; indexes: string[] }> }[] = [
  {
    version: 10,
    stores: {
      surveys: { keyPath: 'id', indexes: [] },
      records: { keyPath: 'key', indexes: ['survey'] },
      outbox: { keyPath: 'id', indexes: ['survey'] },
      sent: { keyPath: 'path', indexes: ['survey'] },
      refused: { keyPath: 'id', indexes: ['survey'] },
      photos: { keyPath: 'key', indexes: ['survey', 'arrived', 'sha256'] },
      photoBytes: { keyPath: 'sha256', indexes: [] },
      assessments: { keyPath: 'survey', indexes: [] },
      meta: { keyPath: 'name', indexes: [] },
    },
  },
  { version: 20, stores: { live: { keyPath: 'survey', indexes: [] } } },
  {
    version: 30,
    stores: {
      outbox: { keyPath: 'id', indexes: ['[survey+kind+record]'] },
      stamps: { keyPath: 'sha256', indexes: [] },
    },
  },
  { version: 40, stores: { locked: { keyPath: 'key', indexes: ['email', '*hashes'] } } },
  { version: 50, stores: {} },
  { version: 60, stores: {} },
];

const change = {
  id: '01930000-0000-7000-8000-000000000001',
  survey: 's',
  kind: 'room',
  record: 'r',
  field: 'length_m',
  value: 4.2,
  seen: 0,
  made_at: '2026-03-31T14:05:00Z',
};

/** Make the store as the app of that version left it, with something in its queue. */
function leaveBehind(name: string, upTo: number): Promise<void> {
  return new Promise((done, fail) => {
    const asked = indexedDB.open(name, EVER[upTo]!.version);
    asked.onerror = () => fail(asked.error!);
    asked.onupgradeneeded = () => {
      for (const { stores } of EVER.slice(0, upTo + 1)) {
        for (const [store, { keyPath, indexes }] of Object.entries(stores)) {
          const made = asked.result.objectStoreNames.contains(store)
            ? asked.transaction!.objectStore(store)
            : asked.result.createObjectStore(store, { keyPath });
          for (const index of indexes)
            made.createIndex(
              index.replace('*', ''),
              index.startsWith('[') ? index.slice(1, -1).split('+') : index.replace('*', ''),
              { multiEntry: index.startsWith('*') },
            );
        }
      }
    };
    asked.onsuccess = () => {
      const writing = asked.result.transaction(['outbox', 'surveys', 'records', 'photoBytes'], 'readwrite');
      writing.objectStore('outbox').put(change);
      writing.objectStore('surveys').put({
        id: 's',
        created_at: 1,
        cursor: 3,
        office_at: null,
        edits: 1,
        contested: [],
        refused_at_office: 0,
        photos_at_office: [],
        latest_report: null,
        reoffer: 0,
      });
      writing
        .objectStore('records')
        .put({ key: 's/room/r', survey: 's', kind: 'room', id: 'r', values: { length_m: 4.2 }, seen: {} });
      writing
        .objectStore('photoBytes')
        .put({ sha256: 'ab', bytes: new Uint8Array([1, 2]).buffer, media_type: 'image/jpeg' });
      writing.oncomplete = () => {
        asked.result.close();
        done();
      };
    };
  });
}

let office: FakeOffice;
beforeEach(async () => {
  if (!database.isOpen()) await database.open();
  for (const table of database.tables) await table.clear();
  office = new FakeOffice();
  useFetcher(office.fetcher);
});
afterEach(() => void vi.useRealTimers());

test('the newest version that was ever out is the one that the app asks for', () => {
  expect(new Database('asked').verno * 10).toBe(EVER.at(-1)!.version);
});

test.each(EVER.map(({ version }, place) => [version, place]))(
  'a store of version %i is taken over with all that waits in it',
  async (version, place) => {
    const name = `left-behind-${version}`;
    await leaveBehind(name, place);
    const opened = new Database(name);
    await opened.open();
    expect(await opened.outbox.toArray()).toEqual([change]);
    expect((await opened.records.get('s/room/r'))!.values).toEqual({ length_m: 4.2 });
    expect(new Uint8Array((await opened.photoBytes.get('ab'))!.bytes)).toEqual(new Uint8Array([1, 2]));
    expect(opened.tables.map((table) => table.name).sort()).toEqual(
      [...new Set(EVER.flatMap(({ stores }) => Object.keys(stores)))].sort(),
    );
    expect(await opened.outbox.where('[survey+kind+record]').equals(['s', 'room', 'r']).toArray()).toEqual([change]);
    opened.close();
  },
);

test('a tab of an older version that still holds the store lets go of it for the newer one', async () => {
  await leaveBehind('held', 0);
  const older = new Dexie('held');
  older
    .version(1)
    .stores(
      Object.fromEntries(
        Object.entries(EVER[0]!.stores).map(([name, { keyPath, indexes }]) => [name, [keyPath, ...indexes].join(', ')]),
      ),
    );
  await older.open();
  const newer = new Database('held');
  await newer.open();
  expect(await newer.outbox.count()).toBe(1);
  expect(older.isOpen()).toBe(false);
  newer.close();
});

test.each([
  ['in 1970', '1970-01-01T00:00:00Z'],
  ['a year ahead', '2027-04-01T00:00:00Z'],
])('a clock that stands %s changes no order: the last word stays the last', async (_name, wrong) => {
  const survey = await startSurvey({ household_name: 'Thimble' });
  const say = (name: string) => saveEdits(survey, [{ kind: 'room', id: 'r', values: { name } }]);
  await say('first');
  await syncOnce();
  vi.useFakeTimers({ now: new Date(wrong), toFake: ['Date'] });
  await say('second');
  await syncOnce();
  await say('third');
  vi.setSystemTime(new Date('2026-04-01T12:00:00Z'));
  await say('fourth');
  await syncOnce();
  const log = office.surveys.get(survey)!.filter((entry) => entry.kind === 'room');
  expect(log.map((entry) => entry.value)).toEqual(['first', 'second', 'fourth']);
  expect((await database.records.get(`${survey}/room/r`))!.values['name']).toBe('fourth');
  expect(await database.outbox.count()).toBe(0);
});
