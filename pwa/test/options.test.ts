/** Options over a survey: what the screens take for said, the ids that two devices meet in, and what an edit of theirs stores. */
import { expect, test } from 'vitest';
import { model } from '../src/domain/model.ts';
import {
  copyOf,
  fieldsInOptions,
  idOfValue,
  nextName,
  optionEdit,
  ownEdits,
  ownOf,
  saidBy,
  underOption,
  unsaid,
} from '../src/domain/options.ts';
import { Survey, type SurveyRecord } from '../src/domain/survey.ts';

const radiator: SurveyRecord = { kind: 'emitter', id: 'e', values: { room: 'r', length_mm: 1200, height_mm: 600 } };
const value = (option: string, field: string, said: unknown, id = `${option}-${field}`): SurveyRecord => ({
  kind: 'option_value',
  id,
  values: { option, of: 'emitter/e', field, value: JSON.stringify(said), words: 'Study' },
});
const survey = (...values: SurveyRecord[]): Survey =>
  new Survey('s', [
    radiator,
    { kind: 'option', id: 'a', values: { name: 'A' } },
    { kind: 'option', id: 'b', values: { name: 'B' } },
    ...values,
  ]);

test('what an option says of a field lies in one record, the same as the office works out', async () => {
  // The twin is `id_of_value` (tests/survey/test_options.py).
  expect(await idOfValue('a', 'emitter/emitter-study-new', 'length_mm')).toBe(
    'value-4509450f67f7732dc9ff297af06eb72b621bc17a',
  );
});

test('two options differ in one radiator while the survey stays as it was found', () => {
  const found = survey(value('a', 'length_mm', 1600), value('b', 'length_mm', null));
  expect(underOption(found, 'a', radiator).values).toEqual({ room: 'r', length_mm: 1600, height_mm: 600 });
  expect(underOption(found, 'b', radiator).values).toEqual({ room: 'r', height_mm: 600 });
  expect(radiator.values['length_mm']).toBe(1200);
  expect(saidBy(found, 'a', 'emitter', 'other')).toEqual({});
});

test('what cannot be read counts for nothing', () => {
  const broken = { ...value('a', 'length_mm', 1), values: { ...value('a', 'length_mm', 1).values, value: '{' } };
  expect(saidBy(survey(broken), 'a', 'emitter', 'e')).toEqual({});
});

test('an answer that is the survey’s own is no answer of the option any more', async () => {
  const own = await optionEdit('a', radiator, 'length_mm', 1200, 'Study');
  expect(own.values).toEqual({ deleted: true });
  const other = await optionEdit('a', radiator, 'length_mm', 1600, 'Study');
  expect(other.id).toBe(own.id);
  expect(other.values).toEqual({
    deleted: false,
    option: 'a',
    of: 'emitter/e',
    field: 'length_mm',
    value: '1600',
    words: 'Study',
  });
  expect((await optionEdit('a', radiator, 'sections', null, 'Study')).values).toEqual({ deleted: true });
});

test('a copy says the same under ids of its own', async () => {
  const edits = await copyOf(survey(value('a', 'length_mm', 1600)), 'a', 'c');
  expect(edits.map((edit) => [edit.id, edit.values['option'], edit.values['value']])).toEqual([
    [await idOfValue('c', 'emitter/e', 'length_mm'), 'c', '1600'],
  ]);
});

test('the next option is called by the first letter that is free', () => {
  expect(nextName(survey())).toBe('C');
  expect(nextName(new Survey('s', [{ kind: 'option', id: 'b', values: { name: 'B' } }]))).toBe('A');
});

test('what decides on options is no answer of an option, and neither is a list', () => {
  expect(model.kinds['emitter']!.in_options).toBe(true);
  expect(model.kinds['survey']!.in_options).toBe(false);
  const names = fieldsInOptions('design');
  expect(names).toContain('flow_temperature_c');
  expect(names).not.toContain('offered');
  expect(names).not.toContain('beside');
  expect(fieldsInOptions('price_line')).not.toContain('drawn_basis');
});

test('a radiator that one option makes is there alone, as it was said, and goes again whole', async () => {
  const made = await ownEdits(
    'a',
    { kind: 'emitter', id: 'own', values: { room: 'r', plan: 'new', length_mm: 900 } },
    'New',
  );
  const records = made.map(({ kind, id, values }) => ({ kind, id, values }));
  const found = survey(...records);
  expect(ownOf(found, 'a', 'emitter')).toEqual([
    { kind: 'emitter', id: 'own', values: { room: 'r', plan: 'new', length_mm: 900 } },
  ]);
  expect(ownOf(found, 'b', 'emitter')).toEqual([]);
  expect(ownOf(found, 'a', 'price_line')).toEqual([]);
  expect(found.find('emitter', 'own')).toBeUndefined();
  const away = unsaid(found, 'a', 'emitter/own');
  expect(away.map((edit) => edit.id).sort()).toEqual(records.map((record) => record.id).sort());
  expect(unsaid(found, 'a', 'emitter/own', 'plan')).toHaveLength(1);
  const gone = {
    ...value('a', 'deleted', true),
    values: { ...value('a', 'deleted', true).values, of: 'emitter/gone' },
  };
  expect(ownOf(survey(gone), 'a', 'emitter')).toEqual([]);
  // What only changes one of the survey's makes none, also where that one is gone.
  expect(ownOf(survey(value('a', 'length_mm', 1600)), 'a', 'emitter')).toEqual([]);
});
