/** When the engine begins: what it would take its time from. */
import 'fake-indexeddb/auto';
import { signal } from '@preact/signals';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { onceWanted } from '../src/engine/wanted.ts';
import { database } from '../src/store/database.ts';
import { applyPull } from '../src/store/exchange.ts';
import { watchHeld } from '../src/store/held.ts';
import { watch, type Live } from '../src/store/live.ts';
import { fetchToPhone, startSurvey } from '../src/store/surveys.ts';

/** Longer than any test. */
const NEVER_MS = 1e9;
const isExchanging = signal(false);
let begun: number;
let held: Live<number>;
const work = () => void (begun += 1);
/** Whoever watches the store has heard that so many surveys are here. */
const heard = async (count: number) => {
  await vi.waitFor(() => expect(held.value.peek()).toBe(count));
  await new Promise((done) => setTimeout(done));
};
const name = { id: 'o1', kind: 'survey', record: 'office', field: 'household_name', value: 'Thimble', revision: 1 };

beforeEach(async () => {
  for (const table of database.tables) await table.clear();
  begun = 0;
  isExchanging.value = false;
});
afterEach(() => held.stop());

test('where a survey is here it begins at once, whatever is being exchanged', async () => {
  await startSurvey({ household_name: 'Thimble' });
  isExchanging.value = true;
  onceWanted(isExchanging, work, NEVER_MS);
  held = watchHeld();
  await heard(1);
  expect(begun).toBe(1);
});

test('on an empty device it lets the exchange that brings the first survey go first', async () => {
  onceWanted(isExchanging, work, NEVER_MS);
  held = watchHeld();
  await heard(0);
  // It is named here before anything of it has come.
  const named = watch(() => database.surveys.count());
  await fetchToPhone('office');
  await vi.waitFor(() => expect(named.value.peek()).toBe(1));
  await new Promise((done) => setTimeout(done));
  named.stop();
  expect(begun).toBe(0);
  isExchanging.value = true;
  await applyPull('office', [name], 1);
  await heard(1);
  expect(begun).toBe(0);
  isExchanging.value = false;
  expect(begun).toBe(1);
});

test('a survey that is begun on an empty device is worked out at once', async () => {
  onceWanted(isExchanging, work, NEVER_MS);
  held = watchHeld();
  await heard(0);
  await startSurvey({ household_name: 'Thimble' });
  await heard(1);
  expect(begun).toBe(1);
});

test('an empty device keeps the engine too, once it is calm, and only once', async () => {
  isExchanging.value = true;
  onceWanted(isExchanging, work, 1);
  held = watchHeld();
  await heard(0);
  await new Promise((done) => setTimeout(done, 10));
  expect(begun).toBe(0);
  isExchanging.value = false;
  await vi.waitFor(() => expect(begun).toBe(1));
  isExchanging.value = true;
  isExchanging.value = false;
  await new Promise((done) => setTimeout(done, 10));
  expect(begun).toBe(1);
});
