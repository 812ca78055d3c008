/** The history of a survey: what can be put back by what stands here now, and how a day is asked for. */
import { expect, test } from 'vitest';
import { historyQuery, wayBack, whatWords, whenWords, type HistoryLine } from '../src/domain/history.ts';
import { Survey } from '../src/domain/survey.ts';

const NOTHING = { record: '', field: '', person: '', day: '', words: '' };

function line(field: string, value: unknown, before: unknown, more: Partial<HistoryLine> = {}): HistoryLine {
  const said = { words: '', revision: 1, user: 'Ada', device: 'a phone', made_at: '2026-03-31T14:05:00Z' };
  return {
    ...said,
    id: 'change',
    kind: 'room',
    record: 'kitchen',
    field,
    title: 'Kitchen',
    label: field,
    value: value as HistoryLine['value'],
    received_at: said.made_at,
    contested: false,
    before: before === undefined ? null : { ...said, value: before as HistoryLine['value'] },
    ...more,
  };
}
const house = (values: Record<string, number | string | boolean>) =>
  new Survey('house', [{ kind: 'room', id: 'kitchen', values }]);

test('what it was before is put back by an ordinary change of that one answer', () => {
  expect(wayBack(house({ length_m: 4.6 }), line('length_m', 4.6, 4.2), [])).toEqual({
    way: 'edit',
    edit: { kind: 'room', id: 'kitchen', values: { length_m: 4.2 } },
  });
  // The first answer of a field took the place of none.
  expect(wayBack(house({ length_m: 4.6 }), line('length_m', 4.6, undefined), [])).toEqual({
    way: 'edit',
    edit: { kind: 'room', id: 'kitchen', values: { length_m: null } },
  });
});

test('what the app wrote of a picture is not taken away again; what a person said of it is', () => {
  const survey = new Survey('house', [{ kind: 'photo', id: 'p', values: { sha256: 'ab', caption: 'The meter' } }]);
  const of = { kind: 'photo', record: 'p' };
  expect(wayBack(survey, line('sha256', 'ab', undefined, of), []).way).toBe('none');
  expect(wayBack(survey, line('caption', 'The meter', undefined, of), []).way).toBe('edit');
});

test('a record whose name is a sentence has no stop before the colon', () => {
  expect(whatWords({ title: 'Ring before coming.', label: 'Note' })).toBe('Ring before coming: Note');
  expect(whatWords({ title: 'Kitchen', label: 'Length' })).toBe('Kitchen: Length');
});

test('what stands now, whoever said it since, is not put back again', () => {
  expect(wayBack(house({ length_m: 4.2 }), line('length_m', 4.6, 4.2), [])).toEqual({ way: 'stands' });
  expect(wayBack(house({}), line('length_m', 4.6, undefined), [])).toEqual({ way: 'stands' });
});

test('nothing is put into a record that is gone; the record comes back first', () => {
  const gone = house({ length_m: 4.6, deleted: true });
  expect(wayBack(gone, line('length_m', 4.6, 4.2), []).way).toBe('none');
  expect(wayBack(gone, line('deleted', true, undefined), [])).toEqual({ way: 'record' });
  expect(wayBack(house({}), line('deleted', true, undefined), [])).toEqual({ way: 'stands' });
  expect(wayBack(house({}), line('deleted', false, true), []).way).toBe('none');
});

test('a contested answer is picked and not put back', () => {
  const contested = (field: string) => [{ kind: 'room', record: 'kitchen', field, label: field, values: [] }];
  for (const field of ['length_m', 'deleted'])
    expect(wayBack(house({ length_m: 4.6 }), line('length_m', 4.6, 4.2), contested(field)).way).toBe('none');
  expect(wayBack(house({ length_m: 4.6 }), line('length_m', 4.6, 4.2), contested('width_m')).way).toBe('edit');
});

test('what names a record that is gone, and what this program does not know, is not put back', () => {
  const wall = { kind: 'surface', record: 'wall' };
  const survey = (id: string) =>
    new Survey('house', [
      { kind: 'surface', id: 'wall', values: { construction: 'new' } },
      { kind: 'construction', id, values: {} },
    ]);
  expect(wayBack(survey('old'), line('construction', 'new', 'old', wall), []).way).toBe('edit');
  expect(wayBack(survey('another'), line('construction', 'new', 'old', wall), []).way).toBe('none');
  expect(wayBack(house({}), line('of_later', 1, 2), []).way).toBe('none');
});

test('a day goes from midnight to midnight of this device, also where the clocks change', () => {
  for (const [day, next] of [
    ['2026-03-31', '2026-04-01'],
    ['2026-03-29', '2026-03-30'],
    ['2026-10-25', '2026-10-26'],
  ] as const) {
    const query = historyQuery({ ...NOTHING, day });
    expect(Date.parse(query.get('since')!)).toBe(new Date(`${day}T00:00:00`).getTime());
    expect(Date.parse(query.get('until')!)).toBe(new Date(`${next}T00:00:00`).getTime());
  }
  expect(historyQuery({ ...NOTHING, words: 'hall' }).toString()).toBe('words=hall');
});

test('a moment of another year says which', () => {
  const now = Date.parse('2026-11-28T12:00:00Z');
  expect(whenWords('2025-03-31T14:05:00Z', now)).toMatch(/2025/);
  expect(whenWords('2026-03-31T14:05:00Z', now)).not.toMatch(/2026/);
});
