/** Price lines and what they hang on: what drawing, taking over and keeping store. */
import { expect, test } from 'vitest';
import type { ChangedLine, SuggestedLine } from '../src/domain/assessment.ts';
import { drawnValues, keptValues, takenOverValues } from '../src/domain/lines.ts';
import { fieldOf } from '../src/domain/model.ts';

const basis = [{ record: 'design/d', field: 'unit', value: '"u12"', words: '12 kW', label: '' }];
const stored = [{ record: 'design/d', field: 'unit', value: '"u12"', words: '12 kW' }];
const changed: ChangedLine = {
  line: 'l',
  title: 'Unit, 8 kW',
  changes: [{ label: '', was: '8 kW', now: '12 kW' }],
  words: 'Unit, 8 kW: was 8 kW, now 12 kW.',
  is_asked: true,
  what: 'Unit, 12 kW',
  quantity: null,
  unit_price: null,
  drops_price: true,
  drawn_from: 'u12',
  basis,
};

test('keeping a line stores only what it hangs on now', () => {
  expect(keptValues(changed)).toEqual({ drawn_from: 'u12', drawn_basis: stored });
  expect(keptValues({ ...changed, drawn_from: null, basis: [] })).toEqual({ drawn_from: null, drawn_basis: null });
});

test('taking it over gives it its new words and leaves no price of what it was', () => {
  expect(takenOverValues(changed)).toEqual({
    what: 'Unit, 12 kW',
    unit_price: null,
    drawn_from: 'u12',
    drawn_basis: stored,
  });
  expect(takenOverValues({ ...changed, what: null, quantity: '14.5', drops_price: false })).toEqual({
    quantity: 14.5,
    drawn_from: 'u12',
    drawn_basis: stored,
  });
  expect(takenOverValues({ ...changed, what: null, unit_price: '9000.00', drops_price: false })).toMatchObject({
    unit_price: '9000.00',
  });
});

test('a line that is drawn keeps what it hangs on, in the fields that the model has for it', () => {
  const item: SuggestedLine = {
    record: 'unit/u12',
    drawn_from: 'u12',
    what: 'Unit, 12 kW',
    part_of: 'unit',
    quantity: '1',
    unit: 'each',
    why: '',
    kind: 'charge',
    unit_price: null,
    basis,
  };
  expect(drawnValues(item)).toEqual({
    what: 'Unit, 12 kW',
    part_of: 'unit',
    quantity: 1,
    unit: 'each',
    drawn_from: 'u12',
    drawn_basis: stored,
  });
  expect(drawnValues({ ...item, kind: 'grant', unit_price: '7500.00' })).toMatchObject({
    is_credit: 'grant',
    unit_price: '7500.00',
  });
  const rows = fieldOf('price_line', 'drawn_basis').rows ?? [];
  expect(rows.map((field) => field.name)).toEqual(Object.keys(stored[0]!));
});
