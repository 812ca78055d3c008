/** How far the walk is: what stands against the job comes before what is missing, and 'complete' is a promise. */
import { expect, test } from 'vitest';
import type { Answer, Finding, Severity } from '../src/domain/assessment.ts';
import type { Gap } from '../src/domain/gaps.ts';
import {
  inWalkOrder,
  progressOf,
  progressOfAll,
  progressOfRecords,
  progressWords,
  type Looked,
} from '../src/domain/progress.ts';
import { Survey } from '../src/domain/survey.ts';

const finding = (severity: Severity, record: string): Finding => ({
  severity,
  code: 'any',
  record,
  field: null,
  message: '',
  remedy: '',
  source: '',
});
const gap = (stage: string, kind: string, record: string | null, parent: string | null = null): Gap => ({
  stage,
  kind,
  record,
  parent,
  field: null,
  purpose: '',
  words: '',
  spoils: '',
});
const answer = (...findings: Finding[]): Answer =>
  ({ assessment: { findings, building: { so_far: '' }, rooms: [] } }) as unknown as Answer;
const survey = new Survey('s', [
  { kind: 'room', id: 'r', values: {} },
  { kind: 'outdoor_position', id: 'p', values: {} },
]);
const looked = (findings: Finding[], gaps: Gap[] = [], isCurrent = true): Looked => ({
  gaps,
  assessment: answer(...findings),
  isCurrent,
});
const words = (stage: string, of: Looked) => progressWords(progressOf(stage, survey, of));

test('a stop of the walk is complete only without a stop, a check and a gap', () => {
  expect(words('outside', looked([]))).toEqual({ words: 'Complete', more: '' });
  expect(words('outside', looked([finding('note', 'outdoor_position/p')])).words).toBe('Complete');
  expect(words('outside', looked([finding('stop', 'nearby_object/o')])).words).toBe('1 thing stops the job');
  expect(words('outside', looked([finding('check', 'base/b')])).words).toBe('1 thing to check');
  expect(words('outside', looked([], [gap('outside', 'base', null, 'p')])).words).toBe('1 gap');
});

test('what only the office can answer is a gap of the office, and keeps nobody in the house', () => {
  const ours = looked([], [gap('office', 'outdoor_position', 'p')]);
  expect(words('outside', ours).words).toBe('Complete');
  expect(words('leaving', ours).words).toBe('Complete');
  expect(progressOfRecords(ours, new Set(['p'])).state).toBe('complete');
  const designed = new Survey('s', [{ kind: 'design', id: 'd', values: {} }]);
  expect(progressOf('office', designed, ours)).toMatchObject({ state: 'gaps', gaps: 1 });
  const both = looked([], [gap('office', 'outdoor_position', 'p'), gap('outside', 'outdoor_position', 'p')]);
  expect(words('leaving', both).words).toBe('1 gap');
  expect(words('outside', both).words).toBe('1 gap');
});

test('the office is not begun by what the firm lends, and not complete without a line of a price', () => {
  const lent = { kind: 'unit', id: 'u', values: {} };
  expect(progressOf('office', new Survey('s', [], [lent]), looked([])).state).toBe('not_started');
  const design = { kind: 'design', id: 'd', values: {} };
  const begun = new Survey('s', [design], [lent]);
  expect(progressWords(progressOf('office', begun, looked([]))).words).toBe('No price yet');
  const priced = new Survey('s', [design, { kind: 'price_line', id: 'l', values: {} }], [lent]);
  expect(progressWords(progressOf('office', priced, looked([]))).words).toBe('Complete');
});

test('what stops the job is said first, and the rest beside it', () => {
  const all = looked(
    [finding('check', 'base/b'), finding('stop', 'nearby_object/o'), finding('stop', 'outdoor_position/p')],
    [gap('outside', 'base', 'b')],
  );
  expect(progressOf('outside', survey, all)).toEqual({ state: 'stop', stops: 2, checks: 1, gaps: 1 });
  expect(words('outside', all)).toEqual({ words: '2 things stop the job', more: '1 thing to check, 1 gap' });
  expect(words('rooms', all).words).toBe('Complete');
  expect(words('leaving', all).words).toBe('2 things stop the job');
});

test('nothing is complete that was not looked at as it stands now', () => {
  for (const nobody of [looked([], [], false), { gaps: [], assessment: null }]) {
    for (const stage of ['outside', 'rooms', 'leaving'])
      expect(words(stage, nobody)).toEqual({ words: 'No gaps', more: 'not checked yet' });
    expect(progressOfRecords(nobody, new Set(['r'])).state).toBe('no_gaps');
  }
  // What stood against the job before is said until it is known to be gone.
  expect(words('outside', looked([finding('stop', 'nearby_object/o')], [], false)).words).toBe('1 thing stops the job');
});

test('a stage that nobody has begun is not started, whatever was not found there; what was found is said', () => {
  expect(words('routes', looked([])).words).toBe('Not started');
  expect(words('routes', looked([finding('stop', 'pipe_run/x')])).words).toBe('1 thing stops the job');
});

test('what speaks of no record or of none that is known still stands before one leaves', () => {
  const lost = looked([finding('stop', ''), finding('check', 'ghost/g')]);
  expect(progressOfAll(lost)).toEqual({ state: 'stop', stops: 1, checks: 1, gaps: 0 });
});

test('of some records counts what is theirs: findings, gaps, and what is missing of them', () => {
  const all = looked(
    [finding('check', 'surface/w'), finding('stop', 'room/other')],
    [gap('rooms', 'surface', 'w'), gap('rooms', 'emitter', null, 'r'), gap('rooms', 'emitter', null, 'other')],
  );
  expect(progressOfRecords(all, new Set(['r', 'w']))).toEqual({ state: 'check', stops: 0, checks: 1, gaps: 2 });
});

test('findings of one severity come in the order of the walk', () => {
  const found = [
    finding('stop', 'design/d'),
    finding('stop', 'ghost/g'),
    finding('stop', 'base/b'),
    finding('check', 'room/r'),
    finding('stop', 'survey/s'),
  ];
  expect(inWalkOrder(found, 'stop').map((item) => item.record)).toEqual(['survey/s', 'base/b', 'design/d', 'ghost/g']);
});

test('the rooms are not complete while one does not close by what is missing elsewhere', () => {
  const open: Looked = {
    gaps: [],
    isCurrent: true,
    assessment: {
      assessment: {
        findings: [],
        building: { so_far: 'so far: 1 of 2 rooms' },
        rooms: [{ id: 'r', so_far: 'so far: 5 of 6 sides' }, { id: 'whole' }],
      },
    } as unknown as Answer,
  };
  expect(words('rooms', open)).toEqual({ words: 'So far: 1 of 2 rooms', more: '' });
  expect(words('leaving', open).words).toBe('So far: 1 of 2 rooms');
  expect(words('outside', open).words).toBe('Complete');
  expect(progressOfRecords(open, new Set(['r', 'wall']))).toEqual({ state: 'open', words: 'so far: 5 of 6 sides' });
  expect(progressOfRecords(open, new Set(['whole'])).state).toBe('complete');
  expect(words('rooms', { ...open, gaps: [gap('rooms', 'room', 'r')] }).words).toBe('1 gap');
});
