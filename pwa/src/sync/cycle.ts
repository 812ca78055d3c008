/**
 * One exchange with the office: push, photos, pull, assessment.
 *
 * Every step can be cut off anywhere and repeated: a change leaves the outbox only when an answer names its id, pulled data
 * and cursor go in together, photos travel under their hash.
 */
import { workedOut, type WorkedOut } from '../domain/assessment.ts';
import { BOOK, type BookState } from '../domain/book.ts';
import { asSent } from '../domain/changes.ts';
import { model } from '../domain/model.ts';
import { BYTES_MISSING } from '../domain/photos.ts';
import type { Contested, OfficeSurvey, PhotoAtOffice, SurveyRow } from '../store/database.ts';
import {
  answeredAt,
  applyList,
  applyPull,
  applyPush,
  beginExchange,
  deviceName,
  isToldOfPhotos,
  listCursor,
  markAtOffice,
  meetEpoch,
  meetRole,
  nextBatch,
  offerUnknown,
  saveView,
  surveyRow,
  surveyRows,
  surveysWaiting,
  type ListAnswer,
  type OfficeAnswer,
  type PushResult,
} from '../store/exchange.ts';
import type { PulledChange } from '../store/rows.ts';
import { markArrived, markRefused, soundBytes, waitingPhotos } from '../store/photos.ts';
import { askSignIn } from '../store/session.ts';
import { fetchToPhone } from '../store/surveys.ts';
import { Left } from '../store/write.ts';
import { APP_VERSION } from '../generated/version.ts';
import { ask, type Reply } from './api.ts';
import { tellOffice } from './leaving.ts';

const BATCH = 500;
/** As many as the office gives at once: each page is written by itself, and a large survey is of thousands. */
const PULL_PAGE = 2000;

export type Outcome =
  { kind: 'done'; trouble: string | null } | { kind: 'no_answer'; why: string; isBusy?: boolean } | { kind: 'sign_in' };

/** Ends the exchange early; carries what to tell the person. */
class Halt extends Error {
  constructor(readonly outcome: Outcome) {
    super(outcome.kind);
  }
}

type Shape = Record<string, 'string' | 'number' | 'boolean' | 'array' | 'object'>;

/** Say whether a body is what the contract promises, as far as this exchange leans on it. */
function hasShape(body: unknown, shape: Shape): boolean {
  if (typeof body !== 'object' || body === null) return false;
  return Object.entries(shape).every(([name, wanted]) => {
    const value = (body as Record<string, unknown>)[name];
    return wanted === 'array' ? Array.isArray(value) : value !== null && typeof value === wanted;
  });
}

/** Return the body of an answer, or end the exchange. JSON of another shape (a portal's, a proxy's) is no answer of ours. */
function need<T>(reply: Reply<T>, shape: Shape = {}): T {
  if (reply.kind === 'ok') {
    if (Object.keys(shape).length > 0 && !hasShape(reply.body, shape))
      throw new Halt({ kind: 'no_answer', why: 'the answer was not of the office' });
    return reply.body;
  }
  if (reply.kind === 'sign_in') throw new Halt({ kind: 'sign_in' });
  if (reply.kind === 'none') throw new Halt({ kind: 'no_answer', why: reply.why, isBusy: reply.isBusy === true });
  throw new Halt({ kind: 'done', trouble: `The office did not take it: ${reply.problem.message}` });
}

interface PushAnswer {
  epoch: string;
  revision: number;
  results: PushResult[];
}
interface PullAnswer {
  epoch: string;
  revision: number;
  more: boolean;
  changes: PulledChange[];
  /** The firm's book only. */
  role?: string;
}
interface ViewAnswer {
  revision: number;
  contested: Contested[];
  refused: unknown[];
  photos: PhotoAtOffice[];
}
interface AssessmentAnswer extends WorkedOut {
  revision: number;
  book?: number;
}

const at = (survey: string): string => (survey === BOOK ? '/api/book' : `/api/surveys/${encodeURIComponent(survey)}`);

