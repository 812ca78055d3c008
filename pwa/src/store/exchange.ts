/** The store's half of sync: what is offered, what was answered, what came back. Each step is one transaction. */
import type { Table } from 'dexie';
import { pathOf, stampNow, type Change } from '../domain/changes.ts';
import { BOOK, mayWriteBook, type BookState } from '../domain/book.ts';
import { newId } from '../domain/ids.ts';
import { kindOf } from '../domain/model.ts';
import { BYTES_MISSING } from '../domain/photos.ts';
import {
  database,
  putMeta,
  readMeta,
  type AssessmentRow,
  type Contested,
  type OfficeSurvey,
  type PhotoAtOffice,
  type PhotoRow,
  type Problem,
  type RecordRow,
  type SurveyRow,
} from './database.ts';
import { recordKey, type PulledChange } from './rows.ts';
import { keepPhotoToo, noteToo, rewriteToo } from './second.ts';
import { Left, write } from './write.ts';

export interface PushResult {
  id: string;
  status: 'accepted' | 'refused';
  revision: number | null;
  contested: boolean;
  problem: Problem | null;
}

/** Whose exchange it is; undefined before the first. */
let whose: string | null | undefined;

const signedIn = async (): Promise<string | null> => (await readMeta('session'))?.user.email ?? null;

/** From here on what comes from the office is taken for whoever is signed in now, and for nobody else. */
export async function beginExchange(): Promise<void> {
  whose = await signedIn();
}

/** Put something of the office's into the store in one transaction. Raises Left when its person has signed out since the exchange began. */
function take<T>(tables: Table[], work: () => Promise<T>): Promise<T> {
  return write(() =>
    database.transaction('rw', [...tables, database.meta], async () => {
      if (whose !== undefined && whose !== (await signedIn())) throw new Left('Somebody has signed out meanwhile.');
      return work();
    }),
  );
}

/**
 * The oldest waiting changes of a survey, and the epoch that is known. They wait on until an answer names them.
 *
 * From here on the office may have them, and whatever takes their place has to say so: that is noted before they are sent.
 */
export function nextBatch(survey: string, limit: number): Promise<{ changes: Change[]; epoch: string | null }> {
  return write(() =>
    database.transaction('rw', [database.outbox, database.meta], async () => {
      const changes = (await database.outbox.where('survey').equals(survey).sortBy('id')).slice(0, limit);
      const fresh = changes.filter((change) => !change.offered);
      if (fresh.length > 0) await database.outbox.bulkPut(fresh.map((change) => ({ ...change, offered: true })));
      return { changes, epoch: (await readMeta('epoch')) ?? null };
    }),
  );
}

const NO_REASON: Problem = {
  code: 'refused',
  message: 'The office refused it without a reason.',
  field: null,
  record: null,
};

/** Take out of the outbox what the office's answer names, and only that. */
export function applyPush(survey: string, results: readonly PushResult[]): Promise<void> {
  return take([database.outbox, database.sent, database.refused, database.records, database.surveys], async () => {
    const answers = results.filter((result) => result.status === 'accepted' || result.status === 'refused');
    const found = await database.outbox.bulkGet(answers.map((result) => result.id));
    const named = answers.flatMap((result, place) => {
      const change = found[place];
      return change && change.survey === survey ? [{ result, change }] : [];
    });
    const accepted = named.filter(({ result }) => result.status === 'accepted');
    const refused = named.filter(({ result }) => result.status === 'refused');
    await database.sent.bulkPut(accepted.map(({ change }) => ({ path: pathOf(change), survey, change })));
    await database.refused.bulkPut(
      refused.map(({ result, change }) => ({ ...change, problem: result.problem ?? NO_REASON })),
    );
    const records = await recordsByKey(
      survey,
      named.map(({ change }) => change),
    );
    let back = Infinity;
    for (const { change } of refused) {
      const record = records.get(recordKey(survey, change.kind, change.record));
      const known = change.epoch === undefined ? change.seen : 0;
      // What came while it waited was kept off the screen: nobody has seen it, and it is to be shown now.
      if (!record || (record.seen[change.field] ?? 0) <= known) continue;
      record.seen[change.field] = known;
      back = Math.min(back, known);
    }
    for (const { result, change } of accepted) {
      const record = records.get(recordKey(survey, change.kind, change.record));
      if (!record || result.revision === null) continue;
      // A late answer: while ours waited, a newer value was pulled and kept off the screen. Pull again from there, so that it shows.
      if (result.revision < (record.seen[change.field] ?? 0)) back = Math.min(back, result.revision);
      record.seen[change.field] = result.revision;
    }
    if (back < Infinity)
      await database.surveys
        .where('id')
        .equals(survey)
        .modify((row) => {
          row.cursor = Math.min(row.cursor, back);
        });
    await database.records.bulkPut([...records.values()]);
    await database.outbox.bulkDelete(named.map(({ change }) => change.id));
  });
}

