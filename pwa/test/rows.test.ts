import { expect, test } from 'vitest';
import { rowWords, valueWords } from '../src/domain/check.ts';
import { fieldOf } from '../src/domain/model.ts';

test('numbers of a row that their units do not tell apart are named', () => {
  const points = fieldOf('unit', 'points');
  expect(rowWords(points, { outside_c: -7, flow_c: 35, capacity_kw: 4.6, cop: 3.08 })).toMatch(
    /^Outside −7\u00a0°C, Flow 35\u00a0°C, 4\.6\u00a0kW, Coefficient of performance 3\.08$/,
  );
  expect(rowWords(fieldOf('pipe_run', 'stretches'), { place: 'outdoors', length_m: 3.5 })).toBe('Outdoors 3.5\u00a0m');
});

test('what the program alone reads of a row is not said to a person', () => {
  const basis = { record: 'article/a1', field: 'vat', value: '"standard"', words: 'Standard rate' };
  expect(valueWords(fieldOf('price_line', 'drawn_basis'), [basis])).toBe('Standard rate');
  const asked = { code: 'no_route', record: 'cable_run/c1' };
  expect(valueWords(fieldOf('scope_item', 'asked_by'), [asked])).toBe('Noted by Wattwalk');
});
