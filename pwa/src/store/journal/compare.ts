/** Database and journal compared, each brought up to what the other knows. */
import { DEMO } from '../../domain/demo.ts';
import { pathOf, type Change } from '../../domain/changes.ts';
import {
  database,
  dropMeta,
  putMeta,
  readMeta,
  type LockedRow,
  type PhotoRow,
  type Session,
  type SurveyRow,
} from '../database.ts';
import { sha256Of } from '../hash.ts';
import { lockedHashes } from '../locked.ts';
import { takeOverSizes } from '../old_sizes.ts';
import { takeOverUnits } from '../old_units.ts';
import { write } from '../write.ts';
import { fell, hasJournal, journalState, locked, onRewrite, order, rewriteNow, startedAt } from './client.ts';
import type { Decoded, Line } from './lines.ts';
import { applyChanges, compareSurvey, keptOf, replay, step, type Kept, type Replayed } from './replay.ts';

/** Surveys that are wholly at the office are kept in the journal too, the newest first, up to so many bytes. */
const AT_OFFICE_BYTES = 4_000_000;

async function wholeOf(row: SurveyRow): Promise<Line & { t: 'whole' }> {
  const of = row.id;
  const [records, outbox, refused, photos] = await Promise.all([
    database.records.where('survey').equals(of).toArray(),
    database.outbox.where('survey').equals(of).toArray(),
    database.refused.where('survey').equals(of).toArray(),
    database.photos
      .where('survey')
      .equals(of)
      .filter((photo) => photo.arrived === 0)
      .toArray(),
  ]);
  const waiting = [...refused.map(({ problem: _problem, ...change }) => change), ...outbox];
  return { t: 'whole', row, records, waiting, photos };
}

/** All that the journal has to hold, from the database. */
export function linesOfDatabase(): Promise<Line[]> {
  return database.transaction(
    'r',
    [
      database.meta,
      database.surveys,
      database.records,
      database.outbox,
      database.refused,
      database.photos,
      database.locked,
    ],
    async () => {
      const [session, leaving, device, epoch, rows, locked] = await Promise.all([
        readMeta('session'),
        readMeta('leaving'),
        readMeta('device'),
        readMeta('epoch'),
        database.surveys.toArray(),
        database.locked.toArray(),
      ]);
      const lines: Line[] = [];
      if (session) lines.push({ t: 'session', session });
      else if (rows.length === 0) lines.push({ t: 'signed_out', leaving: leaving ?? null });
      if (device) lines.push({ t: 'device', device });
      if (epoch) lines.push({ t: 'epoch', epoch });
      for (const work of locked) lines.push({ t: 'locked', work });
      let atOffice = 0;
      for (const row of rows.filter(({ id }) => id !== DEMO).sort((a, b) => b.created_at - a.created_at)) {
        const whole = await wholeOf(row);
        if (whole.waiting.length + whole.photos.length === 0 && row.reoffer === 0) {
          atOffice += JSON.stringify(whole).length;
          if (atOffice > AT_OFFICE_BYTES) {
            // Only its name is kept: it comes back from the office.
            lines.push({ t: 'survey', survey: row.id, born: row.born ?? '', created_at: row.created_at });
            continue;
          }
        }
        lines.push(whole);
      }
      return lines;
    },
  );
}

onRewrite(async () => {
  const past = await readMeta('journal_is_past');
  const size = await order<number>({ do: 'rewrite', lines: await linesOfDatabase() });
  if (past !== undefined) {
    await write(() =>
      database.transaction('rw', database.meta, async () => {
        // Another one may have signed out meanwhile, whom these lines do not know of.
        if ((await readMeta('journal_is_past')) === past) await dropMeta('journal_is_past');
      }),
    );
  }
  return size;
});

export interface Compared {
  /** Titles are the screen's business: these are ids of surveys that were brought back or brought forward. */
  restored: string[];
  torn_bytes: number;
  damaged: number;
}

const NOTHING: Compared = { restored: [], torn_bytes: 0, damaged: 0 };
let comparing: Promise<Compared> | null = null;

/** Compare once for each start of the app; whoever asks later hears the same answer. Never raises. */
export function compareOnce(): Promise<Compared> {
  return (comparing ??= compare().catch((fault: unknown) => {
    if (hasJournal()) fell(fault);
    else journalState.value = { kind: 'none' };
    return NOTHING;
  }));
}

