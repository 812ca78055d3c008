/** What only the office has: the log, quotes, reports, the outbox. Their shapes as the API answers them, and their words. */
import type { FirmPromises } from './promises.ts';
import type { Asked, SuggestedWork } from './assessment.ts';
import { dayWords, plainNumber } from './check.ts';
import type { Row, Value, Values } from './model.ts';
import { counted, momentWords } from './words.ts';

export interface LoggedChange {
  id: string;
  kind: string;
  record: string;
  field: string;
  value: Value;
  revision: number | null;
  user: string | null;
  device: string;
  made_at: string;
  received_at: string;
  contested: boolean;
}
export interface RefusedChange extends LoggedChange {
  problem: { code: string; message: string };
}
/** A line of the quote; an older office says no more than the first two. */
export interface QuoteLine {
  record: string;
  amount: string | null;
  /** As the office called it; empty where it goes by what it is part of. */
  group?: string;
  is_hidden?: boolean;
  is_optional?: boolean;
  discount?: string | null;
  /** By itself, VAT included. */
  with_vat?: string | null;
}
/** What is left over of a line after what its article costs the firm; the office alone is told. */
export interface LineMargin {
  record: string;
  cost: string | null;
  left: string | null;
  percent: string | null;
}
export interface Margin {
  lines: LineMargin[];
  net: string;
  cost: string;
  left: string;
  percent: string | null;
  /** Lines whose cost is not known: they are in none of these sums. */
  cost_unknown: number;
}
export interface VatGroup {
  rate: string;
  net: string;
  vat: string;
  gross: string;
}
export interface QuoteProblem {
  code: string;
  message: string;
  field: string | null;
  record: string | null;
}
export interface Quote {
  lines: QuoteLine[];
  groups?: { label: string; amount: string }[];
  by_vat: VatGroup[];
  net: string;
  vat: string;
  gross: string;
  credits: string;
  deposit: string;
  to_pay: string;
  is_complete: boolean;
  problems: QuoteProblem[];
  /** What the last line is called: it hangs on a grant where one is taken off. An older office does not say. */
  left_words?: string;
  /** Rates of VAT on the day of the quote and on that of the installation; words where one does not hold. */
  rates?: { rate: string; words: string }[];
  grant?: { changes: boolean; words: string } | null;
}

/** What the office finds where a version's file should be; `not_known` is there, from before hashes were kept. */
export type PaperState = 'whole' | 'not_known' | 'missing' | 'damaged';
/** One paper of a version: the quotation, the technical file, the site sheets, the quotation as a page. */
export interface Paper {
  name: string;
  label: string;
  pages: number;
  size_bytes: number;
  state: PaperState;
}
export interface Report {
  number: number;
  revision: number;
  made_at: string;
  pages: number;
  size_bytes: number;
  paper: PaperState;
  /** Why it was made although red points stood against it; an older office sends none. */
  reasons?: KeptReason[];
  papers: Paper[];
}

/** One point to look at before a version is made: its code, record and `about` say which, and a red one wants a written reason. */
export interface Point {
  code: string;
  record: string;
  about: string;
  weight: 'red' | 'amber';
  title: string;
  words: string;
}
export interface KeptReason extends Point {
  reason: string;
  by: string;
  at: string;
}
export const pointKey = (point: Pick<Point, 'code' | 'record' | 'about'>): string =>
  `${point.code}/${point.record}/${point.about}`;
/** A version that was asked for, or one whose file is to be made `again`; `before` counts the reports of the house that come first. */
export interface ReportJob {
  id: string;
  state: 'waiting' | 'rendering' | 'ready' | 'failed';
  number: number;
  revision: number;
  again: boolean;
  before: number;
  problem: { code: string; message: string } | null;
}
export type EmailState = 'waiting' | 'sending' | 'sent' | 'held_as_file' | 'failed' | 'uncertain';
export interface Email {
  id: string;
  report: number;
  to: string;
  subject: string;
  state: EmailState;
  attempts: number;
  last_error: string | null;
  created_at: string;
  sent_at: string | null;
  file_name: string | null;
}
/** What the office's list adds to a survey; no number of gaps while the office has not counted them. */
export interface SurveyState {
  id: string;
  revision: number;
  gaps: number | null;
  email: Pick<Email, 'state' | 'to' | 'sent_at' | 'report'> | null;
}

