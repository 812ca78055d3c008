/** The client of the worker: the newest question counts, and whatever goes wrong ends in words. */
import 'fake-indexeddb/auto';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { ANSWER_MS, EngineClient, FILES_MS, START_MS, type Question, type WorkerLike } from '../src/engine/client.ts';
import { articlesFor, requestFor, withBest, withWorkedOutGaps, type Live } from '../src/engine/live.ts';
import type { FromWorker, ToWorker } from '../src/engine/messages.ts';
import { workedOutWords, type Answer, type Assessment } from '../src/domain/assessment.ts';
import type { Gap } from '../src/domain/gaps.ts';
import { Survey, type SurveyRecord } from '../src/domain/survey.ts';
import type { OpenSurvey } from '../src/store/live.ts';

class FakeWorker implements WorkerLike {
  onmessage: WorkerLike['onmessage'] = null;
  onerror: WorkerLike['onerror'] = null;
  asked: ToWorker[] = [];
  isEnded = false;
  postMessage(message: ToWorker): void {
    this.asked.push(message);
  }
  terminate(): void {
    this.isEnded = true;
  }
  say(data: FromWorker): void {
    this.onmessage?.({ data });
  }
}

let workers: FakeWorker[];
let client: EngineClient;
const newest = (): FakeWorker => workers.at(-1)!;

beforeEach(() => {
  vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] });
  vi.spyOn(console, 'error').mockImplementation(() => undefined);
  workers = [];
  client = new EngineClient(() => {
    workers.push(new FakeWorker());
    return newest();
  });
});
afterEach(() => {
  vi.useRealTimers();
  vi.restoreAllMocks();
});

function question(request: string, heard: string[]): Question {
  return {
    request,
    onFigures: (text) => heard.push(`figures ${text}`),
    onRest: (text) => heard.push(`rest ${text}`),
    onPlans: (text) => heard.push(`plans ${text}`),
    onFault: (words) => heard.push(`fault ${words}`),
  };
}
const figures = (id: number): FromWorker => ({ type: 'figures', id, text: String(id), worked_ms: 5 });
const rest = (id: number): FromWorker => ({ type: 'rest', id, text: String(id), worked_ms: 5 });
const why = (): string =>
  client.state.value.kind === 'unavailable' ? client.state.value.why : client.state.value.kind;

test('what is asked before it is ready is answered when it is', () => {
  const heard: string[] = [];
  client.start();
  client.ask(question('a', heard));
  expect(client.state.value.kind).toBe('starting');
  expect(newest().asked).toEqual([]);
  newest().say({ type: 'progress' });
  newest().say({ type: 'ready', from: 'nothing' });
  expect(newest().asked).toEqual([{ id: 1, request: 'a' }]);
  newest().say(figures(1));
  newest().say(rest(1));
  expect(heard).toEqual(['figures 1', 'rest 1']);
  expect(performance.getEntriesByName('engine-figures').map((mark) => (mark as PerformanceMark).detail)).toEqual([5]);
});

test('of many questions only the newest is asked, and only its answer is heard', () => {
  const heard: string[] = [];
  client.start();
  newest().say({ type: 'ready', from: 'nothing' });
  for (const request of ['a', 'b', 'c', 'd']) client.ask(question(request, heard));
  expect(newest().asked.map((item) => item.request)).toEqual(['a']);
  newest().say(figures(1));
  expect(newest().asked.map((item) => item.request)).toEqual(['a', 'd']);
  newest().say(rest(1));
  newest().say(figures(2));
  newest().say(rest(2));
  expect(heard).toEqual(['figures 1', 'figures 2', 'rest 2']);
});

test('the articles of the firm go to a worker once, again when they are others, and again to the next worker', () => {
  client.start();
  newest().say({ type: 'ready', from: 'nothing' });
  const sent: (string | undefined)[] = [];
  const ask = (articles?: string) => {
    client.ask({ ...question('a', []), articles });
    const last = newest().asked.at(-1)!;
    sent.push(last.articles);
    newest().say(figures(last.id));
  };
  ask();
  ask('[1]');
  ask('[1]');
  ask('[2]');
  newest().onerror?.({ message: 'broke' });
  newest().say({ type: 'ready', from: 'nothing' });
  ask('[2]');
  expect(sent).toEqual([undefined, '[1]', undefined, '[2]', '[2]']);
});