const PULLED: Shape = { epoch: 'string', revision: 'number', more: 'boolean', changes: 'array' };
const WORKED_OUT: Shape = { revision: 'number', assessment: 'object', gaps: 'array', pictures: 'object' };
const isGood = <T>(reply: Reply<T>, shape: Shape): reply is Reply<T> & { kind: 'ok' } =>
  reply.kind === 'ok' && hasShape(reply.body, shape);

async function pushSurvey(survey: string): Promise<string | null> {
  const device = await deviceName();
  let limit = BATCH;
  for (;;) {
    const { changes: batch, epoch } = await nextBatch(survey, limit);
    if (batch.length === 0) return null;
    const changes = batch.map(asSent);
    const reply = await ask<PushAnswer>(`${at(survey)}/changes`, {
      method: 'POST',
      body: { device, app: APP_VERSION, model: model.version, ...(epoch === null ? {} : { epoch }), changes },
      patience: 45_000,
    });
    if (reply.kind === 'refused') {
      if (reply.status === 413 && limit > 1) {
        limit = Math.ceil(limit / 4);
        continue;
      }
      // What is stored may mean something else by now: nothing is fetched either, until the app has been updated.
      if (reply.problem.code === 'app_too_old') throw new Halt({ kind: 'done', trouble: reply.problem.message });
      // The whole bundle was turned away. Everything is kept, and the other surveys still get their turn.
      return `The office did not take the changes of a survey: ${reply.problem.message}`;
    }
    const answer = need(reply, { epoch: 'string', revision: 'number', results: 'array' });
    // A batch of another epoch is not taken: it is sent anew, with what is offered again.
    const isAnother = await meetEpoch(answer.epoch);
    await applyPush(survey, answer.results);
    if (isAnother) continue;
    const named = new Set(answer.results.map((result) => result.id));
    if (!batch.some((change) => named.has(change.id))) {
      throw new Halt({ kind: 'no_answer', why: 'the answer named none of the changes' });
    }
  }
}

/** What only the office says of a photo's bytes themselves, once it has them as they were taken. */
const ABOUT_BYTES = ['not_a_picture', 'picture_too_large'];

/** Send the photos that wait. Returns in words what stood in the way of some. */
async function pushPhotos(): Promise<string | null> {
  let trouble: string | null = null;
  for (const photo of await waitingPhotos()) {
    const bytes = await soundBytes(photo);
    if (!bytes) {
      await markRefused(photo.key, {
        code: BYTES_MISSING,
        message: 'This phone has lost or spoilt the picture since it was taken, so it was not sent. Take it again.',
        field: 'sha256',
        record: photo.record,
      });
      continue;
    }
    const reply = await ask<{ sha256: string }>(`${at(photo.survey)}/photos/${photo.sha256}`, {
      method: 'PUT',
      bytes: { data: bytes, media_type: photo.media_type },
      patience: 120_000,
    });
    // A photo for a survey that the office does not know yet waits for its survey.
    if (reply.kind === 'refused' && reply.status === 404) continue;
    if (reply.kind !== 'refused') {
      if (need(reply, { sha256: 'string' }).sha256 !== photo.sha256)
        throw new Halt({ kind: 'no_answer', why: 'the answer was of another photo' });
      await markArrived(photo.key);
    } else if (ABOUT_BYTES.includes(reply.problem.code) && reply.problem.record === `photo/${photo.sha256}`)
      await markRefused(photo.key, reply.problem);
    // Only the office knows whose photo it is, so this is a machine in between, or what may pass: the photo waits, and the next may go through.
    else trouble = `a photo did not get there: ${reply.problem.message}`;
  }
  return trouble;
}

/** The most answers of one exchange about the list: an office that always has more to say is asked again another time. */
const MOST_PAGES = 200;

/** Ask for what is new in the office's list; returns all of it, as it is held here then. */
async function pullList(): Promise<{ surveys: OfficeSurvey[]; book: BookState | undefined }> {
  for (let page = 0; ; page += 1) {
    const asked = await listCursor();
    const answer = need(await ask<ListAnswer>(`/api/surveys?since=${asked}`), { epoch: 'string', surveys: 'array' });
    await meetEpoch(answer.epoch);
    const { surveys, more } = await applyList(answer, asked);
    if (!more || page >= MOST_PAGES) return { surveys, book: answer.book };
  }
}

