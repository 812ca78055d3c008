/** What the office's screens ask of the server beyond the survey itself. Each answer is a Reply: no answer is no answer. */
import type {
  Email,
  Firm,
  FirmChoices,
  Margin,
  Point,
  Quote,
  RefusedChange,
  Report,
  ReportJob,
  SurveyState,
} from '../domain/office.ts';
import { BOOK } from '../domain/book.ts';
import {
  historyQuery,
  type History,
  type HistoryAsked,
  type HistoryLine,
  type SettingsHistory,
} from '../domain/history.ts';
import type { OptionRow } from '../domain/assessment.ts';
import type { PhotoAtOffice } from '../store/database.ts';
import { notTakenWords } from '../domain/words.ts';
import { ask, type Reply } from './api.ts';

const at = (survey: string): string => `/api/surveys/${encodeURIComponent(survey)}`;

export interface OfficeView {
  revision: number;
  refused: RefusedChange[];
  photos: PhotoAtOffice[];
}

/** Why a version is made although a red point stands against it. */
export interface Reason extends Pick<Point, 'code' | 'record' | 'about'> {
  reason: string;
}

export interface Versions {
  reports: Report[];
  /** The job that the survey was given last; null before the first. */
  job: ReportJob | null;
}

interface StatesPage {
  surveys: SurveyState[];
  cursor?: number;
  more?: boolean;
}

/** The states of all surveys, page by page. What is not counted yet says so, and is to be asked for again. */
export async function fetchStates(): Promise<Reply<{ surveys: SurveyState[] }>> {
  const surveys = new Map<string, SurveyState>();
  for (let since = 0; ;) {
    const reply = await ask<StatesPage>(`/api/survey-states?since=${since}`);
    if (reply.kind !== 'ok') return reply;
    for (const state of reply.body.surveys) surveys.set(state.id, state);
    const next = reply.body.cursor ?? since;
    if (!reply.body.more || next <= since) return { ...reply, body: { surveys: [...surveys.values()] } };
    since = next;
  }
}

export const fetchView = (survey: string): Promise<Reply<OfficeView>> => ask(`${at(survey)}?brief=1`);
export const fetchQuote = (survey: string): Promise<Reply<Quote>> => ask(`${at(survey)}/quote`);
/** What is left over of the price; the office refuses everybody but its own people. */
export const fetchMargin = (survey: string): Promise<Reply<Margin>> => ask(`${at(survey)}/margin`);
/** The survey as it stands and its options, as the office works them out. */
export const fetchOptions = (survey: string): Promise<Reply<{ options: OptionRow[] }>> => ask(`${at(survey)}/options`);
export const fetchReports = (survey: string): Promise<Reply<Versions>> => ask(`${at(survey)}/reports`);
export const fetchEmails = (survey: string): Promise<Reply<{ emails: Email[] }>> => ask(`${at(survey)}/emails`);
export const fetchFirm = (): Promise<Reply<Firm & FirmChoices>> => ask('/api/firm');
export const saveFirm = (firm: Partial<Firm & FirmChoices>): Promise<Reply<Firm>> =>
  ask('/api/firm', { method: 'PATCH', body: firm });
/** Ask for the next version: the office says that it will be made, not that it is. */
export const askForReport = (survey: string, reasons: readonly Reason[]): Promise<Reply<ReportJob>> =>
  ask(`${at(survey)}/reports`, { method: 'POST', body: { reasons } });
/** What to look at before a version is made today; a red point wants a written reason. */
export const fetchPoints = (survey: string): Promise<Reply<{ revision: number; points: Point[] }>> =>
  ask(`${at(survey)}/version-points`);
export const askForReportAgain = (survey: string, number: number): Promise<Reply<ReportJob>> =>
  ask(`${at(survey)}/reports/${number}/again`, { method: 'POST', body: {} });
export const retryEmail = (id: string): Promise<Reply<Email>> =>
  ask(`/api/emails/${encodeURIComponent(id)}/retry`, { method: 'POST', body: {} });

