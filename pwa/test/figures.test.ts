/** Screen and paper show the same figures: the golden file is held by the Python too. */
import { expect, test } from 'vitest';
import golden from '../../tests/golden/figures.json';
import { celsius, kilowatts, lowestCelsius, watts } from '../src/domain/assessment.ts';
import { fixedPlaces, grouped, heldTogether, plainNumber } from '../src/domain/check.ts';

const cases = golden as [number, number, string][];

test('a figure is rounded as the report rounds it', () => {
  expect(cases.length).toBeGreaterThan(100);
  for (const [value, decimals, written] of cases)
    expect([value, decimals, grouped(fixedPlaces(value, decimals))]).toEqual([value, decimals, written]);
});

test('figures with their units', () => {
  expect(celsius(47.65)).toBe('47.6\u00a0°C');
  expect(celsius(50)).toBe('50\u00a0°C');
  expect(watts(1478.5)).toBe('1,478\u00a0W');
  expect(watts(-0.4)).toBe('0\u00a0W');
  expect(kilowatts(6550)).toBe('6.5\u00a0kW');
  expect(kilowatts(null)).toBe('not known');
});

test('a lowest temperature is rounded up, so that what is written still serves', () => {
  expect([47.65, 47.6, 47.61, 50, -0.05].map(lowestCelsius)).toEqual([
    '47.7\u00a0°C',
    '47.6\u00a0°C',
    '47.7\u00a0°C',
    '50\u00a0°C',
    '0\u00a0°C',
  ]);
  expect(lowestCelsius(null)).toBe('not known');
});

test('a plain number drops its idle zeros and no other', () => {
  expect(plainNumber(100, 0)).toBe('100');
  expect(plainNumber(2.5)).toBe('2.5');
  expect(plainNumber(1640)).toBe('1640');
  expect(plainNumber(12_345.5, 1)).toBe('12,345.5');
  expect(plainNumber(-0.0001)).toBe('0');
});

test('no sentence parts a figure from its unit at the end of a line', () => {
  const held = (words: string) => heldTogether(words).replaceAll('\u00a0', '_');
  expect(held('at least 12 l/min, 4 m in 4 minutes; U 0.4 W/m²K, 2.1 % by volume.')).toBe(
    'at least 12_l/min, 4_m in 4 minutes; U 0.4_W/m²K, 2.1_% by volume.',
  );
});
