/** The office's words and suggestions. */
import { describe, expect, test } from 'vitest';
import type { SuggestedWork } from '../src/domain/assessment.ts';
import { loggedWords, sideWords } from '../src/domain/contested.ts';
import {
  clipped,
  emailWords,
  fitsSearch,
  isAskedBy,
  isUnderWay,
  jobWords,
  letter,
  paperWords,
  pounds,
  surveyWords,
  workValues,
  type Email,
  type EmailState,
  type ReportJob,
} from '../src/domain/office.ts';
import { Survey, type SurveyRecord } from '../src/domain/survey.ts';

const NOON = new Date(2026, 2, 31, 12, 0).getTime();
const record = (kind: string, id: string, values: SurveyRecord['values']): SurveyRecord => ({ kind, id, values });
const email = (state: EmailState, more: Partial<Email> = {}): Email => ({
  id: 'e',
  report: 1,
  to: 'a@household.example',
  subject: 'Report',
  state,
  attempts: 0,
  last_error: null,
  created_at: '',
  sent_at: null,
  file_name: null,
  ...more,
});

describe('where a message is', () => {
  test('every state has words of its own', () => {
    expect(emailWords(email('waiting'), NOON)).toBe('Waiting to be sent');
    expect(emailWords(email('waiting', { attempts: 2, last_error: 'busy' }), NOON)).toBe(
      'Waiting to be sent again by itself: busy',
    );
    expect(emailWords(email('sent', { sent_at: new Date(2026, 2, 31, 9, 5).toISOString() }), NOON)).toBe(
      'Sent 09:05 to a@household.example',
    );
    expect(emailWords(email('held_as_file', { file_name: 'x.eml' }), NOON)).toBe(
      'Kept as a file because no mail server is set: x.eml',
    );
    expect(emailWords(email('failed', { last_error: 'no such mailbox' }), NOON)).toBe('Not sent: no such mailbox');
    expect(emailWords(email('uncertain'), NOON)).toBe('Not sure whether it went: look before sending again');
    expect(emailWords(email('sending'), NOON)).toBe('Being sent');
  });
});

describe('a version that was asked for', () => {
  const job = (more: Partial<ReportJob>): ReportJob => ({
    id: 'j',
    state: 'waiting',
    number: 3,
    revision: 41,
    again: false,
    before: 0,
    problem: null,
    ...more,
  });
  const words = (more: Partial<ReportJob>) => jobWords(job(more))?.words ?? null;
  test('says how far it is, and why it failed', () => {
    expect(words({})).toBe('Version 3 is next to be made');
    expect(words({ before: 1 })).toBe('Version 3 waits: 1 report before it');
    expect(words({ before: 4, again: true })).toBe('The file of version 3 waits: 4 reports before it');
    expect(words({ state: 'rendering' })).toBe('Version 3 is being made, from change 41');
    expect(words({ state: 'rendering', again: true })).toBe('The file of version 3 is being made again');
    expect(words({ state: 'failed', problem: { code: 'report_not_made', message: 'A reason.' } })).toBe(
      'Version 3 was not made: A reason.',
    );
    expect(
      words({ state: 'failed', again: true, problem: { code: 'cannot_be_made_again', message: 'A reason.' } }),
    ).toBe('The file of version 3 was not made again: A reason.');
    expect(words({ state: 'ready' })).toBe(null);
    expect((['waiting', 'rendering', 'ready', 'failed'] as const).map((state) => isUnderWay(job({ state })))).toEqual([
      true,
      true,
      false,
      false,
    ]);
    expect(isUnderWay(null)).toBe(false);
  });
  test('a file that is not there as it was made is said, and one that is not known whole is not called so', () => {
    expect(
      (['whole', 'not_known', 'missing', 'damaged'] as const).map(
        (paper) => paperWords({ number: 2, paper })?.words ?? null,
      ),
    ).toEqual([
      null,
      null,
      'The file of version 2 is missing at the office',
      'The file of version 2 is damaged at the office',
    ]);
  });
});

describe('the list', () => {
  const quiet = { contested: 0, refused: 0, photos_missing: 0, latest_report: null };
  test('what must be decided comes first, and nothing is said that is not known', () => {
    expect(surveyWords(quiet, undefined).map((item) => item.words)).toEqual(['No report']);
    expect(
      surveyWords(
        { contested: 2, refused: 1, photos_missing: 3, latest_report: 4 },
        { id: 's', revision: 9, gaps: 1, email: email('failed') },
      ),
    ).toEqual([
      { words: '2 answered twice', tone: 'stop' },
      { words: '1 refused', tone: 'stop' },
      { words: '1 gap', tone: 'check' },
      { words: '3 photos not here', tone: 'check' },
      { words: 'Report version 4', tone: 'plain' },
      { words: 'Email not sent', tone: 'stop' },
    ]);
    expect(surveyWords(quiet, { id: 's', revision: 9, gaps: 0, email: null })[0]).toEqual({
      words: 'No gaps',
      tone: 'good',
    });
  });
  test('a survey is found by any of its words, a postcode with or without its gap', () => {
    const listed = { title: 'The Nettlebeds', reference: 'TD-7', address: '3 Nowhere Row', postcode: 'LS40 0VK' };
    for (const typed of ['', 'nettle', 'row 3', 'td-7', 'ls400vk', 'LS40 0VK', 'nettlebeds ls40'])
      expect([typed, fitsSearch(listed, typed)]).toEqual([typed, true]);
    for (const typed of ['nettle oak', 'B98']) expect([typed, fitsSearch(listed, typed)]).toEqual([typed, false]);
  });
});

