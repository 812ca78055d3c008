/** Photos in words: how far they have come, and who answered what where. */
import { expect, test } from 'vitest';
import { byWords } from '../src/domain/contested.ts';
import { sentWords } from '../src/domain/photos.ts';

const sent = { arrived: 1 as const, problem: null };
const waiting = { arrived: 0 as const, problem: null };
const refused = { arrived: 0 as const, problem: { message: 'Too large.' } };

test('the photos of a phone are counted as they go', () => {
  expect(sentWords([])).toBe('');
  expect(sentWords([sent, sent, sent, ...Array.from({ length: 9 }, () => waiting)])).toBe('3 of 12 photos sent');
  expect(sentWords([sent, waiting], true)).toBe('1 of 2 photos sent · sending');
  expect(sentWords([sent, sent])).toBe('All 2 photos of this phone are at the office.');
  expect(sentWords([sent])).toBe('The one photo of this phone is at the office.');
});

test('a refused photo is told, and nothing is called sending when only refused ones are left', () => {
  expect(sentWords([sent, refused], true)).toBe('1 of 2 photos sent · 1 refused: open it to see why');
  const gone = { arrived: 0 as const, problem: { code: 'bytes_missing', message: 'Lost.' } };
  expect(sentWords([sent, gone], true)).toBe('1 of 2 photos sent · 1 missing: open it to see what can be done');
  expect(sentWords([refused, refused, waiting], true)).toBe(
    '0 of 3 photos sent · sending · 2 refused: open them to see why',
  );
});

test('an answer says who gave it, when, and on which device', () => {
  const side = { change: 'c', value: 1, user: 'Ada', device: 'hers', made_at: '2026-03-31T14:05:00Z', revision: 2 };
  const now = Date.parse('2026-04-02T10:00:00Z');
  expect(byWords(side, 'hers', now)).toMatch(/^Ada, 31 March \d\d:05, on this device$/);
  expect(byWords(side, 'his', now)).toMatch(/, on a device of Ada$/);
  expect(byWords({ ...side, user: null }, 'his', now)).toMatch(/^Somebody unknown, .*, on another device$/);
  expect(byWords({ ...side, made_at: 'never' }, null, now)).toBe('Ada');
});
