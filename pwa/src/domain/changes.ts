/** Changes: one field of one record set to one value, the unit of sync. */
import type { Edit } from './survey.ts';
import type { Value } from './model.ts';

export interface Change {
  id: string;
  survey: string;
  kind: string;
  record: string;
  field: string;
  value: Value;
  /** The revision of that field which this device had seen; 0 for none. */
  seen: number;
  made_at: string;
  resolves?: boolean;
  /** The office's epoch in which `seen` was counted; only where that is over, the present one is named once for a whole batch. */
  epoch?: string;
  /** Earlier changes of this field that were offered without an answer: should they arrive after this one, they count no more. */
  replaces?: string[];
  /** It has been sent, so the office may have it. Stays on this phone. */
  offered?: true;
}

/** This moment as the office takes it: in UTC, to the second. */
export function stampNow(): string {
  return new Date().toISOString().replace(/\.\d+Z$/, 'Z');
}

/** The newest so many are named; the office takes no more. */
const MOST_REPLACED = 100;

/** A change as it goes to the office. */
export function asSent({ survey: _survey, offered: _offered, ...change }: Change): Omit<Change, 'survey' | 'offered'> {
  return change;
}

export function pathOf(change: { survey: string; kind: string; record: string; field: string }): string {
  return `${change.survey}/${change.kind}/${change.record}/${change.field}`;
}

export interface Coalesced {
  add: Change[];
  /** Ids of waiting changes that are replaced. */
  drop: string[];
}

/**
 * Turn one edit into waiting changes.
 *
 * A waiting change of the same field is replaced under a new id, and hands on the revision it had seen: the office has to judge
 * the whole time between. Content never changes under an id, since the office may already have the one that is replaced;
 * it then stands in the log before the new one, both from this device. Should it come there later than the new one, that one has named it.
 */
export function coalesce(
  edit: Edit & { survey: string; resolves?: boolean },
  waiting: readonly Change[],
  seen: Readonly<Record<string, number>>,
  makeId: () => string,
  madeAt: string,
): Coalesced {
  const result: Coalesced = { add: [], drop: [] };
  for (const [field, value] of Object.entries(edit.values)) {
    const earlier = waiting.filter(
      (item) => item.kind === edit.kind && item.record === edit.id && item.field === field,
    );
    const first = earlier[0];
    result.drop.push(...earlier.map((item) => item.id));
    const resolves = edit.resolves === true || earlier.some((item) => item.resolves === true);
    const replaces = earlier
      .flatMap((item) => [...(item.replaces ?? []), ...(item.offered ? [item.id] : [])])
      .slice(-MOST_REPLACED);
    result.add.push({
      id: makeId(),
      survey: edit.survey,
      kind: edit.kind,
      record: edit.id,
      field,
      value,
      // A pick answers the values that stand at the office now, not those of when the field was first touched.
      seen: edit.resolves ? (seen[field] ?? 0) : (first?.seen ?? seen[field] ?? 0),
      made_at: madeAt,
      ...(resolves ? { resolves: true } : {}),
      ...(!edit.resolves && first?.epoch !== undefined ? { epoch: first.epoch } : {}),
      ...(replaces.length > 0 ? { replaces } : {}),
    });
  }
  return result;
}