function askChanges(survey: string, since: number): Promise<Reply<PullAnswer>> {
  const asked = `since=${since}&limit=${PULL_PAGE}&model=${encodeURIComponent(model.version)}`;
  return ask<PullAnswer>(`${at(survey)}/changes?${asked}`);
}

/** Pages that are held until the last has come, so that no screen shows a survey of which half is here; a longer log goes in by parts. */
const HELD_PAGES = 10;

/** Fetch what is new of a survey. It is put in at once when all of it is here, and as far as it had come when the way is cut off. */
async function pullSurvey(survey: string): Promise<void> {
  let held: PulledChange[] = [];
  let coming: Promise<Reply<PullAnswer>> | null = null;
  for (let pages = 1; ; pages += 1) {
    const row = await surveyRow(survey);
    if (!row) return;
    const reply: Reply<PullAnswer> = await (coming ?? askChanges(survey, held.at(-1)?.revision ?? row.cursor));
    coming = null;
    if (!isGood(reply, PULLED) && held.length > 0) await applyPull(survey, held, held.at(-1)!.revision);
    const answer: PullAnswer = need(reply, PULLED);
    if ((await meetEpoch(answer.epoch)) || (answer.role !== undefined && (await meetRole(answer.role)))) {
      held = [];
      continue;
    }
    held.push(...answer.changes);
    const last = held.at(-1)?.revision;
    // The next page is on its way while this one is looked at.
    if (answer.more && answer.changes.length > 0) coming = askChanges(survey, last!);
    if (coming && pages % HELD_PAGES !== 0) continue;
    await applyPull(survey, held, answer.more ? (last ?? row.cursor) : Math.max(answer.revision, last ?? 0));
    held = [];
    if (!coming) break;
  }
  const row = await surveyRow(survey);
  if (row?.reoffer === 1 && (await offerUnknown(survey)) > 0) await pushSurvey(survey);
}

/** Ask how a survey stands at the office, without what this phone has itself. */
const askView = (survey: string): Promise<Reply<ViewAnswer>> =>
  ask<ViewAnswer>(survey === BOOK ? at(survey) : `${at(survey)}?brief=1`);

/** Keep how the survey stands at the office, and what it worked out where that came too. Returns how many photos of this phone have been lost there. */
function keepView(survey: string, reply: Reply<ViewAnswer>, worked: OfficeAnswer | null): Promise<number> {
  const view = need(reply, { contested: 'array', refused: 'array', photos: 'array' });
  return saveView(survey, { contested: view.contested, refused: view.refused.length, photos: view.photos }, worked);
}

const fetchView = async (survey: string): Promise<number> => keepView(survey, await askView(survey), null);

/** Bring the firm's book here as far as it has come; one that is as far is not asked for. */
async function pullBook(there: BookState): Promise<void> {
  await fetchToPhone(BOOK);
  await meetRole(there.role);
  const row = await surveyRow(BOOK);
  const isBehind = !!row && (row.cursor < there.revision || row.reoffer === 1);
  if (isBehind) await pullSurvey(BOOK);
  if (isBehind || row?.contested.length !== there.contested) await fetchView(BOOK);
  await markAtOffice(BOOK, null);
}

/** How a survey stands at the office and what came of it, asked for and on the way. */
interface Coming {
  /** How far this phone had come when it asked. */
  edits: number;
  view: Promise<Reply<ViewAnswer>>;
  assessment: Promise<Reply<AssessmentAnswer>>;
}

const askResults = ({ id, edits }: SurveyRow): Coming => ({
  edits,
  view: askView(id),
  assessment: ask<AssessmentAnswer>(`${at(id)}/assessment`, { patience: 60_000 }),
});

/** Whether what was asked for before the survey's changes came is of the survey as it has come. */
async function isOfNow({ view, assessment }: Coming, cursor: number): Promise<boolean> {
  const answers = await Promise.all([view, assessment]);
  return answers.every((reply) => reply.kind !== 'ok' || (reply.body?.revision ?? 0) >= cursor);
}