/** Records from which on a survey's are read in one go: each that is asked for by its key is a request of its own to the browser. */
const ONE_BY_ONE = 100;

/** The records that these changes are of, by key; those that are not there are left out. */
async function recordsByKey(
  survey: string,
  changes: readonly { kind: string; record: string }[],
): Promise<Map<string, RecordRow>> {
  const keys = [...new Set(changes.map((change) => recordKey(survey, change.kind, change.record)))];
  const wanted = new Set(keys);
  const found =
    keys.length < ONE_BY_ONE
      ? await database.records.bulkGet(keys)
      : (await database.records.where('key').startsWith(`${survey}/`).toArray()).filter(({ key }) => wanted.has(key));
  return new Map(found.flatMap((record) => (record ? [[record.key, record] as const] : [])));
}

/**
 * Put pulled changes and the cursor in together. A field with an own change still waiting keeps the own value, and so does one whose own answer
 * was refused, until somebody has said something newer. What comes a second time stands as it comes: the office may have taken an own answer for another.
 */
export async function applyPull(survey: string, changes: readonly PulledChange[], cursor: number): Promise<void> {
  const from = await take([database.surveys, database.records, database.outbox, database.refused], async () => {
    const own = new Set((await database.outbox.where('survey').equals(survey).toArray()).map(pathOf));
    const refused = new Set((await database.refused.where('survey').equals(survey).toArray()).map(pathOf));
    const records = await recordsByKey(survey, changes);
    for (const change of changes) {
      const key = recordKey(survey, change.kind, change.record);
      const record = records.get(key) ?? { key, survey, kind: change.kind, id: change.record, values: {}, seen: {} };
      records.set(key, record);
      const path = pathOf({ survey, ...change });
      const seen = record.seen[change.field] ?? 0;
      if (seen > change.revision || (seen === change.revision && refused.has(path))) continue;
      record.seen[change.field] = change.revision;
      if (own.has(path)) continue;
      if (change.value === null) delete record.values[change.field];
      else record.values[change.field] = change.value;
    }
    await database.records.bulkPut([...records.values()]);
    const before = (await database.surveys.get(survey))?.cursor ?? 0;
    await database.surveys.update(survey, { cursor });
    return before;
  });
  await noteToo({
    t: 'pulled',
    survey,
    from,
    to: cursor,
    changes: changes.map(({ id, kind, record, field, value, revision }) => ({
      id,
      kind,
      record,
      field,
      value,
      revision,
    })),
  });
}

/**
 * Compare the office's epoch with the one we knew.
 *
 * A new epoch means that the office's database was restored from a copy or made anew: whatever it had acknowledged may be
 * gone. Everything sent from here goes back into the outbox under its own id, cursors start again, and each survey is
 * marked to offer, after the next pull, every field that the office turns out not to know. Returns whether it changed.
 */
export async function meetEpoch(epoch: string): Promise<boolean> {
  if ((await readMeta('epoch')) === epoch) return false;
  const isAnother = await write(() =>
    database.transaction(
      'rw',
      [database.meta, database.surveys, database.records, database.outbox, database.sent, database.photos],
      async () => {
        const known = await readMeta('epoch');
        if (known === epoch) return false;
        await putMeta('epoch', epoch);
        if (known === undefined) return false;
        // Also where a newer one waits: should that one be refused, the earlier has to be at the office as it was said to be.
        const again = (await database.sent.toArray()).map((row): Change => ({ ...row.change, offered: true }));
        await database.outbox.bulkPut(again);
        // What they had seen was counted in the life that is over.
        await database.outbox.toCollection().modify((change) => {
          change.epoch ??= known;
        });
        await database.sent.clear();
        await database.records.toCollection().modify({ seen: {} });
        await database.surveys.toCollection().modify({ cursor: 0, office_at: null, reoffer: 1 });
        await database.photos.where('arrived').equals(1).modify({ arrived: 0 });
        return true;
      },
    ),
  );
  await noteToo({ t: 'epoch', epoch });
  return isAnother;
}

