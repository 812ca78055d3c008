/** Values that an older program stored under another name are read by the present one; the store keeps what it was given. */
import { expect, test } from 'vitest';
import { valueWords } from '../src/domain/check.ts';
import { findGaps } from '../src/domain/gaps.ts';
import { fieldOf, isAsked, takenOver, withDefaults, kindOf } from '../src/domain/model.ts';
import { Survey } from '../src/domain/survey.ts';

const stored = {
  kind: 'outdoor_position',
  id: 'place',
  values: { name: 'Back', neighbour_screened: 'partly', zone_shape: 'sides' },
  key: 'kept',
};

test('a survey reads older names by the present ones and leaves the row as it is', () => {
  const place = new Survey('s', [stored]).find('outdoor_position', 'place')!;
  expect(place.values).toEqual({ name: 'Back', neighbour_screened: 'half_hidden', zone_shape: 'planning' });
  expect(place.key).toBe('kept');
  expect(stored.values.neighbour_screened).toBe('partly');
  // What is asked because of an answer is asked by its older name too.
  expect(
    isAsked(fieldOf('outdoor_position', 'screen_detour_m'), withDefaults(kindOf('outdoor_position'), place.values)),
  ).toBe(true);
});

test('gaps are the same by either name', () => {
  const present = {
    ...stored,
    values: { ...stored.values, neighbour_screened: 'half_hidden', zone_shape: 'planning' },
  };
  expect(findGaps(new Survey('s', [stored]))).toEqual(findGaps(new Survey('s', [present])));
});

test('a record without an older name is the very row that was stored', () => {
  const row = { kind: 'outdoor_position', id: 'other', values: { zone_shape: 'wall' } };
  expect(new Survey('s', [row]).find('outdoor_position', 'other')).toBe(row);
});

test('an older name in the log is written in the words of the present one', () => {
  const field = fieldOf('outdoor_position', 'neighbour_screened');
  expect(['no', 'partly', 'yes'].map((value) => valueWords(field, value))).toEqual([
    'In full view',
    'Half hidden',
    'Out of sight',
  ]);
  expect(takenOver(field, null)).toBeNull();
  expect(takenOver(field, 'constructor')).toBe('constructor');
  expect(valueWords(field, 'something newer')).toBe('something newer');
});
