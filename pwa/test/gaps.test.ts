/** The phone's list of gaps is the office's: the golden files are held by the Python too. */
import { expect, test } from 'vitest';
import { sidesOf } from '../src/domain/box.ts';
import { findGaps, type Gap } from '../src/domain/gaps.ts';
import { model, type Values } from '../src/domain/model.ts';
import { progressOf } from '../src/domain/progress.ts';
import { Survey } from '../src/domain/survey.ts';

interface Golden {
  document: { id: string; records: Record<string, ({ id: string } & Values)[]> };
  gaps: Gap[];
}
const golden = Object.entries(
  import.meta.glob<Golden>('../../tests/golden/gaps/*.json', { eager: true, import: 'default' }),
);
const surveyOf = ({ document }: Golden) =>
  new Survey(
    document.id,
    Object.entries(document.records).flatMap(([kind, items]) =>
      items.map(({ id, ...values }) => ({ kind, id, values })),
    ),
  );

test('there are golden files', () => expect(golden.length).toBeGreaterThanOrEqual(4));

test.each(golden)('%s', (_path, file) => {
  expect(findGaps(surveyOf(file))).toEqual(file.gaps);
});

test.each(golden)('every stop of %s has a state that agrees with its gaps', (_path, file) => {
  const survey = surveyOf(file);
  for (const stage of model.stages) {
    const progress = progressOf(stage.name, survey, { gaps: file.gaps, assessment: null, isCurrent: true });
    // What only the office can answer keeps nobody in the house.
    const here =
      stage.name === 'leaving'
        ? file.gaps.filter((gap) => gap.stage !== 'office')
        : file.gaps.filter((gap) => gap.stage === stage.name);
    if (progress.state === 'gaps') expect(progress.gaps).toBe(here.length);
    if (progress.state === 'complete') expect(here).toEqual([]);
  }
});

test('a deleted record is no record', () => {
  const survey = new Survey('s', [{ kind: 'room', id: 'r', values: { name: 'Hall', deleted: true } }]);
  expect(survey.ofKind('room')).toEqual([]);
  expect(findGaps(survey).some((gap) => gap.words.startsWith('Hall'))).toBe(false);
});

test("'Complete' goes from the rooms with any one side, and comes back with it", () => {
  const box = { name: 'Den', use: 'study', length_m: 3, width_m: 3, height_m: 2.4 };
  const sides = sidesOf(box);
  const records = [
    { kind: 'room', id: 'den', values: box },
    { kind: 'emitter', id: 'e', values: { room: 'den', type: 'panel_22', height_mm: 600, length_mm: 600 } },
    ...sides.map((side) => ({
      kind: 'surface',
      id: side,
      values: {
        room: 'den',
        side,
        element: model.follows.flat.includes(side) ? side : 'partition',
        other_side: 'nothing',
      },
    })),
  ];
  const rooms = (kept: typeof records) => {
    const survey = new Survey('s', kept);
    const gaps = findGaps(survey);
    return {
      progress: progressOf('rooms', survey, { gaps, assessment: null, isCurrent: true }),
      gaps: gaps.filter((gap) => gap.stage === 'rooms'),
    };
  };
  expect(rooms(records).progress).toEqual({ state: 'complete' });
  for (const side of sides) {
    const { progress, gaps } = rooms(records.filter((record) => record.id !== side));
    expect(progress).toMatchObject({ state: 'gaps', gaps: 1 });
    expect(gaps.map((gap) => [gap.code, gap.kind, gap.record, gap.side])).toEqual([
      ['side_not_said', 'room', 'den', side],
    ]);
  }
});