export interface Firm {
  name: string;
  address: string;
  telephone: string;
  email: string;
  terms: string;
}
/** What the office keeps of a firm beside its words; an older office sends no choice. */
export interface FirmChoices extends Partial<FirmPromises> {
  prints_checks?: boolean;
  /** Its picture as a `data:` address. */
  logo?: string | null;
}

/** A state in words, with how much it presses. */
export interface StateWords {
  words: string;
  tone: 'stop' | 'check' | 'good' | 'plain';
}

/** `£1,234.50` from decimal text; no arithmetic, since the office has done it. */
export function pounds(amount: string): string {
  const [whole = '', pence = '00'] = amount.replace('-', '').split('.');
  return `${amount.startsWith('-') ? '−' : ''}£${whole.replace(/\B(?=(\d{3})+$)/g, ',')}.${pence.padEnd(2, '0')}`;
}

/** Where a message is, in plain words. */
export function emailWords(email: Pick<Email, 'state' | 'to' | 'sent_at'> & Partial<Email>, now?: number): string {
  switch (email.state) {
    case 'waiting':
      return email.attempts
        ? `Waiting to be sent again by itself${email.last_error ? `: ${email.last_error}` : ''}`
        : 'Waiting to be sent';
    case 'sending':
      return 'Being sent';
    case 'sent':
      return `Sent ${email.sent_at ? `${momentWords(Date.parse(email.sent_at), now)} ` : ''}to ${email.to}`;
    case 'held_as_file':
      return `Kept as a file because no mail server is set${email.file_name ? `: ${email.file_name}` : ''}`;
    case 'failed':
      return `Not sent${email.last_error ? `: ${email.last_error}` : ''}`;
    case 'uncertain':
      return 'Not sure whether it went: look before sending again';
  }
}

export function emailTone(state: EmailState): StateWords['tone'] {
  if (state === 'sent') return 'good';
  return state === 'failed' ? 'stop' : state === 'uncertain' || state === 'held_as_file' ? 'check' : 'plain';
}

const EMAIL_SHORT: Record<EmailState, string> = {
  waiting: 'Email waiting',
  sending: 'Email being sent',
  sent: 'Email sent',
  held_as_file: 'Email kept as a file',
  failed: 'Email not sent',
  uncertain: 'Email uncertain',
};

/** Everything that somebody must decide or send, then how far the survey is. */
export function surveyWords(
  listed: { contested: number; refused: number; photos_missing: number; latest_report: number | null },
  state: SurveyState | undefined,
): StateWords[] {
  const words: StateWords[] = [];
  if (listed.contested > 0) words.push({ words: `${listed.contested} answered twice`, tone: 'stop' });
  if (listed.refused > 0) words.push({ words: `${listed.refused} refused`, tone: 'stop' });
  if (state?.gaps) words.push({ words: counted(state.gaps, 'gap'), tone: 'check' });
  if (listed.photos_missing > 0)
    words.push({ words: `${counted(listed.photos_missing, 'photo')} not here`, tone: 'check' });
  if (state?.gaps === 0) words.push({ words: 'No gaps', tone: 'good' });
  if (state?.gaps === null) words.push({ words: 'Gaps not yet counted', tone: 'plain' });
  words.push(
    listed.latest_report === null
      ? { words: 'No report', tone: 'plain' }
      : { words: `Report version ${listed.latest_report}`, tone: 'plain' },
  );
  if (state?.email) words.push({ words: EMAIL_SHORT[state.email.state], tone: emailTone(state.email.state) });
  return words;
}

/** Whether a survey fits what was typed into the search: every word somewhere in it. */
export function fitsSearch(
  listed: { title: string; reference: string | null; address: string | null; postcode: string | null },
  typed: string,
): boolean {
  const text = [listed.title, listed.reference, listed.address, listed.postcode].join(' ').toLowerCase();
  // A postcode is found with or without its gap.
  const joined = (listed.postcode ?? '').replace(/\s/g, '').toLowerCase();
  return (
    typed
      .toLowerCase()
      .split(/\s+/)
      .every((word) => text.includes(word) || joined.includes(word)) ||
    (joined !== '' && joined.includes(typed.replace(/\s/g, '').toLowerCase()))
  );
}

