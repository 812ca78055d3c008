/** Whose turn it is in the worker: no option holds up the figures of the survey, and the next edit ends those that are still to come. */
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import type { FromWorker } from '../src/engine/messages.ts';
import { turns, type Desk } from '../src/engine/turns.ts';

let said: string[];
let fails: string | null;
const desk: Desk = {
  take_articles: (articles) => void said.push(`articles ${articles}`),
  figures: (request) => `figures of ${request}`,
  rest: () => 'rest',
  plans: () => 'plans',
  option_names: () => '["","a","b"]',
  option: (name) => {
    if (name === fails) throw new Error(`no ${name}`);
    return `option ${name}`;
  },
};
const post = (message: FromWorker) => {
  if ('text' in message) said.push(`${message.id}: ${message.text}`);
  else if ('words' in message) said.push(`${message.type}: ${message.words}`);
};

beforeEach(() => {
  said = [];
  fails = null;
  vi.useFakeTimers();
});
afterEach(() => {
  vi.useRealTimers();
});

test('options are worked out one by one, after the figures and the rest', () => {
  turns(desk, post)({ id: 1, request: 'x', withOptions: true });
  expect(said).toEqual(['1: figures of x']);
  vi.advanceTimersToNextTimer();
  expect(said.at(-1)).toBe('1: rest');
  vi.advanceTimersToNextTimer();
  expect(said.at(-1)).toBe('1: plans');
  for (const name of ['', 'a', 'b']) {
    vi.advanceTimersToNextTimer();
    expect(said.at(-1)).toBe(`1: option ${name}`);
  }
  expect(vi.getTimerCount()).toBe(0);
});

test('the next edit ends the options that are still to come, and its figures go first', () => {
  const take = turns(desk, post);
  take({ id: 1, request: 'x', withOptions: true });
  vi.advanceTimersToNextTimer();
  vi.advanceTimersToNextTimer();
  vi.advanceTimersToNextTimer();
  expect(said.at(-1)).toBe('1: option ');
  take({ id: 2, request: 'y', withOptions: true });
  expect(said.at(-1)).toBe('2: figures of y');
  vi.runAllTimers();
  expect(said.filter((words) => words.startsWith('1: option'))).toEqual(['1: option ']);
  expect(said.slice(-5)).toEqual(['2: rest', '2: plans', '2: option ', '2: option a', '2: option b']);
});

test.each([
  ['the ranges and drawings', 0, ['1: figures of x']],
  ['the plans', 1, ['1: figures of x', '1: rest']],
])('the next edit ends %s that are still to come', (_, steps, before) => {
  const take = turns(desk, post);
  take({ id: 1, request: 'x' });
  for (let step = 0; step < steps; step++) vi.advanceTimersToNextTimer();
  expect(said).toEqual(before);
  take({ id: 2, request: 'y' });
  vi.runAllTimers();
  expect(said).toEqual([...before, '2: figures of y', '2: rest', '2: plans']);
});

test('nobody who has not asked for options waits for one', () => {
  turns(desk, post)({ id: 1, request: 'x' });
  vi.runAllTimers();
  expect(said).toEqual(['1: figures of x', '1: rest', '1: plans']);
});

test('an option that cannot be worked out is said, and holds up neither the survey nor the others', () => {
  fails = 'a';
  vi.spyOn(console, 'error').mockImplementation(() => undefined);
  turns(desk, post)({ id: 1, request: 'x', withOptions: true });
  vi.runAllTimers();
  expect(said.slice(-3)).toEqual(['1: option ', '1: {"fault":"a"}', '1: option b']);
});

test('articles are taken before the figures of the question that brings them', () => {
  turns(desk, post)({ id: 1, request: 'x', articles: '[]' });
  expect(said).toEqual(['articles []', '1: figures of x']);
});
