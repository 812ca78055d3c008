/** The shelf of stamps: made once, held while in use, never more than its places when nobody uses them. */
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { Shelf } from '../src/domain/shelf.ts';

test('three hundred photos scrolled past leave no more than the shelf holds, and what is on the screen stays', async () => {
  const dropped: string[] = [];
  const shelf = new Shelf<string>(60, (thing) => dropped.push(thing));
  await shelf.take('seen', async () => 'stamp of seen');
  for (let place = 0; place < 300; place += 1) {
    await shelf.take(String(place), async () => `stamp ${place}`);
    shelf.giveBack(String(place));
  }
  expect(shelf.size).toBe(60);
  expect(dropped.length).toBe(241);
  expect(dropped).not.toContain('stamp of seen');
  expect(await shelf.take('seen', async () => 'another')).toBe('stamp of seen');
});

test('two who ask at once share one making; what cannot be made is asked for again', async () => {
  let made = 0;
  const shelf = new Shelf<string>(2, () => undefined);
  const make = async () => `stamp ${(made += 1)}`;
  expect(await Promise.all([shelf.take('a', make), shelf.take('a', make)])).toEqual(['stamp 1', 'stamp 1']);
  expect(await shelf.take('b', async () => null)).toBeNull();
  await expect(
    shelf.take('c', async () => {
      throw new Error('torn');
    }),
  ).rejects.toThrow('torn');
  expect(shelf.size).toBe(1);
  expect(await shelf.take('b', make)).toBe('stamp 2');
});

test('whatever is taken and given back, nothing in use is dropped', async () => {
  await fc.assert(
    fc.asyncProperty(
      fc.array(fc.tuple(fc.boolean(), fc.integer({ min: 0, max: 9 })), { maxLength: 60 }),
      async (steps) => {
        const users = new Map<number, number>();
        const alive = new Set<string>();
        const shelf = new Shelf<string>(3, (thing) => alive.delete(thing));
        for (const [isTake, name] of steps) {
          if (isTake) {
            await shelf.take(String(name), async () => {
              alive.add(`s${name}`);
              return `s${name}`;
            });
            users.set(name, (users.get(name) ?? 0) + 1);
          } else if ((users.get(name) ?? 0) > 0) {
            shelf.giveBack(String(name));
            users.set(name, users.get(name)! - 1);
          }
          const used = [...users].filter(([, count]) => count > 0).map(([item]) => `s${item}`);
          expect(used.every((item) => alive.has(item))).toBe(true);
          expect(alive.size).toBeLessThanOrEqual(Math.max(3, used.length));
        }
      },
    ),
    { seed: 7, numRuns: 150 },
  );
});