/** Whether a survey's results can be asked for before its changes have come: what is to be offered again changes them first. */
const isToCome = (row: SurveyRow, there: OfficeSurvey | undefined): boolean =>
  there !== undefined && row.cursor < there.revision && row.reoffer !== 1;

async function fetchResults(row: SurveyRow, early: Coming | null): Promise<number> {
  const coming = early && (await isOfNow(early, row.cursor)) ? early : askResults(row);
  const [view, reply] = await Promise.all([coming.view, coming.assessment]);
  const answer = isGood(reply, WORKED_OUT) ? reply.body : null;
  // In one go, so that a screen reads the survey anew once; how it stands there is kept although its results do not come.
  const lost = await keepView(
    row.id,
    view,
    answer && {
      revision: answer.revision,
      edits: coming.edits,
      ...(answer.book === undefined ? {} : { book: answer.book }),
      ...workedOut(answer),
    },
  );
  need(reply, WORKED_OUT);
  return lost;
}

async function exchange(): Promise<Outcome> {
  const told = await tellOffice();
  if (told.kind === 'not_yet') return { kind: 'no_answer', why: told.why };
  // Whoever has just left wants nothing more of it.
  if (told.kind === 'told') return { kind: 'done', trouble: null };
  await beginExchange();
  const health = need(await ask<{ epoch: string }>('/api/health', { patience: 6_000 }), { epoch: 'string' });
  await meetEpoch(health.epoch);
  let trouble: string | null = null;
  for (const survey of await surveysWaiting()) trouble = (await pushSurvey(survey)) ?? trouble;
  let photoTrouble = await pushPhotos();
  const { surveys, book } = await pullList();
  const known = new Map(surveys.map((survey) => [survey.id, survey]));
  // What the office works out takes it a moment: it does so for the first survey while the firm's book comes.
  const first = (await surveyRows()).find((row) => isToCome(row, known.get(row.id)));
  const ahead = first ? { id: first.id, coming: askResults(first) } : null;
  if (book) await pullBook(book);
  const lost: OfficeSurvey[] = [];
  for (const row of await surveyRows()) {
    const there = known.get(row.id);
    // A survey that the office does not list was never pushed, or nothing of it was taken yet.
    if (!there) continue;
    const isBehind = row.cursor < there.revision || row.reoffer === 1;
    // It works it out while the survey itself comes, too.
    const early = !isToCome(row, there) ? null : ahead?.id === row.id ? ahead.coming : askResults(row);
    if (isBehind) await pullSurvey(row.id);
    const now = await surveyRow(row.id);
    const answered = await answeredAt(row.id);
    const hasNews =
      answered.revision < (now?.cursor ?? 0) ||
      answered.book < (book?.leant_on ?? 0) ||
      now?.contested.length !== there.contested;
    // While somebody is still entering, the results that this fetches are out of date before they come: the exchange that ends it fetches them.
    let again = 0;
    if (now && (isBehind || (hasNews && !(await surveysWaiting()).includes(row.id))))
      again = await fetchResults(now, early);
    else if (now && (await isToldOfPhotos(now, there.photos_missing))) again = await fetchView(row.id);
    if (again > 0) lost.push(there);
    await markAtOffice(row.id, there.latest_report);
  }
  if (lost.length > 0) {
    // What the office has lost is sent again at once, and then looked at again: the word on the screen follows what is there.
    photoTrouble = (await pushPhotos()) ?? photoTrouble;
    for (const there of lost) {
      await fetchView(there.id);
      await markAtOffice(there.id, there.latest_report);
    }
  }
  return photoTrouble === null ? { kind: 'done', trouble } : { kind: 'no_answer', why: photoTrouble };
}

/** Run one exchange. Raises only NotSaved, when the phone's own storage fails. */
export async function syncOnce(): Promise<Outcome> {
  try {
    return await exchange();
  } catch (fault) {
    if (fault instanceof Left) return { kind: 'no_answer', why: 'somebody has signed out meanwhile' };
    if (!(fault instanceof Halt)) throw fault;
    if (fault.outcome.kind === 'sign_in') await askSignIn();
    return fault.outcome;
  }
}