export async function compare(): Promise<Compared> {
  if (!hasJournal()) {
    journalState.value = { kind: 'none' };
    return NOTHING;
  }
  const found = await locked(async () => {
    const lockedHere = new Set(await database.locked.toCollection().primaryKeys());
    const read = await order<Decoded & { torn: number }>({ do: 'read' });
    // What it held was signed out here, and the phone died before it was written anew.
    const past = await readMeta('journal_is_past');
    const isPast = past !== undefined;
    const said = replay(isPast ? [] : read.lines);
    const session = await readMeta('session');
    const isAnothers = session !== undefined && said.session !== null && said.session.user.email !== session.user.email;
    for (const work of [...said.locked, ...(isAnothers ? lockedFrom(said, said.session!.user.email) : [])])
      // What was here a moment ago and is not any more has been given back to its person.
      if (!lockedHere.has(work.key)) await bringLocked(work);
    const restored = isAnothers ? [] : await bringForward(said, read.lines, past);
    const rows = await database.surveys.where('id').notEqual(DEMO).toArray();
    const isBehind =
      isPast ||
      isAnothers ||
      rows.some((row) => compareSurvey(row, said.surveys.get(row.id)) !== 'agree') ||
      ((await readMeta('session')) !== undefined && said.session === null) ||
      (await readMeta('device')) !== (said.device ?? undefined) ||
      (await readMeta('epoch')) !== (said.epoch ?? undefined);
    return { read, restored, isBehind };
  });
  if (found.isBehind || found.restored.length > 0 || found.read.damaged > 0) await rewriteNow();
  else startedAt(found.read.end);
  await tidyPhotos();
  return { restored: found.restored, torn_bytes: found.read.torn, damaged: found.read.damaged };
}

/**
 * Whether nobody has signed out or in since the journal was read: what it said of them is past from that transaction on, and does not come
 * back. Asked inside each transaction that brings something of it here; the mark stays until the journal is written anew, which waits for the
 * comparison to end.
 */
const isStill = async (past: string | undefined): Promise<boolean> => (await readMeta('journal_is_past')) === past;

/** Bring the database to what the journal knows beyond it. Returns the surveys that this was needed for. */
async function bringForward(said: Replayed, lines: readonly Line[], past: string | undefined): Promise<string[]> {
  await write(() =>
    database.transaction('rw', database.meta, async () => {
      if (!(await isStill(past))) return;
      if (said.session && !(await readMeta('session'))) await putMeta('session', said.session satisfies Session);
      if (said.leaving && !(await readMeta('session')) && !(await readMeta('leaving')))
        await putMeta('leaving', said.leaving);
      if (said.device && !(await readMeta('device'))) await putMeta('device', said.device);
      if (said.epoch && !(await readMeta('epoch'))) await putMeta('epoch', said.epoch);
    }),
  );
  const restored: string[] = [];
  for (const [id, kept] of said.surveys) {
    const verdict = compareSurvey(await database.surveys.get(id), kept);
    if (verdict !== 'database behind' && verdict !== 'two lives') continue;
    const bytes = await bytesFor(kept.photos.values());
    const isChanged = await write(() =>
      database.transaction(
        'rw',
        [
          database.meta,
          database.surveys,
          database.records,
          database.outbox,
          database.sent,
          database.refused,
          database.photos,
          database.photoBytes,
          database.assessments,
          database.live,
        ],
        async (transaction) => {
          if (!(await isStill(past))) return false;
          const row = await database.surveys.get(id);
          const before =
            row &&
            keptOf(
              row,
              await database.records.where('survey').equals(id).toArray(),
              await database.outbox.where('survey').equals(id).toArray(),
              await database.photos.where('survey').equals(id).toArray(),
            );
          const after = before ? forward(before, kept, lines, await pathsHere(id)) : kept;
          if (!after) return false;
          await database.surveys.put(after.row);
          await database.records.bulkPut([...after.records.values()]);
          // Whether they were sent before the database was lost, nobody knows: the office may have them.
          await database.outbox.bulkPut(
            [...after.waiting.values()].map((change): Change => ({ ...change, offered: true })),
          );
          await database.outbox.bulkDelete(
            [...(before?.waiting.values() ?? [])]
              .filter((change) => after.waiting.get(pathOf(change))?.id !== change.id)
              .map((change) => change.id),
          );
          for (const photo of after.photos.values()) {
            const kept = bytes.get(photo.sha256);
            if (!kept || (await database.photos.get(photo.key))) continue;
            await database.photoBytes.put({ sha256: photo.sha256, bytes: kept, media_type: photo.media_type });
            await database.photos.put(photo);
          }
          // The journal may have been written by an app that stored the size of every side, and a unit's data at its place.
          await takeOverSizes(transaction, id);
          await takeOverUnits(transaction, id);
          return true;
        },
      ),
    );
    if (isChanged) restored.push(id);
  }
  return restored;
}

