/** What is said, and what is not taken for something else. */
import { expect, test } from 'vitest';
import { fieldOf } from '../src/domain/model.ts';
import { silenceAtRest } from '../src/domain/words.ts';
import { Survey } from '../src/domain/survey.ts';
import { readTyped } from '../src/forms/typed.ts';

const email = fieldOf('survey', 'contact_email');

test.each(['not an email', 'name@', '@example.org', 'a b@example.org', 'name@example.org, other@example.org'])(
  'an address for email is not %s',
  (text) => expect(readTyped(email, text)).toMatchObject({ ok: false }),
);

test.each(['name@example.org', ' Name.O-Other@Mail.Example.org '])('an address for email is %s', (text) =>
  expect(readTyped(email, text)).toEqual({ ok: true, value: text.trim() }),
);

test('an email can be cleared, and no other text is asked to be one', () => {
  expect(readTyped(email, ' ')).toEqual({ ok: true, value: null });
  expect(readTyped(fieldOf('survey', 'contact_phone'), 'ask at the door').ok).toBe(true);
});

test('while nothing waits, an office that is not reached is no alarm', () => {
  expect(silenceAtRest({})).toBe('Nothing waiting · office out of reach');
  expect(silenceAtRest({ isBusy: true })).toBe('Nothing waiting · office busy');
});

test('a survey is called by its household, by its address, or new', () => {
  const named = (values: Record<string, string>) => new Survey('s', [{ kind: 'survey', id: 's', values }]).name();
  expect(named({ household_name: 'Odalys', address: '7 Quillfeather Lane' })).toBe('Odalys');
  expect(named({ address: '7 Quillfeather Lane' })).toBe('7 Quillfeather Lane');
  expect(named({})).toBe('New survey');
});