test('what an article costs the firm is not told to the worker', () => {
  const values = { code: 'P', selling_price: '2.00', cost_price: '1.11', deleted: false };
  expect(articlesFor([{ kind: 'article', id: 'p', values }])).toBe(
    '[{"id":"p","values":{"code":"P","selling_price":"2.00"}}]',
  );
});

test('options are asked for only by whoever hears of them, and only those of the newest question are heard', () => {
  const heard: string[] = [];
  client.start();
  newest().say({ type: 'ready', from: 'nothing' });
  client.ask({ ...question('a', heard), onOption: (text) => heard.push(`option ${text}`) });
  expect(newest().asked.at(-1)).toEqual({ id: 1, request: 'a', withOptions: true });
  newest().say(figures(1));
  newest().say({ type: 'option', id: 1, text: 'first', worked_ms: 5 });
  client.ask({ ...question('b', heard), onOption: (text) => heard.push(`option of b ${text}`) });
  newest().say({ type: 'option', id: 1, text: 'late', worked_ms: 5 });
  newest().say(figures(2));
  client.ask(question('c', heard));
  expect(newest().asked.at(-1)).toEqual({ id: 3, request: 'c' });
  newest().say({ type: 'option', id: 3, text: 'nobody asked', worked_ms: 5 });
  expect(heard).toEqual(['figures 1', 'option first', 'figures 2']);
});

test('a survey that cannot be worked out leaves the engine ready for the next', () => {
  const heard: string[] = [];
  client.start();
  newest().say({ type: 'ready', from: 'nothing' });
  client.ask(question('bad', heard));
  newest().say({ type: 'fault', id: 1, words: 'KeyError' });
  client.ask(question('good', heard));
  newest().say(figures(2));
  expect(heard).toEqual(['fault KeyError', 'figures 2']);
  expect(client.state.value.kind).toBe('ready');
});

test.each([
  ['neither an answer nor an error', () => vi.advanceTimersByTime(FILES_MS), /could not start/],
  [
    'silence after its files have come',
    () => {
      newest().say({ type: 'progress' });
      vi.advanceTimersByTime(START_MS);
    },
    /could not start/,
  ],
  ['a worker that breaks', () => newest().onerror?.({ message: 'refused by the policy' }), /could not start/],
  [
    'a failure of its own',
    () => newest().say({ type: 'failed', words: 'no memory', isMissing: false }),
    /could not start/,
  ],
  [
    'files that are not there',
    () => newest().say({ type: 'failed', words: 'Failed to fetch', isMissing: true }),
    /files have not all reached this phone/,
  ],
])('%s ends in words, and the worker is let go', (_name, happens, words) => {
  client.start();
  happens();
  expect(why()).toMatch(words);
  expect(newest().isEnded).toBe(true);
  expect(workers).toHaveLength(1);
});

test('a browser without workers ends in words', () => {
  client = new EngineClient(() => {
    throw new ReferenceError('Worker is not defined');
  });
  client.start();
  expect(why()).toMatch(/could not start/);
});

test('only for want of its files it starts again by itself; a person may always ask', () => {
  client.start();
  newest().say({ type: 'failed', words: 'no memory', isMissing: false });
  client.startIfFilesWereMissing();
  expect(workers).toHaveLength(1);
  client.start();
  expect(workers).toHaveLength(2);
  newest().say({ type: 'failed', words: 'Failed to fetch', isMissing: true });
  client.startIfFilesWereMissing();
  expect(workers).toHaveLength(3);
  newest().say({ type: 'ready', from: 'nothing' });
  client.startIfFilesWereMissing();
  client.start();
  expect(workers).toHaveLength(3);
});

