/** Surveys and their records on this phone: every edit and its change go in together, or not at all. */
import { coalesce, pathOf, stampNow, type Change } from '../domain/changes.ts';
import { DEMO } from '../domain/demo.ts';
import { newId, singleId } from '../domain/ids.ts';
import { kindOf, type Values } from '../domain/model.ts';
import { SIZES, withoutSaidAgain } from '../domain/sizes.ts';
import { Survey, type Edit } from '../domain/survey.ts';
import { database, type RecordRow, type SurveyRow } from './database.ts';
import type { Line } from './journal/lines.ts';
import { lockedHashes } from './locked.ts';
import { askToPersist } from './persistence.ts';
import { emptySurvey, recordKey } from './rows.ts';
import { noteToo } from './second.ts';
import { NotSaved, write } from './write.ts';
import { mayWrite } from './writer.ts';

const CHANGING = () =>
  [database.surveys, database.records, database.outbox, database.refused, database.assessments] as const;

const newSurvey = (id: string): SurveyRow => ({ ...emptySurvey(id), born: newId() });
const lineOf = (row: SurveyRow): Line => ({
  t: 'survey',
  survey: row.id,
  born: row.born ?? '',
  created_at: row.created_at,
});

/** Start a survey on this phone; the office learns of it with the first change. Returns its id. */
export async function startSurvey(values: Values = {}): Promise<string> {
  const id = newId();
  const row = newSurvey(id);
  const line = await write(() =>
    database.transaction('rw', [...CHANGING()], async () => {
      await database.surveys.add(row);
      return applyEdits(id, [
        {
          kind: 'survey',
          id: singleId(id, 'survey'),
          values: Object.keys(values).length > 0 ? values : { deleted: false },
        },
      ]);
    }),
  );
  await noteToo(lineOf(row), ...(line ? [line] : []));
  void askToPersist();
  return id;
}

/** Put a survey of the office on this phone, empty until the next exchange fills it. */
export async function fetchToPhone(id: string): Promise<void> {
  const row = newSurvey(id);
  const isNew = await write(() =>
    database.transaction('rw', database.surveys, async () => {
      if (await database.surveys.get(id)) return false;
      await database.surveys.add(row);
      return true;
    }),
  );
  if (isNew) await noteToo(lineOf(row));
}

/** Edits worked out from what is stored at the moment of writing: what a screen shows may be an answer behind. */
export type Build = (present: Survey<RecordRow>) => readonly Edit[];

/** Write edits of one survey in one transaction, and note them in the journal. Resolves when they are on the phone's storage; else raises NotSaved. */
export function saveEdits(survey: string, edits: readonly Edit[] | Build, resolves = false): Promise<void> {
  return saveBuilt(
    survey,
    async () => (typeof edits === 'function' ? edits(new Survey(survey, await recordsEver(survey))) : edits),
    resolves,
  );
}

/** Change one record by what it holds at the moment of writing: its lists above all, each of which is one answer. Resolves and raises as `saveEdits` does. */
export function changeRecord(
  survey: string,
  kind: string,
  id: string,
  change: (present: Values) => Values,
): Promise<void> {
  return saveBuilt(survey, async () => [
    { kind, id, values: change((await database.records.get(recordKey(survey, kind, id)))?.values ?? {}) },
  ]);
}

/** As `saveEdits`, of edits that are read from the store inside the transaction that writes them. */
export async function saveBuilt(
  survey: string,
  build: () => Promise<readonly Edit[]>,
  resolves = false,
): Promise<void> {
  if (!mayWrite(survey))
    throw new NotSaved('this survey is being written in another tab of this phone. Choose to write here first.', null);
  const line = await write(() =>
    database.transaction('rw', [...CHANGING()], async () => {
      const edits = (await withoutSizesSaidAgain(survey, await build(), resolves)).filter(
        (edit) => Object.keys(edit.values).length > 0,
      );
      return edits.length === 0 ? null : applyEdits(survey, edits, resolves);
    }),
  );
  if (!line) return;
  await noteToo(line);
  void askToPersist();
}

/** A side of a room stores no size that its room's box says already, by what is stored at this moment. */
async function withoutSizesSaidAgain(
  survey: string,
  edits: readonly Edit[],
  resolves: boolean,
): Promise<readonly Edit[]> {
  const isSized = (edit: Edit) =>
    edit.kind === 'surface' && SIZES.some((name) => typeof edit.values[name] === 'number');
  // A pick is one of the values that are contested, to the letter.
  if (resolves || !edits.some(isSized)) return edits;
  const stored = async (kind: string, id: string): Promise<Values | undefined> =>
    (await database.records.get(recordKey(survey, kind, id)))?.values;
  const settled: Edit[] = [];
  for (const edit of edits) {
    if (!isSized(edit)) {
      settled.push(edit);
      continue;
    }
    const surface = await stored('surface', edit.id);
    const room = String(edit.values['room'] ?? surface?.['room']);
    const said = edits.filter((other) => other.kind === 'room' && other.id === room).map((other) => other.values);
    const before = await stored('room', room);
    settled.push(
      withoutSaidAgain(
        edit,
        surface,
        before || said.length > 0 ? (Object.assign({ ...before }, ...said) as Values) : undefined,
      ),
    );
  }
  return settled;
}