/** After the first whole pull in a new epoch: offer what the office does not know. Returns how many changes that is. */
export function offerUnknown(survey: string): Promise<number> {
  return take([database.surveys, database.records, database.outbox, database.assessments], async () => {
    const role = (await database.surveys.get(survey))?.role;
    const waiting = new Set((await database.outbox.where('survey').equals(survey).toArray()).map(pathOf));
    const madeAt = stampNow();
    const made: Change[] = [];
    for (const record of await database.records.where('survey').equals(survey).toArray()) {
      for (const [field, value] of Object.entries(record.values)) {
        const change = { survey, kind: record.kind, record: record.id, field };
        if ((record.seen[field] ?? 0) > 0 || waiting.has(pathOf(change))) continue;
        if (survey === BOOK && !mayWriteBook(kindOf(record.kind), role)) {
          // Whoever wrote it offers it again; here it was only read.
          delete record.values[field];
          await database.records.put(record);
          continue;
        }
        made.push({ ...change, id: newId(), value, seen: 0, made_at: madeAt });
      }
    }
    await database.outbox.bulkAdd(made);
    await database.surveys.update(survey, { reoffer: 0 });
    // Its revision was counted in the life before: however high, what stands at the office now has not been fetched.
    await database.assessments.update(survey, { revision: 0 });
    return made.length;
  });
}

/**
 * Hold the firm's book to the role of who is signed in. Picked by another one it is forgotten, in the journal as well, and is to be asked for
 * anew: what this role may not see is not to stay here. What waits for the office stays. Returns whether it was.
 */
export async function meetRole(role: string): Promise<boolean> {
  const isAnother = await take(
    [database.surveys, database.records, database.outbox, database.sent],
    async (): Promise<boolean> => {
      const row = await database.surveys.get(BOOK);
      if (!row || row.role === role) return false;
      const before = row.role;
      await database.surveys.put({ ...row, role, ...(before === undefined ? {} : { cursor: 0, contested: [] }) });
      if (before === undefined) return false;
      // Should the phone die before the journal is written anew, the next start does it.
      await putMeta('journal_is_past', newId());
      await database.records.where('survey').equals(BOOK).delete();
      await database.sent.where('survey').equals(BOOK).delete();
      const own = new Map<string, RecordRow>();
      for (const change of await database.outbox.where('survey').equals(BOOK).sortBy('id')) {
        const { kind, record: id, field, value, seen } = change;
        const key = recordKey(BOOK, kind, id);
        const record = own.get(key) ?? { key, survey: BOOK, kind, id, values: {}, seen: {} };
        own.set(key, record);
        if (value !== null) record.values[field] = value;
        if (change.epoch === undefined) record.seen[field] = seen;
      }
      await database.records.bulkPut([...own.values()]);
      return true;
    },
  );
  if (isAnother) await rewriteToo();
  return isAnother;
}

export interface View {
  contested: Contested[];
  refused: number;
  photos: PhotoAtOffice[];
}

/** What the office worked out of a survey, and of what. */
export type OfficeAnswer = Omit<AssessmentRow, 'survey' | 'fetched_at'>;

/** Keep what the office shows of a survey, and with it what it worked out where that came too. Returns how many photos of this phone it has lost: from here on they wait to be sent again. */
export async function saveView(survey: string, view: View, worked: OfficeAnswer | null = null): Promise<number> {
  const again = await take([database.surveys, database.photos, database.assessments], async () => {
    if (worked) await database.assessments.put({ survey, fetched_at: Date.now(), ...worked });
    await database.surveys.update(survey, {
      contested: view.contested,
      refused_at_office: view.refused,
      photos_at_office: view.photos,
    });
    // The office's own list is the last word on which bytes it holds.
    const there = new Map(view.photos.map((photo) => [photo.sha256, photo.arrived]));
    const turned: PhotoRow[] = [];
    await database.photos
      .where('survey')
      .equals(survey)
      .modify((photo) => {
        const isThere = there.get(photo.sha256);
        if (isThere === false && photo.arrived === 1) {
          photo.arrived = 0;
          turned.push({ ...photo });
        } else if (isThere === true && photo.problem?.code === BYTES_MISSING) {
          // This phone had nothing left to send, and somebody else had.
          photo.arrived = 1;
          photo.problem = null;
        }
      });
    return turned;
  });
  for (const row of again) {
    // Its second copy was given up when it arrived.
    const kept = await database.photoBytes.get(row.sha256);
    if (kept) await keepPhotoToo(row.sha256, kept.bytes);
    await noteToo({ t: 'photo', row });
  }
  return again.length;
}

/** Whether the office's list speaks of missing photos that this phone may have, or otherwise than when this phone last looked. */
export async function isToldOfPhotos(row: SurveyRow, missing: number): Promise<boolean> {
  const known = new Set(row.photos_at_office.filter((photo) => !photo.arrived).map((photo) => photo.sha256)).size;
  if (missing !== known) return true;
  return (
    missing > 0 &&
    (await database.photos
      .where('survey')
      .equals(row.id)
      .filter((photo) => photo.arrived === 1)
      .count()) > 0
  );
}