test('one that dies at work is started again with the same question, once', () => {
  const heard: string[] = [];
  client.start();
  newest().say({ type: 'ready', from: 'nothing' });
  client.ask(question('a', heard));
  newest().say(figures(1));
  client.ask(question('b', heard));
  newest().onerror?.({ message: 'out of memory' });
  expect(workers).toHaveLength(2);
  newest().say({ type: 'ready', from: 'nothing' });
  expect(newest().asked.map((item) => item.request)).toEqual(['b']);
  newest().onerror?.({ message: 'out of memory' });
  expect(workers).toHaveLength(2);
  expect(why()).toMatch(/stopped while it worked/);
});

test('no answer in time ends in words, and no late answer is heard', () => {
  const heard: string[] = [];
  client.start();
  newest().say({ type: 'ready', from: 'nothing' });
  client.ask(question('a', heard));
  vi.advanceTimersByTime(ANSWER_MS);
  expect(why()).toMatch(/did not answer in time/);
  newest().say(figures(1));
  expect(heard).toEqual([]);
});

test('an answer in time stops the watch', () => {
  client.start();
  newest().say({ type: 'ready', from: 'nothing' });
  client.ask(question('a', []));
  newest().say(figures(1));
  vi.advanceTimersByTime(10 * ANSWER_MS);
  expect(client.state.value.kind).toBe('ready');
});

const answer = (by: 'phone' | 'office', at: number, engine = '1'): Answer => ({
  assessment: { engine } as Assessment,
  gaps: [],
  pictures: {},
  by,
  at,
});
/** A survey at edit 5 and revision 9, and what the office said of it. */
const opened = (office: Answer | null, changedSince: boolean): OpenSurvey =>
  ({ row: { id: 's', edits: 5, cursor: 9 }, book: '', assessment: office, changedSince }) as OpenSurvey;
const lived = (edits: number, at: number, survey = 's'): Live => ({
  survey,
  edits,
  cursor: 9,
  book: '',
  answer: answer('phone', at),
});
const chosen = (open: OpenSurvey) => [open.assessment?.by, open.changedSince, open.isLive ?? false];

test.each([
  ['nothing worked out here', opened(answer('office', 1), true), null, true, ['office', true, false]],
  [
    'another survey worked out here',
    opened(answer('office', 1), true),
    lived(5, 2, 'other'),
    true,
    ['office', true, false],
  ],
  ['the engine follows', opened(answer('office', 1), true), lived(5, 2), true, ['phone', false, true]],
  ['the engine follows, a moment behind', opened(answer('office', 1), true), lived(4, 2), true, ['phone', false, true]],
  [
    'the engine follows, the office is as new',
    opened(answer('office', 3), false),
    lived(5, 2),
    true,
    ['phone', false, true],
  ],
  [
    'the office has another version of the engine',
    opened(answer('office', 1, '2'), false),
    lived(5, 2),
    true,
    ['office', false, false],
  ],
  ['it has, of an older state', opened(answer('office', 1, '2'), true), lived(5, 2), true, ['phone', false, true]],
  [
    'no engine, its last answer of this very state',
    opened(answer('office', 1), true),
    lived(5, 2),
    false,
    ['phone', false, false],
  ],
  [
    'no engine, an older answer of its, a new one of the office',
    opened(answer('office', 1), false),
    lived(4, 2),
    false,
    ['office', false, false],
  ],
  [
    'no engine, both older, the office later',
    opened(answer('office', 3), true),
    lived(4, 2),
    false,
    ['office', true, false],
  ],
  [
    'no engine, both older, the phone later',
    opened(answer('office', 1), true),
    lived(4, 2),
    false,
    ['phone', true, false],
  ],
  ['no engine, the office never', opened(null, false), lived(4, 2), false, ['phone', true, false]],
])('which answer stands: %s', (_name, open, now, isLive, expected) => {
  expect(chosen(withBest(open, now, isLive))).toEqual(expected);
});

