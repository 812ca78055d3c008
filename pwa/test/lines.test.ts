/** Price lines and what they hang on: what drawing, taking over and keeping store. */
import { expect, test } from 'vitest';
import type { ChangedLine, SuggestedLine } from '../src/domain/assessment.ts';
import {
  drawnEdits,
  drawnValues,
  keptValues,
  lineEdits,
  movedEdits,
  offeredLines,
  takenOverValues,
} from '../src/domain/lines.ts';
import { fieldOf, type Values } from '../src/domain/model.ts';
import { Survey, type SurveyRecord } from '../src/domain/survey.ts';

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

test('a line that an article prices keeps the article, its rate and what it was drawn as', () => {
  const article = [{ record: 'article/v', field: 'selling_price', value: '"14.20"', words: '£14.20', label: 'Price' }];
  const item: SuggestedLine = {
    record: 'emitter/e',
    drawn_from: 'e',
    what: 'Valves',
    part_of: 'emitters',
    quantity: '1',
    unit: 'each',
    why: '',
    unit_price: '14.20',
    drawn_as: 'valve',
    vat_rate: '0',
    basis: article,
  };
  expect(drawnValues(item)).toMatchObject({ unit_price: '14.20', vat_rate: '0', drawn_as: 'valve' });
  const now = [{ ...article[0]!, value: '"15.10"', words: '£15.10' }];
  const dearer = { ...changed, what: null, drops_price: false, unit_price: '15.10', article: now, kept_article: now };
  const kept = [...stored, { record: 'article/v', field: 'selling_price', value: '"15.10"', words: '£15.10' }];
  expect(takenOverValues(dearer)).toEqual({ unit_price: '15.10', drawn_from: 'u12', drawn_basis: kept });
  expect(keptValues(dearer)).toEqual({ drawn_from: 'u12', drawn_basis: kept });
});

const line = (id: string, values: Values = {}) => ({ kind: 'price_line', id, values: { what: id, ...values } });
const ids = (lines: readonly { id: string }[]) => lines.map((item) => item.id);

test('lines stand in the order that the office gave them, those without a place last', () => {
  const survey = new Survey('s', [line('a'), line('b', { order: 2 }), line('c', { order: 1 }), line('d')]);
  const later = new Map([['a', 1]]);
  expect(ids(offeredLines(survey, (item) => later.get(item.id) ?? 0))).toEqual(['c', 'b', 'd', 'a']);
});

test('a line that is moved gives every line a place, and those that stay where they are no edit', () => {
  const lines = [line('a'), line('b'), line('c')];
  expect(movedEdits(lines, 'a', 1).map((edit) => [edit.id, edit.values])).toEqual([
    ['b', { order: 1 }],
    ['a', { order: 2 }],
    ['c', { order: 3 }],
  ]);
  const placed = [line('a', { order: 1 }), line('b', { order: 2 }), line('c', { order: 3 })];
  expect(ids(movedEdits(placed, 'c', -1))).toEqual(['c', 'b']);
  expect(movedEdits(placed, 'a', -1)).toEqual([]);
  expect(movedEdits(placed, 'c', 1)).toEqual([]);
});

test('what an offered option has otherwise is written there, and so is what is settled', async () => {
  const records: SurveyRecord[] = [
    { kind: 'design', id: 'd', values: { offered: 'o' } },
    { kind: 'option', id: 'o', values: { name: 'A' } },
    line('l', { unit_price: '100.00' }),
    {
      kind: 'option_value',
      id: 'x',
      values: { option: 'o', of: 'price_line/l', field: 'unit_price', value: '"90.00"' },
    },
  ];
  const survey = new Survey('s', records);
  expect(offeredLines(survey, () => 0)[0]!.values['unit_price']).toBe('90.00');
  const edits = await lineEdits(survey, 'l', { unit_price: '80.00', quantity: 2 });
  expect(edits.map((edit) => edit.kind)).toEqual(['price_line', 'option_value']);
  expect(edits[0]!.values).toEqual({ quantity: 2 });
  expect(edits[1]!.values).toMatchObject({ option: 'o', field: 'unit_price', value: '"80.00"' });
  expect((await lineEdits(survey, 'l', { quantity: 2 }, true)).map((edit) => edit.kind)).toEqual(['option_value']);
  const asItStands = new Survey('s', [line('l')]);
  expect(await lineEdits(asItStands, 'l', { quantity: 2 }, true)).toEqual([
    { kind: 'price_line', id: 'l', values: { quantity: 2 } },
  ]);
});

test('a line that one option alone asks for is drawn, changed, moved and taken away there, and never in the survey', async () => {
  const item: SuggestedLine = {
    record: 'emitter/own',
    drawn_from: 'own',
    what: 'New radiator',
    part_of: 'emitters',
    quantity: '1',
    unit: 'each',
    why: '',
    unit_price: '300.00',
    only_in: 'o',
  };
  const drawn = await drawnEdits(item);
  expect(new Set(drawn.map((edit) => edit.kind))).toEqual(new Set(['option_value']));
  const survey = new Survey('s', [
    { kind: 'design', id: 'd', values: { offered: 'o' } },
    { kind: 'option', id: 'o', values: { name: 'A' } },
    line('l'),
    ...drawn,
  ]);
  const [first, own] = offeredLines(survey, () => 0);
  expect(first!.id).toBe('l');
  expect(own!.values).toMatchObject({ what: 'New radiator', drawn_from: 'own', unit_price: '300.00', quantity: 1 });
  const changedIt = await lineEdits(survey, own!.id, { unit_price: '280.00' });
  expect(changedIt.map((edit) => [edit.kind, edit.values['field'], edit.values['value']])).toEqual([
    ['option_value', 'unit_price', '"280.00"'],
  ]);
  const away = await lineEdits(survey, own!.id, { deleted: true });
  expect(away.map((edit) => edit.id).sort()).toEqual(drawn.map((edit) => edit.id).sort());
  const moved = movedEdits([first!, own!], own!.id, -1).map((edit) => lineEdits(survey, edit.id, edit.values));
  expect((await Promise.all(moved)).flat().map((edit) => edit.kind)).toEqual(['option_value', 'price_line']);
  expect((await drawnEdits({ ...item, only_in: '' })).map((edit) => edit.kind)).toEqual(['price_line']);
});
