/** What a kind is, the model says: a kind that this app's code has never heard of has its part everywhere. */
import { afterEach, beforeEach, expect, test } from 'vitest';
import { removal } from '../src/domain/box.ts';
import { kindOf, model, ownerKindOf, type Kind } from '../src/domain/model.ts';
import { categoryFor } from '../src/domain/photos.ts';
import { progressOf } from '../src/domain/progress.ts';
import { Survey, type SurveyRecord } from '../src/domain/survey.ts';

const SHELF: Kind = {
  ...kindOf('note'),
  name: 'shelf',
  label: 'Shelf',
  plural: 'Shelves',
  stage: 'rooms',
  parent: 'room',
  photo: 'room',
  opens_the_walk: false,
  fields: [
    { name: 'room', label: 'Room', type: 'reference', group: 'main', refers_to: ['room'], goes_with: true },
    { name: 'near', label: 'Near', type: 'reference', group: 'main', refers_to: ['base', 'emitter'] },
  ],
};

beforeEach(() => {
  model.kinds['shelf'] = SHELF;
});
afterEach(() => {
  delete model.kinds['shelf'];
});

const gone = (survey: Survey, kind: string, id: string): string[] =>
  removal(survey, kind, id).map((edit) => `${edit.kind}/${edit.id} ${JSON.stringify(edit.values)}`);
const taken = (...keys: string[]): string[] => keys.map((key) => `${key} {"deleted":true}`);
const records = (...keys: [string, SurveyRecord['values']][]): SurveyRecord[] =>
  keys.map(([key, values]) => ({ kind: key.split('/')[0]!, id: key.split('/')[1]!, values }));

test('what goes with a record is taken away with it, and what only names it stays', () => {
  const survey = new Survey(
    's',
    records(
      ['room/r', {}],
      ['room/other', {}],
      ['emitter/e', { room: 'r' }],
      ['shelf/s', { room: 'r' }],
      ['shelf/t', { room: 'other', near: 'e' }],
      ['photo/p', { of: 'r' }],
    ),
  );
  expect(gone(survey, 'room', 'r')).toEqual(taken('room/r', 'emitter/e', 'shelf/s'));
});

test('what goes with what goes along is taken away too, each once', () => {
  const survey = new Survey(
    's',
    records(
      ['outdoor_position/o', {}],
      ['nearby_object/n', { position: 'o' }],
      ['base/b', { position: 'o' }],
      ['level_reading/l', { base: 'b' }],
      ['base/elsewhere', { position: 'other' }],
      ['room/r', {}],
      ['surface/w', { room: 'r', element: 'wall' }],
      ['surface/o', { room: 'r', element: 'window', opening_in: 'w' }],
    ),
  );
  expect(gone(survey, 'outdoor_position', 'o')).toEqual(
    taken('outdoor_position/o', 'nearby_object/n', 'base/b', 'level_reading/l'),
  );
  expect(gone(survey, 'surface', 'w')).toEqual(taken('surface/w', 'surface/o'));
  expect(gone(survey, 'room', 'r')).toEqual(taken('room/r', 'surface/w', 'surface/o'));
});

test('a wall that is said to lie between a room and itself goes with that room', () => {
  const survey = new Survey('s', records(['room/r', {}], ['surface/w', { room: 'r', other_room: 'r' }]));
  expect(gone(survey, 'room', 'r')).toEqual(taken('room/r', 'surface/w'));
});

test('its owner, the photos of it, and that having one does not begin the walk, are the kind’s own word', () => {
  expect(ownerKindOf(kindOf('shelf'))).toBe('room');
  expect(ownerKindOf(kindOf('room'))).toBeNull();
  expect(categoryFor('shelf')).toBe('room');
  const survey = new Survey('s', records(['shelf/s', { room: 'r' }], ['note/n', {}], ['hazard/h', {}]));
  const looked = { gaps: [], assessment: null, isCurrent: true };
  expect(progressOf('rooms', survey, looked)).toEqual({ state: 'not_started' });
  expect(progressOf('household', survey, looked)).toEqual({ state: 'not_started' });
  model.kinds['shelf'] = { ...SHELF, opens_the_walk: true };
  expect(progressOf('rooms', survey, looked)).toEqual({ state: 'complete' });
});
