import fc from 'fast-check';
import { expect, test } from 'vitest';
import { coalesce, type Change } from '../src/domain/changes.ts';
import { newId, singleId } from '../src/domain/ids.ts';
import { atTheOffice, waitingWords } from '../src/domain/words.ts';

type Step = { do: 'edit'; field: string; value: number } | { do: 'offer' } | { do: 'answer' };
const steps = fc.array(
  fc.oneof(
    fc.record({ do: fc.constant('edit' as const), field: fc.constantFrom('a', 'b'), value: fc.integer() }),
    fc.record({ do: fc.constant('offer' as const) }),
    fc.record({ do: fc.constant('answer' as const) }),
  ),
  { maxLength: 40 },
);

test('whatever is edited, offered and answered: the last value of each field is sent or waits, ids never change content', () => {
  fc.assert(
    fc.property(steps, (plan: Step[]) => {
      let waiting: Change[] = [];
      /** Offered, with the answer still out. */
      let underway: Change[] = [];
      let made = 0;
      const offered = new Map<string, string>();
      const last = new Map<string, number>();
      const atOffice = new Map<string, number>();
      for (const step of plan) {
        if (step.do === 'edit') {
          const { add, drop } = coalesce(
            { kind: 'room', id: 'r', survey: 's', values: { [step.field]: step.value } },
            waiting,
            { a: 7 },
            () => `id-${String(++made).padStart(4, '0')}`,
            'now',
          );
          waiting = [...waiting.filter((item) => !drop.includes(item.id)), ...add];
          last.set(step.field, step.value);
        } else if (step.do === 'offer') {
          underway = [...waiting];
          for (const item of waiting) {
            const content = JSON.stringify([item.field, item.value, item.seen]);
            expect(offered.get(item.id) ?? content).toBe(content);
            offered.set(item.id, content);
            // The office may have taken it, whether or not its answer ever comes.
            atOffice.set(item.field, item.value as number);
          }
        } else waiting = waiting.filter((item) => !underway.some((sent) => sent.id === item.id));
      }
      for (const [field, value] of last) {
        const own = waiting.filter((item) => item.field === field);
        expect(own.at(-1)?.value ?? atOffice.get(field)).toBe(value);
        expect(own.length).toBeLessThanOrEqual(1);
        for (const item of own) expect(item.seen).toBe(field === 'a' ? 7 : 0);
      }
    }),
  );
});

test('a coalesced change keeps what was seen first; a pick answers what stands now', () => {
  const first = coalesce(
    { kind: 'room', id: 'r', survey: 's', values: { name: 'A' } },
    [],
    { name: 3 },
    () => '1',
    'now',
  ).add;
  const second = coalesce(
    { kind: 'room', id: 'r', survey: 's', values: { name: 'B' } },
    first,
    { name: 9 },
    () => '2',
    'now',
  );
  expect(second).toMatchObject({ drop: ['1'], add: [{ id: '2', seen: 3, value: 'B' }] });
  const pick = coalesce(
    { kind: 'room', id: 'r', survey: 's', values: { name: 'C' }, resolves: true },
    second.add,
    { name: 9 },
    () => '3',
    'now',
  );
  expect(pick).toMatchObject({ drop: ['2'], add: [{ id: '3', seen: 9, resolves: true }] });
});

test('what was offered without an answer is named by what takes its place, and what was seen keeps its epoch', () => {
  const edit = { kind: 'room', id: 'r', survey: 's' };
  const first = coalesce({ ...edit, values: { name: 'A' } }, [], { name: 3 }, () => '1', 'now').add;
  const offered = first.map((change): Change => ({ ...change, offered: true, epoch: 'before' }));
  const second = coalesce({ ...edit, values: { name: 'B' } }, offered, { name: 9 }, () => '2', 'now').add;
  expect(second).toEqual([
    {
      id: '2',
      survey: 's',
      kind: 'room',
      record: 'r',
      field: 'name',
      value: 'B',
      seen: 3,
      made_at: 'now',
      epoch: 'before',
      replaces: ['1'],
    },
  ]);
  const third = coalesce({ ...edit, values: { name: 'C' } }, second, { name: 9 }, () => '3', 'now').add;
  expect(third).toMatchObject([{ id: '3', seen: 3, epoch: 'before', replaces: ['1'] }]);
  const pick = coalesce(
    { ...edit, values: { name: 'D' }, resolves: true },
    third.map((change): Change => ({ ...change, offered: true })),
    { name: 9 },
    () => '4',
    'now',
  ).add;
  expect(pick).toEqual([
    {
      id: '4',
      survey: 's',
      kind: 'room',
      record: 'r',
      field: 'name',
      value: 'D',
      seen: 9,
      made_at: 'now',
      resolves: true,
      replaces: ['1', '3'],
    },
  ]);
  const many = Array.from({ length: 120 }, (_none, at): Change => ({ ...first[0]!, id: `${at}`, offered: true }));
  expect(coalesce({ ...edit, values: { name: 'E' } }, many, {}, () => '5', 'now').add[0]!.replaces).toEqual(
    many.slice(20).map((change) => change.id),
  );
});

test('ids are of version 7, sort by making, and never repeat, whatever the clock does', () => {
  fc.assert(
    fc.property(fc.array(fc.integer({ min: 0, max: 2 ** 41 }), { minLength: 2, maxLength: 60 }), (clock) => {
      const ids = clock.map((now) => newId(now));
      expect([...ids].sort()).toEqual(ids);
      expect(new Set(ids).size).toBe(ids.length);
      for (const id of ids) expect(id).toMatch(/^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
    }),
  );
  for (let made = 0; made < 5000; made += 1) newId(0);
  expect(newId(0) < newId(0)).toBe(true);
});

test('what a survey has once has the same id on every phone, and another in another survey', () => {
  const [one, other] = [newId(), newId()];
  expect(singleId(one, 'supply')).toBe(singleId(one, 'supply'));
  expect(new Set([singleId(one, 'supply'), singleId(one, 'survey'), singleId(other, 'supply'), one, other]).size).toBe(
    5,
  );
  expect(singleId(one, 'supply')).toMatch(/^[0-9a-f-]{36}$/);
});

test('words for what waits', () => {
  expect(waitingWords(12, 3)).toBe('12 changes and 3 photos waiting');
  expect(waitingWords(1, 0)).toBe('1 change waiting');
  expect(waitingWords(0, 1)).toBe('1 photo waiting');
  expect(waitingWords(0, 0)).toBe('');
  const now = new Date(2026, 2, 31, 18, 0).getTime();
  expect(atTheOffice(new Date(2026, 2, 31, 14, 32).getTime(), now)).toBe('At the office 14:32');
  expect(atTheOffice(new Date(2026, 2, 30, 9, 5).getTime(), now)).toBe('At the office 30 March 09:05');
});