async function applyEdits(survey: string, edits: readonly Edit[], resolves = false): Promise<Line | null> {
  const paths = new Set(
    edits.flatMap((edit) =>
      Object.keys(edit.values).map((field) => pathOf({ survey, kind: edit.kind, record: edit.id, field })),
    ),
  );
  const isTouched = (change: Change) => paths.has(pathOf(change));
  // Asked all at once, and the waiting by record: after a day without signal thousands wait, and an edit touches a handful.
  const [row, found, own, refused] = await Promise.all([
    database.surveys.get(survey),
    database.records.bulkGet([...new Set(edits.map((edit) => recordKey(survey, edit.kind, edit.id)))]),
    database.outbox
      .where('[survey+kind+record]')
      .anyOf(edits.map((edit) => [survey, edit.kind, edit.id]))
      .toArray(),
    database.refused.where('survey').equals(survey).toArray(),
  ]);
  if (!row) throw new Error('This survey is not on this phone any more.');
  const records = new Map(found.flatMap((record) => (record ? [[record.key, record] as const] : [])));
  const before = own.filter(isTouched);
  const waiting = new Map<string, Change[]>();
  for (const change of before) waiting.set(pathOf(change), [...(waiting.get(pathOf(change)) ?? []), change]);
  const madeAt = stampNow();
  for (const edit of edits) {
    const key = recordKey(survey, edit.kind, edit.id);
    const record = records.get(key) ?? { key, survey, kind: edit.kind, id: edit.id, values: {}, seen: {} };
    records.set(key, record);
    for (const [name, value] of Object.entries(edit.values)) {
      if (value === null) delete record.values[name];
      else record.values[name] = value;
      const path = pathOf({ survey, kind: edit.kind, record: edit.id, field: name });
      waiting.set(
        path,
        coalesce(
          { survey, kind: edit.kind, id: edit.id, values: { [name]: value }, resolves },
          waiting.get(path) ?? [],
          record.seen,
          newId,
          madeAt,
        ).add,
      );
    }
  }
  // What is tried on the demo house is kept here and waits for nobody; the second store has no need of it.
  const isDemo = survey === DEMO;
  const made = isDemo ? [] : [...waiting.values()].flat();
  const contested = resolves ? row.contested.filter((item) => !paths.has(pathOf({ survey, ...item }))) : row.contested;
  await Promise.all([
    database.records.bulkPut([...records.values()]),
    database.outbox.bulkDelete(before.map((change) => change.id)),
    database.outbox.bulkAdd(made),
    // A new answer takes the place of one that the office refused.
    database.refused.bulkDelete(refused.filter(isTouched).map((item) => item.id)),
    database.surveys.put({ ...row, edits: row.edits + 1, contested }),
  ]);
  return isDemo ? null : { t: 'edit', survey, born: row.born ?? '', edits: row.edits + 1, changes: made };
}

/** Every record of a survey that was ever on this phone, those that were taken away too. */
export function recordsEver(survey: string): Promise<RecordRow[]> {
  // By the beginning of the key, which the browser reads quicker than by the index.
  return database.records.where('key').startsWith(`${survey}/`).toArray();
}

/** The edit that makes a record: an empty one is made by saying that it is not deleted. */
export function newRecord(survey: string, kind: string, values: Values): Edit {
  const id = kindOf(kind).single ? singleId(survey, kind) : newId();
  return { kind, id, values: Object.keys(values).length > 0 ? values : { deleted: false } };
}

/**
 * Take a survey off this phone. Refuses while anything of it has not reached the office.
 */
export async function removeFromPhone(survey: string): Promise<{ removed: boolean; why: string }> {
  const tables = [
    database.surveys,
    database.records,
    database.outbox,
    database.sent,
    database.refused,
    database.photos,
    database.photoBytes,
    database.stamps,
    database.assessments,
    database.live,
    database.locked,
  ];
  const held = async (): Promise<string> => {
    const waiting = await database.outbox.where('survey').equals(survey).count();
    const refused = await database.refused.where('survey').equals(survey).count();
    const photos = await database.photos
      .where('survey')
      .equals(survey)
      .filter((photo) => photo.arrived === 0)
      .count();
    return waiting + refused + photos > 0
      ? `${waiting} changes, ${refused} refused answers and ${photos} photos are on this phone only.`
      : '';
  };
  const why = await held();
  if (why) return { removed: false, why };
  // The journal goes first: else the next start would bring back what a person took off.
  await noteToo({ t: 'gone', survey });
  return write(() =>
    database.transaction('rw', tables, async () => {
      const newer = await held();
      if (newer) return { removed: false, why: newer };
      const photos = await database.photos.where('survey').equals(survey).toArray();
      // Small copies of the office's photos lie under the hashes that its records name.
      const shown = (await recordsEver(survey)).flatMap((record) =>
        typeof record.values['sha256'] === 'string' ? [record.values['sha256']] : [],
      );
      for (const table of [database.records, database.sent, database.photos])
        await table.where('survey').equals(survey).delete();
      await database.assessments.delete(survey);
      await database.live.delete(survey);
      await database.surveys.delete(survey);
      const kept = new Set([
        ...(await database.photos.toArray()).map((photo) => photo.sha256),
        ...(await lockedHashes()),
      ]);
      const gone = [...photos.map((photo) => photo.sha256), ...shown].filter((hash) => !kept.has(hash));
      await database.photoBytes.bulkDelete(gone);
      await database.stamps.bulkDelete(gone);
      return { removed: true, why: '' };
    }),
  );
}
