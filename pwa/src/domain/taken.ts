/** What was taken away from a survey, each with what went along, and how it comes back: read from the log's own order, with nothing stored beside it. */
import { keptAfterAll } from './box.ts';
import type { Change } from './changes.ts';
import { model, type Values } from './model.ts';
import type { Edit, Survey, SurveyRecord } from './survey.ts';

/** A record with the place in the log of each field's last change. */
export interface Placed extends SurveyRecord {
  seen: Readonly<Record<string, number>>;
}

/** What waits for the office stands behind all that has a revision there. */
const BEHIND_ALL = 1e12;

/** Records with their places, those too whose change still waits for the office: ids of changes sort by the moment they were made. */
export function placed(records: readonly Placed[], waiting: readonly Change[]): Placed[] {
  const later = new Map<string, Record<string, number>>();
  [...waiting]
    .sort((one, other) => (one.id < other.id ? -1 : 1))
    .forEach((change, rank) => {
      const key = `${change.kind}/${change.record}`;
      later.set(key, { ...later.get(key), [change.field]: BEHIND_ALL + rank });
    });
  return records.map((record) => {
    const more = later.get(`${record.kind}/${record.id}`);
    return more ? { ...record, seen: { ...record.seen, ...more } } : record;
  });
}

export interface Taken {
  record: SurveyRecord;
  /** Where its removal stands in the log. */
  at: number;
  /** What went with it and comes back with it. */
  along: SurveyRecord[];
  /** What it belongs to and is gone too: that has to come back first. */
  first: SurveyRecord | null;
}

const isGone = (record: SurveyRecord): boolean => record.values['deleted'] === true;

/** What a record cannot stand without, where that was taken away. */
function ownerGone(record: SurveyRecord, gone: ReadonlyMap<string, SurveyRecord>): SurveyRecord | null {
  for (const field of model.kinds[record.kind]?.fields ?? []) {
    const owner = field.goes_with ? gone.get(String(record.values[field.name])) : undefined;
    if (owner && field.refers_to?.includes(owner.kind)) return owner;
  }
  return null;
}

/** Everything that was taken away and has not come back, the last first; what went along with something is listed under it. */
export function takenAway(records: readonly Placed[]): Taken[] {
  const gone = new Map(records.filter(isGone).map((record) => [record.id, record]));
  const at = (record: SurveyRecord) => gone.get(record.id)?.seen['deleted'] ?? 0;
  const told = new Set<string>();
  const found: Taken[] = [];
  for (const record of [...gone.values()].sort((one, other) => at(one) - at(other))) {
    if (told.has(record.id) || !model.kinds[record.kind]) continue;
    const along = keptAfterAll(records, record.kind, record.id, at(record)).flatMap((edit) =>
      edit.values['deleted'] === false && edit.id !== record.id ? [gone.get(edit.id)!] : [],
    );
    for (const item of [record, ...along]) told.add(item.id);
    found.push({ record, at: at(record), along, first: ownerGone(record, gone) });
  }
  return found.reverse();
}

/** The edits that bring a record back with all that went along; none when it is there already. */
export function broughtBack(records: readonly Placed[], kind: string, id: string): Edit[] {
  const record = records.find((item) => item.kind === kind && item.id === id);
  return record && isGone(record) ? keptAfterAll(records, kind, id, record.seen['deleted'] ?? 0) : [];
}

/** The edits that undo others, worked out before those are made: what was there before stands again, what is new goes. */
export function inverseOf(present: Survey, edits: readonly Edit[]): Edit[] {
  return edits.map(({ kind, id, values }): Edit => {
    const before = present.find(kind, id);
    return {
      kind,
      id,
      values: before
        ? Object.fromEntries(Object.keys(values).map((name) => [name, before.values[name] ?? null]))
        : { deleted: true },
    };
  });
}

/** Of an undoing, what nobody has answered otherwise since: a later word, here or on another phone, stands. */
export function stillAs(present: Survey, edits: readonly Edit[], inverse: readonly Edit[]): Edit[] {
  return inverse.map((undo, place): Edit => {
    const made = edits[place]!.values;
    const now: Values = present.find(undo.kind, undo.id)?.values ?? {};
    return {
      ...undo,
      values: Object.fromEntries(
        Object.entries(undo.values).filter(
          ([name]) => name === 'deleted' || (now[name] ?? null) === (made[name] ?? null),
        ),
      ),
    };
  });
}