/** What the journal knows of another person's unsent work: it is locked to that person. */
function lockedFrom(said: Replayed, email: string): LockedRow[] {
  return [...said.surveys.values()]
    .filter((kept) => kept.waiting.size + kept.photos.size > 0)
    .map(({ row, waiting, photos }) => ({
      key: `${email}/${row.id}`,
      email,
      survey: row.id,
      born: row.born ?? '',
      created_at: row.created_at,
      edits: row.edits,
      epoch: said.epoch,
      // Whether they were sent, nobody knows: the office may have them.
      changes: [...waiting.values()].map((change): Change => ({ ...change, offered: true })),
      refused: [],
      photos: [...photos.values()].filter((photo) => photo.arrived === 0),
      hashes: [],
    }));
}

/** Locked work that the database has lost lies there again, as locked as before. */
async function bringLocked(work: LockedRow): Promise<void> {
  if (await database.locked.get(work.key)) return;
  const bytes = await bytesFor(work.photos);
  await write(() =>
    database.transaction('rw', [database.locked, database.photoBytes], async () => {
      const photos = work.photos.filter((photo) => bytes.has(photo.sha256));
      await database.locked.put({ ...work, photos, hashes: photos.map((photo) => photo.sha256) });
      await database.photoBytes.bulkPut(
        photos.map((photo) => ({
          sha256: photo.sha256,
          bytes: bytes.get(photo.sha256)!,
          media_type: photo.media_type,
        })),
      );
    }),
  );
}

/** The state after what the journal knows more; null when that is nothing. */
function forward(before: Kept, kept: Kept, lines: readonly Line[], own: ReadonlySet<string>): Kept | null {
  const id = before.row.id;
  if ((before.row.born ?? '') !== (kept.row.born ?? '')) {
    // Fetched again since: only what has not reached the office is of use, where nothing newer was said here.
    const missing = [...kept.waiting].filter(([path]) => !own.has(path)).map(([, change]) => change);
    const photos = [...kept.photos].filter(([key]) => !before.photos.has(key));
    if (missing.length + photos.length === 0) return null;
    applyChanges(before, before.row.edits + 1, missing);
    for (const [key, photo] of photos) before.photos.set(key, photo);
    return before;
  }
  if (before.row.edits >= kept.row.edits) return null;
  const last = lines.findLastIndex((line) => line.t === 'whole' && line.row.id === id);
  const whole = lines[last];
  if (whole?.t === 'whole' && whole.row.edits > before.row.edits) {
    // The database fell behind the journal's last whole picture of the survey: that picture stands, over what else is here.
    for (const [key, record] of before.records) if (!kept.records.has(key)) kept.records.set(key, record);
    kept.row.cursor = Math.min(kept.row.cursor, before.row.cursor);
    return kept;
  }
  const edits = before.row.edits;
  for (const line of lines.slice(last + 1)) {
    const isOfIt = line.t === 'photo' ? line.row.survey === id : 'survey' in line && line.survey === id;
    if (isOfIt && !(line.t === 'edit' && line.edits <= edits)) step(before, line);
  }
  return before;
}

/** Paths that this phone has said something about, waiting, sent or refused. */
async function pathsHere(survey: string): Promise<Set<string>> {
  const [outbox, sent, refused] = await Promise.all([
    database.outbox.where('survey').equals(survey).toArray(),
    database.sent.where('survey').equals(survey).toArray(),
    database.refused.where('survey').equals(survey).toArray(),
  ]);
  return new Set([...outbox.map(pathOf), ...sent.map((row) => row.path), ...refused.map(pathOf)]);
}

/** The photos' bytes as far as the journal has them unharmed. */
async function bytesFor(photos: Iterable<PhotoRow>): Promise<Map<string, ArrayBuffer>> {
  const found = new Map<string, ArrayBuffer>();
  for (const photo of photos) {
    const bytes = await order<ArrayBuffer | null>({ do: 'photo', sha256: photo.sha256 });
    if (bytes && (await sha256Of(bytes)) === photo.sha256) found.set(photo.sha256, bytes);
  }
  return found;
}

/** Bytes that the office has, or that nobody wants any more, need no second place; those without one get it. */
export async function tidyPhotos(): Promise<void> {
  const rows = await database.photos.where('arrived').equals(0).toArray();
  const wanted = new Set([...rows.map((photo) => photo.sha256), ...(await lockedHashes())]);
  const there = new Set(await order<string[]>({ do: 'photoNames' }));
  const useless = [...there].filter((name) => !wanted.has(name));
  if (useless.length > 0) await order({ do: 'dropPhotos', hashes: useless });
  for (const sha256 of wanted) {
    if (there.has(sha256)) continue;
    const kept = await database.photoBytes.get(sha256);
    if (kept) await order({ do: 'keepPhoto', sha256, bytes: kept.bytes });
  }
}
