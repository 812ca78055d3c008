/** The office's words and suggestions. */
import { describe, expect, test } from 'vitest';
import type { Finding } from '../src/domain/assessment.ts';
import { loggedWords, sideWords } from '../src/domain/contested.ts';
import { clipped, emailWords, fitsSearch, letter, pounds, suggestedWorks, surveyWords, type Email, type EmailState } from '../src/domain/office.ts';
import { Survey, type SurveyRecord } from '../src/domain/survey.ts';

const NOON = new Date(2026, 2, 31, 12, 0).getTime();
const record = (kind: string, id: string, values: SurveyRecord['values']): SurveyRecord => ({ kind, id, values });
const email = (state: EmailState, more: Partial<Email> = {}): Email => ({
  id: 'e', report: 1, to: 'a@household.example', subject: 'Report', state, attempts: 0, last_error: null, created_at: '', sent_at: null, file_name: null, ...more,
});

describe('where a message is', () => {
  test('every state has words of its own', () => {
    expect(emailWords(email('waiting'), NOON)).toBe('Waiting to be sent');
    expect(emailWords(email('waiting', { attempts: 2, last_error: 'busy' }), NOON)).toBe('Waiting to be sent again by itself: busy');
    expect(emailWords(email('sent', { sent_at: new Date(2026, 2, 31, 9, 5).toISOString() }), NOON)).toBe('Sent 09:05 to a@household.example');
    expect(emailWords(email('held_as_file', { file_name: 'x.eml' }), NOON)).toBe('Kept as a file because no mail server is set: x.eml');
    expect(emailWords(email('failed', { last_error: 'no such mailbox' }), NOON)).toBe('Not sent: no such mailbox');
    expect(emailWords(email('uncertain'), NOON)).toBe('Not sure whether it went: look before sending again');
    expect(emailWords(email('sending'), NOON)).toBe('Being sent');
  });
});

describe('the list', () => {
  const quiet = { contested: 0, refused: 0, photos_missing: 0, latest_report: null };
  test('what must be decided comes first, and nothing is said that is not known', () => {
    expect(surveyWords(quiet, undefined).map((item) => item.words)).toEqual(['No report']);
    expect(surveyWords({ contested: 2, refused: 1, photos_missing: 3, latest_report: 4 }, { id: 's', revision: 9, gaps: 1, email: email('failed') })).toEqual([
      { words: '2 answered twice', tone: 'stop' }, { words: '1 refused', tone: 'stop' }, { words: '1 gap', tone: 'check' }, { words: '3 photos not here', tone: 'check' },
      { words: 'Report version 4', tone: 'plain' }, { words: 'Email not sent', tone: 'stop' },
    ]);
    expect(surveyWords(quiet, { id: 's', revision: 9, gaps: 0, email: null })[0]).toEqual({ words: 'No gaps', tone: 'good' });
  });
  test('a survey is found by any of its words, a postcode with or without its gap', () => {
    const listed = { title: 'The Nettlebeds', reference: 'TD-7', address: '3 Nowhere Row', postcode: 'B99 9ZZ' };
    for (const typed of ['', 'nettle', 'row 3', 'td-7', 'b999zz', 'B99 9ZZ', 'nettlebeds b99']) expect([typed, fitsSearch(listed, typed)]).toEqual([typed, true]);
    for (const typed of ['nettle oak', 'B98']) expect([typed, fitsSearch(listed, typed)]).toEqual([typed, false]);
  });
});

test('pounds are written from decimal text as it stands', () => {
  expect(['0.00', '999.90', '13107', '-1234567.05'].map(pounds)).toEqual(['£0.00', '£999.90', '£13,107.00', '−£1,234,567.05']);
});

describe('a value of the log', () => {
  const survey = new Survey('s', [record('room', 'r1', { name: 'Study' })]);
  test('is written with its unit, its choice, the name of its record', () => {
    expect(loggedWords(survey, 'room', 'length_m', 4.2)).toBe('4.2 m');
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
    expect(sideWords(survey, contested, { ...side, value: false, edited: { field: 'length_m', label: 'Length', value: 3 } })).toBe('Keep it, with Length: 3 m');
  });
});

describe('works that the survey suggests', () => {
  const finding = (code: string, message: string, more: Partial<Finding> = {}): Finding => ({
    severity: 'check', code, record: 'base/b1', field: null, message, remedy: `Do ${code}.`, source: '', ...more,
  });
  const base = record('base', 'b1', { name: 'Slab' });
  const findings = [finding('level', 'It falls.'), finding('cracked', 'It is cracked.')];
  const codes = (records: SurveyRecord[]) => suggestedWorks(new Survey('s', [base, ...records]), findings).map((item) => item.key);

  test('each remedy that presses is one, a note is none, a record that is gone is none', () => {
    expect(codes([])).toEqual(['level/base/b1', 'cracked/base/b1']);
    expect(suggestedWorks(new Survey('s', [base]), [finding('level', 'It falls.', { severity: 'note' }), finding('x', 'y', { record: 'base/gone' })])).toEqual([]);
  });
  test('one that was taken is not offered again, the other still is', () => {
    const [first] = suggestedWorks(new Survey('s', [base]), findings);
    expect(codes([record('scope_item', 'w', first!.values)])).toEqual(['cracked/base/b1']);
  });
  test('a work that somebody wrote for the record stands for all of it', () => {
    expect(codes([record('scope_item', 'w', { what: 'New slab', drawn_from: 'b1', why: 'The old one is done for.' })])).toEqual([]);
  });
  test('a cable of the electrician’s is work, with what is known of it; our own and one that is there are not', () => {
    const cable = (id: string, values: SurveyRecord['values']) => record('cable_run', id, { purpose: 'bus', cores: 2, run_by: 'electrician', ...values });
    const found = suggestedWorks(new Survey('s', [cable('c1', {}), cable('c2', { run_by: 'us' }), cable('c3', { is_there: true })]), []);
    expect(found.map((item) => [item.values['trade'], item.values['drawn_from']])).toEqual([['electrician', 'c1']]);
    expect(found[0]!.values['specification']).toContain('Cores: 2');
  });
});

test('a text is cut between words to what its field holds', () => {
  expect(clipped('short', 10)).toBe('short');
  const cut = clipped('one two three four five', 12);
  expect(cut).toBe('one two…');
  expect([...clipped('x'.repeat(50), 20)].length).toBe(20);
});

test('a letter names the household, the visit, the version, the sender', () => {
  const draft = letter({ household_name: 'Fern Quince', contact_email: 'fern@household.example', address: '3 Nowhere Row', visit_date: '2026-03-12' }, 2, { name: 'Ada', firm: 'Teasel Heating' });
  expect(draft.to).toBe('fern@household.example');
  expect(draft.subject).toBe('Your heat pump survey, report version 2: 3 Nowhere Row');
  expect(draft.message).toMatch(/^Dear Fern Quince,[\s\S]*12 March 2026[\s\S]*Ada\nTeasel Heating$/);
  expect(letter({}, 1, { name: 'Ada', firm: 'F' }).message).toMatch(/^Hello,/);
});