test.each([
  ['of this very state', lived(5, 2), true, true],
  ['of this very state, the engine gone', lived(5, 2), false, true],
  ['a moment behind', lived(4, 2), true, false],
  ['of another state of the book', { ...lived(5, 2), book: '7/7' }, true, false],
  ['of what is typed and not stored', { ...lived(5, 2), isTried: true }, true, false],
  ['behind, the engine gone', lived(4, 2), false, false],
])('an answer %s is current or not', (_name, now, isLive, expected) => {
  expect(withBest(opened(null, false), now, isLive).isCurrent).toBe(expected);
});

test('the words say who worked it out, and whether it holds', () => {
  expect(workedOutWords({ assessment: null, changedSince: false })).toBe('');
  expect(workedOutWords({ assessment: answer('phone', 0), changedSince: false, isLive: true }, true)).toBe(
    'Live on this phone.',
  );
  expect(workedOutWords({ assessment: answer('phone', 0), changedSince: false })).toMatch(
    /^worked out on this phone .*\d\d:\d\d$/,
  );
  expect(workedOutWords({ assessment: answer('office', 0), changedSince: true }, true)).toMatch(
    /^Worked out at the office .*; changed since, so it may no longer hold\.$/,
  );
});

test('what is typed lies over what is saved, and nothing else changes', () => {
  const records: SurveyRecord[] = [
    { kind: 'room', id: 'r', values: { length_m: 4, width_m: 3 } },
    { kind: 'emitter', id: 'e', values: { type: 'panel_22' } },
  ];
  const open = { survey: new Survey('s', records) } as OpenSurvey;
  const plain = JSON.parse(requestFor(open));
  expect(plain).toEqual({ id: 's', records, book: [], day: expect.stringMatching(/^\d{4}-\d\d-\d\d$/) });
  const tried = JSON.parse(
    requestFor(open, [
      { kind: 'room', id: 'r', values: { length_m: 5, width_m: null } },
      { kind: 'design', id: 'd', values: { flow_temperature_c: 40 } },
    ]),
  );
  expect(tried.records).toEqual([
    { kind: 'room', id: 'r', values: { length_m: 5 } },
    records[1],
    { kind: 'design', id: 'd', values: { flow_temperature_c: 40 } },
  ]);
  expect(JSON.parse(requestFor(open))).toEqual(plain);
});

test('a photo asks the engine nothing: no figure depends on it', () => {
  const row = (kind: string, id: string) => ({
    key: `s/${kind}/${id}`,
    survey: 's',
    kind,
    id,
    values: { name: id },
    seen: {},
  });
  const asked = (...rows: ReturnType<typeof row>[]) =>
    requestFor({ survey: new Survey('s', rows) } as unknown as OpenSurvey);
  expect(asked(row('room', 'kitchen'), row('photo', 'p'))).toBe(asked(row('room', 'kitchen')));
  expect(asked(row('room', 'kitchen'), row('room', 'larder'))).not.toBe(asked(row('room', 'kitchen')));
});

test('a construction without a U-value, which only the engine sees, is among the gaps while it is there', () => {
  const found = { ...gap('layers'), code: 'no_u_value' };
  const open = (records: SurveyRecord[], gaps: Gap[]) =>
    ({
      survey: new Survey('s', records),
      gaps,
      assessment: { ...answer('phone', 1), gaps: [found, gap('name')] },
    }) as unknown as OpenSurvey;
  const wall = { kind: 'construction', id: 'wall', values: {} };
  expect(withWorkedOutGaps(open([wall], [])).gaps).toEqual([found]);
  expect(withWorkedOutGaps(open([], [])).gaps).toEqual([]);
  expect(withWorkedOutGaps(open([wall], [gap('layers')])).gaps).toEqual([gap('layers')]);
});

const gap = (field: string): Gap => ({
  stage: 'constructions',
  kind: 'construction',
  record: 'wall',
  field,
  parent: null,
  purpose: 'heat_loss',
  words: '',
  spoils: '',
  code: 'answer',
  side: null,
});
