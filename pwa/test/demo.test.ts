/** The demo house on this phone: it can be changed like any other, and nothing of it ever waits for the office. */
import 'fake-indexeddb/auto';
import { beforeEach, expect, test } from 'vitest';
import example from '../../backend/wattwalk/examples/demo-house.json';
import { DEMO } from '../src/domain/demo.ts';
import { database } from '../src/store/database.ts';
import { putDemo, type DemoDocument } from '../src/store/demo.ts';
import { surveysWaiting } from '../src/store/exchange.ts';
import { linesOfDatabase } from '../src/store/journal/compare.ts';
import { newRecord, saveEdits, startSurvey } from '../src/store/surveys.ts';

const house = example as unknown as DemoDocument;

beforeEach(async () => {
  await Promise.all(database.tables.map((table) => table.clear()));
});

test('its records are here, its photos are not', async () => {
  await putDemo(house);
  const rows = await database.records.where('survey').equals(DEMO).toArray();
  expect(rows.filter((row) => row.kind === 'room')).toHaveLength(house.records['room']!.length);
  expect(rows.some((row) => row.kind === 'photo')).toBe(false);
  expect(await database.outbox.count()).toBe(0);
});

test('what is tried on it is kept and never waits; any other survey does', async () => {
  await putDemo(house);
  const { id } = house.records['room']![0]!;
  await saveEdits(DEMO, [{ kind: 'room', id, values: { length_m: 9.87 } }, newRecord(DEMO, 'room', { name: 'Attic' })]);
  expect((await database.records.get(`${DEMO}/room/${id}`))!.values['length_m']).toBe(9.87);
  expect((await database.surveys.get(DEMO))!.edits).toBe(1);
  expect(await database.outbox.count()).toBe(0);
  expect(await surveysWaiting()).toEqual([]);
  const real = await startSurvey({ household_name: 'Real' });
  expect(await surveysWaiting()).toEqual([real]);
  // The second store holds what waits, and has no need of it.
  const lines = JSON.stringify(await linesOfDatabase());
  expect(lines).toContain(real);
  expect(lines).not.toContain(DEMO);
});

test('one that is there already stays as it was left', async () => {
  await putDemo(house);
  const { id } = house.records['room']![0]!;
  await saveEdits(DEMO, [{ kind: 'room', id, values: { name: 'Mine' } }]);
  await putDemo(house);
  expect((await database.records.get(`${DEMO}/room/${id}`))!.values['name']).toBe('Mine');
});
