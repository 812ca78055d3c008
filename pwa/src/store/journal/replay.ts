/** What the lines of the journal come to: surveys with their records, unsent changes and photos. Pure. */
import { pathOf, type Change } from '../../domain/changes.ts';
import type { Leaving, LockedRow, PhotoRow, RecordRow, Session, SurveyRow } from '../database.ts';
import { emptySurvey, recordKey } from '../rows.ts';
import type { Line } from './lines.ts';

export interface Kept {
  row: SurveyRow;
  records: Map<string, RecordRow>;
  /** Own changes that have not come back from the office, by path. One that it has under the same id is answered as before. */
  waiting: Map<string, Change>;
  photos: Map<string, PhotoRow>;
  /** Number of the edit that last set a path. */
  setBy: Map<string, number>;
}

export interface Replayed {
  surveys: Map<string, Kept>;
  epoch: string | null;
  device: string | null;
  session: Session | null;
  leaving: Leaving | null;
  locked: LockedRow[];
}

export function keptOf(
  row: SurveyRow,
  records: readonly RecordRow[],
  waiting: readonly Change[],
  photos: readonly PhotoRow[],
): Kept {
  return {
    row: { ...row },
    records: new Map(
      records.map((record) => [record.key, { ...record, values: { ...record.values }, seen: { ...record.seen } }]),
    ),
    waiting: new Map(waiting.map((change) => [pathOf(change), change])),
    photos: new Map(photos.map((photo) => [photo.key, photo])),
    setBy: new Map(),
  };
}

function recordOf(kept: Kept, kind: string, id: string): RecordRow {
  const key = recordKey(kept.row.id, kind, id);
  const record = kept.records.get(key) ?? { key, survey: kept.row.id, kind, id, values: {}, seen: {} };
  kept.records.set(key, record);
  return record;
}

function put(record: RecordRow, field: string, value: Change['value']): void {
  if (value === null) delete record.values[field];
  else record.values[field] = value;
}

/** Put own changes in, as the edit did that made them. */
export function applyChanges(kept: Kept, edits: number, changes: readonly Change[]): void {
  for (const change of changes) {
    const path = pathOf(change);
    // Two tabs may have written their lines in another order than their edits.
    if ((kept.setBy.get(path) ?? 0) > edits) continue;
    kept.setBy.set(path, edits);
    kept.waiting.set(path, change);
    put(recordOf(kept, change.kind, change.record), change.field, change.value);
  }
  kept.row.edits = Math.max(kept.row.edits, edits);
}

function applyPulled(kept: Kept, line: Line & { t: 'pulled' }): void {
  // After a gap in the journal the office is asked again from where it is whole.
  if (line.from !== kept.row.cursor) return;
  for (const change of line.changes) {
    const path = pathOf({ survey: kept.row.id, ...change });
    const record = recordOf(kept, change.kind, change.record);
    if ((record.seen[change.field] ?? 0) > change.revision) continue;
    record.seen[change.field] = change.revision;
    const own = kept.waiting.get(path);
    if (own && own.id !== change.id) continue;
    kept.waiting.delete(path);
    put(record, change.field, change.value);
  }
  kept.row.cursor = line.to;
}

/** Take one line into a survey that is as far as the lines before. */
export function step(kept: Kept, line: Line): void {
  if (line.t === 'edit') applyChanges(kept, line.edits, line.changes);
  else if (line.t === 'pulled') applyPulled(kept, line);
  else if (line.t === 'photo') kept.photos.set(line.row.key, line.row);
}

export function replay(lines: readonly Line[]): Replayed {
  const found: Replayed = { surveys: new Map(), epoch: null, device: null, session: null, leaving: null, locked: [] };
  let isSignedOut = false;
  const surveyOf = (id: string, born: string): Kept => {
    // Its first line may be what was damaged: what follows it is not thrown away.
    const kept = found.surveys.get(id) ?? keptOf({ ...emptySurvey(id), born, created_at: 0 }, [], [], []);
    found.surveys.set(id, kept);
    return kept;
  };
  for (const line of lines) {
    if (isSignedOut && ['survey', 'whole', 'edit', 'photo', 'pulled'].includes(line.t)) continue;
    switch (line.t) {
      case 'survey':
        if (found.surveys.get(line.survey)?.row.born !== line.born) {
          found.surveys.set(
            line.survey,
            keptOf({ ...emptySurvey(line.survey), born: line.born, created_at: line.created_at }, [], [], []),
          );
        }
        break;
      case 'whole':
        found.surveys.set(line.row.id, keptOf(line.row, line.records, line.waiting, line.photos));
        break;
      case 'edit':
        step(surveyOf(line.survey, line.born), line);
        break;
      case 'photo':
        step(surveyOf(line.row.survey, ''), line);
        break;
      case 'pulled': {
        const kept = found.surveys.get(line.survey);
        if (kept) step(kept, line);
        break;
      }
      case 'gone':
        found.surveys.delete(line.survey);
        break;
      case 'device':
        found.device = line.device;
        break;
      case 'session':
        Object.assign(found, { session: line.session, leaving: null });
        isSignedOut = false;
        break;
      case 'signed_out':
        Object.assign(found, { session: null, leaving: line.leaving });
        found.surveys.clear();
        isSignedOut = true;
        break;
      case 'locked':
        found.locked.push(line.work);
        break;
      case 'epoch':
        if (found.epoch !== null && found.epoch !== line.epoch)
          for (const kept of found.surveys.values()) meetNewEpoch(kept, found.epoch);
        found.epoch = line.epoch;
    }
  }
  return found;
}

function meetNewEpoch(kept: Kept, before: string): void {
  for (const record of kept.records.values()) record.seen = {};
  for (const [path, change] of kept.waiting) kept.waiting.set(path, { ...change, epoch: change.epoch ?? before });
  Object.assign(kept.row, { cursor: 0, office_at: null, reoffer: 1 });
}

export type Verdict = 'agree' | 'database behind' | 'journal behind' | 'two lives';

/** Which of the two knows more of a survey. No clock is asked: edits are numbered within the survey. */
export function compareSurvey(row: SurveyRow | undefined, kept: Kept | undefined): Verdict {
  if (!kept) return 'journal behind';
  if (!row) return 'database behind';
  if ((row.born ?? '') !== (kept.row.born ?? '')) return kept.row.born === '' ? 'journal behind' : 'two lives';
  if (row.edits < kept.row.edits) return 'database behind';
  return row.edits > kept.row.edits ? 'journal behind' : 'agree';
}