test('pounds are written from decimal text as it stands', () => {
  expect(['0.00', '999.90', '13107', '-1234567.05'].map(pounds)).toEqual([
    '£0.00',
    '£999.90',
    '£13,107.00',
    '−£1,234,567.05',
  ]);
});

describe('a value of the log', () => {
  const survey = new Survey('s', [record('room', 'r1', { name: 'Study' })]);
  test('is written with its unit, its choice, the name of its record', () => {
    expect(loggedWords(survey, 'room', 'length_m', 4.2)).toBe('4.2\u00a0m');
    expect(loggedWords(survey, 'price_line', 'unit', 'sum')).toBe('lump sum');
    expect(loggedWords(survey, 'emitter', 'room', 'r1')).toBe('Study');
    expect(loggedWords(survey, 'emitter', 'room', 'gone')).toBe('A record that is gone');
    expect(loggedWords(survey, 'room', 'length_m', null)).toBe('Empty');
    expect(loggedWords(survey, 'room', 'of_a_newer_model', 'x')).toBe('x');
  });
  test('taking away and going on with it are two sides that can be told apart', () => {
    const contested = { kind: 'room', record: 'r1', field: 'deleted', label: 'Deleted', values: [] };
    const side = { change: 'c', user: null, made_at: null, revision: 1 };
    expect(sideWords(survey, contested, { ...side, value: true })).toBe('Take it away');
    expect(
      sideWords(survey, contested, { ...side, value: false, edited: { field: 'length_m', label: 'Length', value: 3 } }),
    ).toBe('Keep it, with Length: 3\u00a0m');
  });
});

describe('works that the survey suggests', () => {
  const work: SuggestedWork = {
    asked: { code: 'level', record: 'base/b1', about: '' },
    severity: 'stop',
    why: 'It falls by 14 mm.',
    what: 'Level it.',
    specification: 'Level it.',
    trade: null,
    drawn_from: 'b1',
    written: [],
  };
  test('a work that is taken says what asked for it, whatever the words are by then', () => {
    const values = workValues(work);
    expect(values).toEqual({
      what: 'Level it.',
      specification: 'Level it.',
      why: 'It falls by 14 mm.',
      drawn_from: 'b1',
      asked_by: [{ code: 'level', record: 'base/b1' }],
    });
    expect(isAskedBy({ ...values, why: 'It falls by 15 mm.' }, work.asked)).toBe(true);
  });
  test('another finding of the same record, the same code elsewhere or of something else is not it', () => {
    const values = workValues(work);
    for (const other of [{ code: 'cracked' }, { record: 'base/b2' }, { about: 'wide' }])
      expect(isAskedBy(values, { ...work.asked, ...other })).toBe(false);
    expect(
      isAskedBy(workValues({ ...work, asked: { ...work.asked, about: 'wide' } }), { ...work.asked, about: 'wide' }),
    ).toBe(true);
    expect(isAskedBy({ what: 'Level it.', why: 'It falls by 14 mm.', drawn_from: 'b1' }, work.asked)).toBe(false);
  });
});

test('a text is cut between words to what its field holds', () => {
  expect(clipped('short', 10)).toBe('short');
  const cut = clipped('one two three four five', 12);
  expect(cut).toBe('one two…');
  expect([...clipped('x'.repeat(50), 20)].length).toBe(20);
});

test('a letter names the household, the visit, the version, the sender', () => {
  const draft = letter(
    {
      household_name: 'Fern Quince',
      contact_email: 'fern@household.example',
      address: '3 Nowhere Row',
      visit_date: '2026-03-12',
    },
    2,
    { name: 'Ada', firm: 'Teasel Heating' },
  );
  expect(draft.to).toBe('fern@household.example');
  expect(draft.subject).toBe('Your heat pump survey, report version 2: 3 Nowhere Row');
  expect(draft.message).toMatch(/^Dear Fern Quince,[\s\S]*12 March 2026[\s\S]*Ada\nTeasel Heating$/);
  expect(letter({}, 1, { name: 'Ada', firm: 'F' }).message).toMatch(/^Hello,/);
});