/** What a list did to the firm's book: how many records it added, changed, and left as they were. */
export interface TakenIn {
  added: number;
  changed: number;
  same: number;
}
/** A list as it was pasted, or the bytes of a file: the office tells CSV from XLSX. */
export const bringList = (kind: string, name: string, list: string | Uint8Array): Promise<Reply<TakenIn>> =>
  ask('/api/book/lists', {
    method: 'POST',
    body: { kind, name, ...(typeof list === 'string' ? { text: list } : { file: inBase64(list) }) },
  });

/** What was changed of the firm's settings, newest first, from one of them on. */
export const fetchSettingsHistory = (before = ''): Promise<Reply<SettingsHistory>> =>
  ask(`/api/firm/history${before && `?before=${encodeURIComponent(before)}`}`);

/** Give a setting the value again that it had before a change. */
export const putSettingBack = (change: string): Promise<Reply<Firm>> =>
  ask(`/api/firm/history/${encodeURIComponent(change)}/back`, { method: 'POST', body: {} });

/** The firm's logo: a picture's bytes, or null for none. */
export const saveLogo = (bytes: Uint8Array | null): Promise<Reply<Firm>> =>
  saveFirm({ logo: bytes && inBase64(bytes) });

function inBase64(bytes: Uint8Array): string {
  let letters = '';
  // A call takes so many arguments and no more.
  for (let at = 0; at < bytes.length; at += 8_192) letters += String.fromCharCode(...bytes.subarray(at, at + 8_192));
  return btoa(letters);
}

const LIST_TYPES = {
  csv: 'text/csv',
  xlsx: 'application/vnd.openxmlformats-officedocument.spreadsheetml.sheet',
};
export type ListForm = keyof typeof LIST_TYPES;
export const LIST_FORMS = Object.keys(LIST_TYPES) as ListForm[];
/** The firm's records of a kind as a file. */
export const fetchList = (kind: string, form: ListForm): Promise<Reply<Blob>> =>
  ask(`/api/book/lists/${kind}.${form}`, { file: LIST_TYPES[form] });

export function sendReport(
  survey: string,
  number: number,
  letter: { to: string; subject: string; message: string },
): Promise<Reply<Email>> {
  return ask(`${at(survey)}/reports/${number}/emails`, { method: 'POST', body: letter });
}

/** The office gives no more at once. */
const MOST_OF_HISTORY = 200;

/** The newest `lines` of the history of a survey or of the firm's book that are asked for, newest first. */
export async function fetchHistory(survey: string, asked: HistoryAsked, lines: number): Promise<Reply<History>> {
  const query = historyQuery(asked);
  const log = survey === BOOK ? '/api/book' : at(survey);
  const changes: HistoryLine[] = [];
  for (;;) {
    query.set('limit', String(Math.min(MOST_OF_HISTORY, lines - changes.length)));
    const reply = await ask<History>(`${log}/history?${query.toString()}`);
    if (reply.kind !== 'ok') return reply;
    changes.push(...reply.body.changes);
    if (reply.body.next === null || changes.length >= lines) return { ...reply, body: { ...reply.body, changes } };
    query.set('before', String(reply.body.next));
  }
}

/** What would be another in the next version than in the newest. */
export interface Changes {
  since: number | null;
  changes: { what: string; before: string; now: string; reason: string }[];
}
export const fetchChanges = (survey: string): Promise<Reply<Changes>> => ask(`${at(survey)}/reports/changes`);
/** Where a paper of a version is: the quotation at the version's own address, the others below it. */
export const paperAddress = (survey: string, number: number, name: string): string =>
  name === 'quotation' ? `${at(survey)}/reports/${number}.pdf` : `${at(survey)}/reports/${number}/${name}`;
export const photoAtOffice = (survey: string, sha256: string): string => `${at(survey)}/photos/${sha256}`;

/** Why nothing came of what was asked of the office, in words; null when the answer is there. */
export function troubleWith(reply: Reply<unknown>): string | null {
  if (reply.kind === 'ok') return null;
  if (reply.kind === 'sign_in') return 'The office asks you to sign in again.';
  return reply.kind === 'none' ? notTakenWords(reply) : reply.problem.message;
}