/** What the office says of its list: what changed after `since`, or all of it when it is an office that does not count. */
export interface ListAnswer {
  epoch: string;
  surveys: OfficeSurvey[];
  since?: number;
  cursor?: number;
  more?: boolean;
  count?: number;
  /** How far the firm's book has come; an office from before books says nothing. */
  book?: BookState;
}

/** The number to ask the office's list with: 0 to be told all of it. */
export async function listCursor(): Promise<number> {
  const [list, epoch] = await Promise.all([readMeta('office_surveys'), readMeta('epoch')]);
  return list?.cursor !== undefined && list.epoch === epoch ? list.cursor : 0;
}

/**
 * Put what the office says of its list, asked with `asked`, and the cursor in together.
 *
 * Returns the list as it is held now, and whether there is more to ask for: further pages, or all of it anew when the office has another
 * number of surveys than are held, which means that one has gone away.
 */
export function applyList(answer: ListAnswer, asked: number): Promise<{ surveys: OfficeSurvey[]; more: boolean }> {
  return take([], async () => {
    const list = await readMeta('office_surveys');
    const known = list?.cursor !== undefined && list.epoch === answer.epoch ? list.cursor : 0;
    if (answer.cursor === undefined) {
      await putMeta('office_surveys', { fetched_at: Date.now(), surveys: answer.surveys });
      return { surveys: answer.surveys, more: false };
    }
    // It was asked with a number that does not count in this life of the office's database, or that has been passed since.
    if (asked !== known) return { surveys: list?.surveys ?? [], more: true };
    const more = answer.more === true;
    const before = answer.since === 0 ? [] : list?.told;
    if (
      list &&
      !more &&
      !before &&
      answer.surveys.length === 0 &&
      answer.cursor === known &&
      answer.count === list.surveys.length
    )
      return { surveys: list.surveys, more };
    const rows = new Map((list?.surveys ?? []).map((survey) => [survey.id, survey]));
    for (const survey of answer.surveys) rows.set(survey.id, survey);
    const told = before && [...before, ...answer.surveys.map((survey) => survey.id)];
    const isThere = !more && told ? new Set(told) : null;
    const surveys = [...rows.values()].filter((survey) => !isThere || isThere.has(survey.id)).sort(newestFirst);
    const isOff = !more && answer.count !== undefined && answer.count !== surveys.length;
    await putMeta('office_surveys', {
      fetched_at: Date.now(),
      surveys,
      cursor: isOff ? 0 : answer.cursor,
      epoch: answer.epoch,
      ...(more && told ? { told } : {}),
    });
    // One that has just been told whole and still does not add up is asked another time.
    return { surveys, more: more || (isOff && !told) };
  });
}

function newestFirst(one: OfficeSurvey, other: OfficeSurvey): number {
  const [a, b] = [one.changed_at ?? '', other.changed_at ?? ''];
  if (a !== b) return a < b ? 1 : -1;
  return one.id < other.id ? -1 : 1;
}

/** Note that nothing of this survey waits, if that is so at this moment. */
export function markAtOffice(survey: string, latestReport: number | null): Promise<void> {
  return take([database.surveys, database.outbox, database.photos], async () => {
    const waiting = await database.outbox.where('survey').equals(survey).count();
    const photos = await database.photos
      .where('survey')
      .equals(survey)
      .filter((photo) => photo.arrived === 0)
      .count();
    await database.surveys.update(survey, {
      latest_report: latestReport,
      ...(waiting + photos === 0 ? { office_at: Date.now() } : {}),
    });
  });
}

export async function surveysWaiting(): Promise<string[]> {
  return (await database.outbox.orderBy('survey').uniqueKeys()).map(String);
}

export function surveyRows(): Promise<SurveyRow[]> {
  return database.surveys.toArray();
}

export async function surveyRow(id: string): Promise<SurveyRow | undefined> {
  return database.surveys.get(id);
}

/** The revisions of the survey and of the firm's book that the office's last answer leans on; 0 for none. */
export async function answeredAt(survey: string): Promise<{ revision: number; book: number }> {
  const known = await database.assessments.get(survey);
  return { revision: known?.revision ?? 0, book: known?.book ?? 0 };
}

/** This device's name in the change log; made once. */
export async function deviceName(): Promise<string> {
  const known = await readMeta('device');
  if (known) return known;
  const made = newId();
  await write(() => putMeta('device', made));
  await noteToo({ t: 'device', device: made });
  return made;
}
