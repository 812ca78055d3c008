import { expect, test } from 'vitest';
import { anotherLook, looksFor, looksOf, readyFor, SLOTS, waysFor } from '../src/domain/fast_start.ts';
import { fieldOf } from '../src/domain/model.ts';
import { Survey } from '../src/domain/survey.ts';

const ELEMENTS = (fieldOf('surface', 'element').choices ?? []).map((choice) => choice.value);
const values = (choices: { value: string }[]) => choices.map((choice) => choice.value);

/** The elements a ready construction can be, as the engine has it. */
function elementsOf(ready: string): string[] {
  if (ready.startsWith('floor_between')) return ['floor', 'ceiling'];
  if (ready.startsWith('floor_')) return ['floor'];
  return {
    wall: ['wall'],
    party: ['wall', 'partition'],
    partition: ['partition'],
    roof: ['roof', 'ceiling'],
    door: ['door'],
  }[ready.split('_')[0]!]!;
}

test('each element is offered the constructions of the library that it can be, and no others', () => {
  const all = values(fieldOf('construction', 'ready').choices ?? []);
  expect(all.length).toBeGreaterThanOrEqual(30);
  for (const element of ELEMENTS)
    expect(values(readyFor(element))).toEqual(all.filter((ready) => elementsOf(ready).includes(element)));
});

test('every look and every way to know a U-value is offered to some element', () => {
  for (const [name, offered] of [
    ['look', looksFor],
    ['known_by', waysFor],
  ] as const) {
    const all = values(fieldOf('construction', name).choices ?? []);
    expect(new Set(ELEMENTS.flatMap((element) => values(offered(element))))).toEqual(new Set(all));
  }
});

test('glazing is not known by layers, nor a wall by its panes', () => {
  expect(values(waysFor('window'))).not.toContain('layers');
  expect(values(waysFor('wall')).filter((way) => way.startsWith('window'))).toEqual([]);
});

test('the names of the materials are offered while a layer is typed', () => {
  const material = fieldOf('construction', 'layers').rows?.find((row) => row.name === 'material');
  expect(material?.suggestions).toContain('Brick, outer leaf');
});

test('another kind beside the usual one has a name of its own and is no usual one', () => {
  const slot = SLOTS.find((item) => item.key === 'roof')!;
  const look = looksOf(slot)[0]!;
  const named = (...names: string[]) =>
    new Survey(
      's',
      names.map((name, at) => ({ kind: 'construction', id: `c${at}`, values: { name } })),
    );
  const plain = { element: 'roof', name: look.label, known_by: 'look', look: look.value };
  expect(anotherLook(named(), slot, look, 'new')).toEqual({ kind: 'construction', id: 'new', values: plain });
  const third = anotherLook(named(look.label, `${look.label} (2)`), slot, look, 'new');
  expect(third.values).toEqual({ ...plain, name: `${look.label} (3)` });
});
