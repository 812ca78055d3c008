import { signal } from '@preact/signals';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import type { Waits } from '../src/store/live.ts';

const { exchanges } = vi.hoisted(() => ({ exchanges: { count: 0, during: async () => {} } }));
/** One for each test: the loop of the test before goes on watching its own. */
let counted = signal<Waits | undefined>(undefined);

vi.mock('../src/store/live.ts', () => ({ watchWaits: () => ({ value: counted, error: signal(null) }) }));
vi.mock('../src/store/second.ts', () => ({ compareStores: async () => {} }));
vi.mock('../src/sync/leaving.ts', () => ({ emptyCache: async () => {} }));
vi.mock('../src/sync/cycle.ts', () => ({
  syncOnce: async () => {
    exchanges.count += 1;
    await exchanges.during();
    return { kind: 'done', trouble: null };
  },
}));

/** What the store says of what waits, as it says it: a while after it was stored. */
function waiting(changes: number): void {
  counted.value = {
    changes,
    photos: 0,
    refused: 0,
    session: { user: { email: 'a@wattwalk.test' } },
    needsSignIn: false,
    isLeaving: false,
  } as unknown as Waits;
}

beforeEach(async () => {
  vi.useFakeTimers();
  vi.resetModules();
  vi.stubGlobal('navigator', {});
  vi.stubGlobal('document', { visibilityState: 'visible', addEventListener: () => {} });
  vi.stubGlobal('addEventListener', () => {});
  vi.stubGlobal('requestAnimationFrame', (work: () => void) => setTimeout(work, 16));
  exchanges.during = async () => {};
  counted = signal<Waits | undefined>(undefined);
  waiting(0);
  (await import('../src/sync/loop.ts')).startSync();
  await vi.advanceTimersByTimeAsync(3_000);
  exchanges.count = 0;
});

afterEach(() => {
  vi.useRealTimers();
  vi.unstubAllGlobals();
});

describe('when the office is asked', () => {
  test('an edit is offered once a form has settled, and nothing that is not there', async () => {
    exchanges.during = async () => waiting(0);
    waiting(1);
    await vi.advanceTimersByTimeAsync(1_400);
    expect(exchanges.count).toBe(0);
    await vi.advanceTimersByTimeAsync(200);
    expect(exchanges.count).toBe(1);
    await vi.advanceTimersByTimeAsync(50_000);
    expect(exchanges.count).toBe(1);
  });

  test('an answer given again while its first words were on their way follows soon, though the count never moved', async () => {
    waiting(1);
    await vi.advanceTimersByTimeAsync(1_600);
    expect(exchanges.count).toBe(1);
    exchanges.during = async () => waiting(0);
    await vi.advanceTimersByTimeAsync(1_600);
    expect(exchanges.count).toBe(2);
  });

  test('a count that was only late makes no exchange of its own', async () => {
    waiting(1);
    await vi.advanceTimersByTimeAsync(1_600);
    expect(exchanges.count).toBe(1);
    waiting(0);
    await vi.advanceTimersByTimeAsync(50_000);
    expect(exchanges.count).toBe(1);
  });

  test('what stays although the office answers is offered less and less often', async () => {
    waiting(1);
    await vi.advanceTimersByTimeAsync(1_600);
    await vi.advanceTimersByTimeAsync(1_600 + 4_000 + 8_000 + 15_000);
    expect(exchanges.count).toBe(5);
    await vi.advanceTimersByTimeAsync(60_000);
    expect(exchanges.count).toBe(7);
  });
});
