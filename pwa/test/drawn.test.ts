import { afterEach, beforeEach, expect, test, vi } from 'vitest';

type Drawn = typeof import('../src/store/drawn.ts');
let drawn: Drawn;

beforeEach(async () => {
  vi.useFakeTimers();
  vi.resetModules();
  vi.stubGlobal('requestAnimationFrame', (work: () => void) => setTimeout(work, 16));
  drawn = await import('../src/store/drawn.ts');
});
afterEach(() => {
  vi.useRealTimers();
  vi.unstubAllGlobals();
});

test('what waits for the first screen does not begin with the drawing of an empty page', async () => {
  const done: string[] = [];
  drawn.onceDrawn(() => done.push('one'));
  drawn.onceDrawn(() => done.push('two'));
  await vi.advanceTimersByTimeAsync(1_000);
  expect(done).toEqual([]);
  drawn.sayStanding();
  await vi.advanceTimersByTimeAsync(1);
  expect(done).toEqual(['one', 'two']);
  drawn.sayStanding();
  await vi.advanceTimersByTimeAsync(5_000);
  expect(done).toEqual(['one', 'two']);
});

test('a screen that never comes is waited for a moment only', async () => {
  const done: string[] = [];
  drawn.onceDrawn(() => done.push('one'));
  await vi.advanceTimersByTimeAsync(1_999);
  expect(done).toEqual([]);
  await vi.advanceTimersByTimeAsync(1);
  await vi.advanceTimersByTimeAsync(1);
  expect(done).toEqual(['one']);
});

test('once a screen stands it is the next drawing that is waited for', async () => {
  drawn.sayStanding();
  const done: string[] = [];
  drawn.onceDrawn(() => done.push('one'));
  expect(done).toEqual([]);
  await vi.advanceTimersByTimeAsync(16);
  await vi.advanceTimersByTimeAsync(1);
  expect(done).toEqual(['one']);
});

test('a page out of sight, which draws nothing, waits a moment only', async () => {
  vi.stubGlobal('requestAnimationFrame', () => 0);
  drawn.sayStanding();
  let isDone = false;
  void drawn.drawing().then(() => (isDone = true));
  await vi.advanceTimersByTimeAsync(1_999);
  expect(isDone).toBe(false);
  await vi.advanceTimersByTimeAsync(1);
  expect(isDone).toBe(true);
});