/** Cut a text to what a field can hold, between words where it can. */
export function clipped(text: string, most: number): string {
  if ([...text].length <= most) return text;
  const cut = [...text].slice(0, most - 1).join('');
  return `${cut.slice(0, cut.lastIndexOf(' ') > most / 2 ? cut.lastIndexOf(' ') : undefined)}…`;
}

/** The values of a work that is taken from what the survey asks for. */
export function workValues(work: SuggestedWork): Values {
  return {
    ...(work.trade ? { trade: work.trade } : {}),
    what: work.what,
    ...(work.specification ? { specification: work.specification } : {}),
    why: clipped(work.why, 300),
    ...(work.drawn_from ? { drawn_from: work.drawn_from } : {}),
    asked_by: askedRows(work.asked),
  };
}

/** What asked for a work, as its row; `about` only where it tells two apart. */
export const askedRows = (asked: Asked): Row[] => [
  { code: asked.code, record: asked.record, ...(asked.about ? { about: asked.about } : {}) },
];

/** Whether a work says that it was asked for by this. A suggestion that was taken a moment ago is not offered while the answer is behind. */
export function isAskedBy(values: Values, asked: Asked): boolean {
  const rows = Array.isArray(values['asked_by']) ? values['asked_by'] : [];
  return rows.some(
    (row) => row['code'] === asked.code && row['record'] === asked.record && (row['about'] ?? '') === asked.about,
  );
}

export const isUnderWay = (job: ReportJob | null): boolean => job?.state === 'waiting' || job?.state === 'rendering';

/** How far a job is, in words; null when there is nothing to say of it any more. */
export function jobWords(job: ReportJob): StateWords | null {
  const what = job.again ? `The file of version ${job.number}` : `Version ${job.number}`;
  switch (job.state) {
    case 'waiting':
      return {
        words:
          job.before === 0
            ? `${what} is next to be made${job.again ? ' again' : ''}`
            : `${what} waits: ${counted(job.before, 'report')} before it`,
        tone: 'plain',
      };
    case 'rendering':
      return { words: `${what} is being made${job.again ? ' again' : `, from change ${job.revision}`}`, tone: 'plain' };
    case 'failed':
      return {
        words: `${what} was not made${job.again ? ' again' : ''}: ${job.problem?.message ?? 'the office does not say why.'}`,
        tone: 'stop',
      };
    case 'ready':
      return null;
  }
}

/** What is wrong with a version's file, in words; null when nothing is. */
export function paperWords(report: Pick<Report, 'number' | 'paper'>): StateWords | null {
  if (report.paper === 'missing')
    return { words: `The file of version ${report.number} is missing at the office`, tone: 'stop' };
  return report.paper === 'damaged'
    ? { words: `The file of version ${report.number} is damaged at the office`, tone: 'stop' }
    : null;
}

/** The first draft of the letter that goes with a report. */
export function letter(
  values: Values,
  number: number,
  signed: { name: string; firm: string },
): { to: string; subject: string; message: string } {
  const household = typeof values['household_name'] === 'string' ? values['household_name'] : '';
  const address = typeof values['address'] === 'string' ? values['address'] : '';
  const visit = typeof values['visit_date'] === 'string' ? ` of ${dayWords(values['visit_date'])}` : '';
  return {
    to: typeof values['contact_email'] === 'string' ? values['contact_email'] : '',
    subject: clipped(`Your heat pump survey, report version ${number}${address ? `: ${address}` : ''}`, 200),
    message: [
      household ? `Dear ${household},` : 'Hello,',
      `The report of our survey${visit} is attached. Its first page says what matters; the pages after it hold every room, the price and how each figure was worked out.`,
      'Please read it and tell us what you would like changed. Nothing is ordered until you have agreed in writing.',
      `${signed.name}\n${signed.firm}`,
    ].join('\n\n'),
  };
}

export function sizeWords(bytes: number): string {
  return bytes < 1_000_000 ? `${Math.max(1, Math.round(bytes / 1000))} kB` : `${plainNumber(bytes / 1_000_000, 1)} MB`;
}
