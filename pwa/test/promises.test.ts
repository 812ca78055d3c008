/** The firm's payments as they are typed: shares that add up without a rest, and what is no share is told. */
import { expect, test } from 'vitest';
import { addedUp, asPromised, asTyped, type FirmPromises } from '../src/domain/promises.ts';

const firm: FirmPromises = {
  valid_days: 30,
  lead_weeks: null,
  stages: [
    { percent: '33.33', words: 'With your yes', is_deposit: true },
    { percent: '66.67', words: 'At the end', is_deposit: false },
  ],
  exclusions: 'Plaster',
  assumptions: '',
};

test('what the office keeps comes back as it was', () => {
  expect(asPromised(asTyped(firm))).toEqual({ promises: firm });
});

test('shares add up in hundredths, with a comma and a sign too', () => {
  const stages = (percents: string[]) => percents.map((percent) => ({ percent, words: 'Then' }));
  expect(addedUp(stages(['33.33', '33,33', '33.34 %']))).toBe('100 %');
  expect(addedUp(stages(['0.1', '0.2']))).toBe('0.3 %');
  expect(addedUp(stages(['25', 'half']))).toBeNull();
});

test('what is no number and a payment without words is told at its place, and nothing is sent', () => {
  const typed = asTyped(firm);
  const field = (some: object) => {
    const read = asPromised({ ...typed, ...some });
    return 'problem' in read ? read.problem.field : null;
  };
  expect(field({ valid_days: 'a month' })).toBe('valid_days');
  expect(field({ lead_weeks: '-1' })).toBe('lead_weeks');
  expect(field({ stages: [{ percent: 'half', words: 'Then' }] })).toBe('stages');
  expect(field({ stages: [{ percent: '100', words: ' ' }] })).toBe('stages');
  expect(field({ valid_days: '', stages: [] })).toBeNull();
});
