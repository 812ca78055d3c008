/** Runs and photos: what the job needs, how long a run is, where a photo is. */
import golden from '../../tests/golden/runs.json';
import { expect, test } from 'vitest';
import { model, type Row } from '../src/domain/model.ts';
import { findGaps } from '../src/domain/gaps.ts';
import { photoState, wantedPhotos } from '../src/domain/photos.ts';
import { lengthWords, missingRuns, runLength } from '../src/domain/runs.ts';
import { Survey, type SurveyRecord } from '../src/domain/survey.ts';

const record = (kind: string, id: string, values: SurveyRecord['values']): SurveyRecord => ({ kind, id, values });

test('a length is exact in tenths, and says when a stretch has none', () => {
  expect(lengthWords(runLength(undefined))).toBe('no route yet');
  expect(
    lengthWords(
      runLength([
        { place: 'outdoors', length_m: 0.1 },
        { place: 'void', length_m: 0.2 },
      ]),
    ),
  ).toBe('0.3\u00a0m');
  expect(lengthWords(runLength([{ place: 'outdoors', length_m: 5 }, { place: 'void' }]))).toBe(
    '5\u00a0m and a stretch without a length',
  );
});

test('the cables that the job needs wait until there is one of each', () => {
  const purposes = (records: SurveyRecord[]) =>
    missingRuns(new Survey('s', records), 'cable_run').map((item) => item.where['purpose']);
  expect(purposes([])).toEqual(['supply', 'bus']);
  expect(purposes([record('cable_run', 'a', { purpose: 'supply' })])).toEqual(['bus']);
  expect(purposes([record('cable_run', 'a', { purpose: 'sensor' })])).toEqual(['supply', 'bus']);
  expect(purposes([record('cable_run', 'a', { purpose: 'bus', deleted: true })])).toEqual(['supply', 'bus']);
  expect(missingRuns(new Survey('s', []), 'pipe_run').map((item) => item.where['purpose'])).toEqual(['primary']);
});

test('every photo that the model expects is wanted, and found by what it shows', () => {
  const expected = model.expectations.filter((item) => item.kind === 'photo' && item.per === null);
  const wanted = wantedPhotos(new Survey('s', [record('photo', 'p', { category: 'meter' })]));
  expect(wanted.map((item) => item.expected)).toEqual(expected);
  expect(wanted.filter((item) => item.found.length > 0).map((item) => item.category)).toEqual(['meter']);
});

test('each emitter that is there wants a photo of its own, and none is a gap', () => {
  const survey = new Survey('s', [
    record('emitter', 'a', {}),
    record('emitter', 'b', { plan: 'replace' }),
    record('emitter', 'c', { plan: 'new' }),
    record('photo', 'p', { category: 'emitter', of: 'b' }),
    record('photo', 'q', { category: 'emitter' }),
  ]);
  const wishes = wantedPhotos(survey).filter((item) => item.expected.is_wish);
  expect(wishes.map((item) => [item.owner?.id, item.found.map((photo) => photo.id)])).toEqual([
    ['a', []],
    ['b', ['p']],
  ]);
  expect(findGaps(survey).filter((gap) => gap.kind === 'photo' && gap.words.includes('emitter'))).toEqual([]);
});

test("where a photo is: the phone's own list first, then the office's", () => {
  const photo = record('photo', 'p', { sha256: 'abc' });
  const kept = { sha256: 'abc', arrived: 0 as const, problem: null };
  const at = new Date();
  at.setHours(14, 32, 0, 0);
  expect(photoState(photo, [kept], []).words).toBe('Saved on this phone');
  expect(photoState(photo, [{ ...kept, arrived: 1, arrived_at: at.getTime() }], []).words).toBe('At the office 14:32');
  expect(photoState(photo, [{ ...kept, arrived: 1 }], []).words).toBe('At the office');
  expect(photoState(photo, [{ ...kept, problem: { message: 'Not a picture.' } }], [])).toEqual({
    state: 'refused',
    words: 'Refused by the office: Not a picture. It is still on this phone.',
  });
  expect(photoState(photo, [], [{ sha256: 'abc', arrived: true }]).state).toBe('office');
  expect(photoState(photo, [], [{ sha256: 'abc', arrived: false }]).state).toBe('elsewhere');
  expect(photoState(photo, [], []).state).toBe('elsewhere');
});

test('a length is the sum of what was measured, rounded once', () => {
  const rows = [0.25, 0.75, 2.04].map((length_m) => ({ place: 'outdoors', length_m }));
  expect(runLength(rows)).toEqual({ known_m: 3, without: 0, stretches: 3 });
});

test.each(golden.map((item) => [JSON.stringify(item.stretches), item] as const))(
  'a run of %s is as long as Python says',
  (_, item) => {
    const found = runLength(item.stretches as Row[]);
    const isKnown = found.stretches > 0 && found.without === 0;
    expect(isKnown ? found.known_m : null).toBe(item.length_m);
  },
);
