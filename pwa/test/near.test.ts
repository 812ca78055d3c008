/** Where the app must have been opened for the screens next to the walk to be read ahead. */
import { afterEach, expect, test, vi } from 'vitest';

vi.mock('../src/screens/building/Rooms.tsx', () => ({}));
vi.mock('../src/screens/photos/Photos.tsx', () => ({}));
vi.mock('../src/screens/Leaving.tsx', () => ({}));
vi.mock('../src/screens/building/Constructions.tsx', () => ({}));

/** How many screens were read where the app was opened, each in a quiet moment of its own. */
async function readAt(hash: string): Promise<number> {
  let moments = 0;
  vi.resetModules();
  vi.stubGlobal('location', { hash });
  vi.stubGlobal('addEventListener', () => undefined);
  vi.stubGlobal('requestIdleCallback', (work: () => void) => {
    moments += 1;
    work();
  });
  const { readNear } = await import('../src/screens/near.ts');
  await readNear();
  return moments;
}

afterEach(() => vi.unstubAllGlobals());

test('whoever opens the app at the list or at a walk has the screens next to it read, each in a moment of its own', async () => {
  expect(await readAt('')).toBe(4);
  expect(await readAt('#/survey/house')).toBe(4);
});

test('a screen beyond the walk has nothing read beside it', async () => {
  for (const hash of [
    '#/survey/house/office',
    '#/survey/house/results',
    '#/survey/house/record/room/kitchen?side=left',
  ])
    expect(await readAt(hash)).toBe(0);
});
