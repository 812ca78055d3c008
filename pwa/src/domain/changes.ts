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
}

/** A change that waits on this phone. Once offered, its content is fixed: the office may already have it. */
export interface Waiting extends Change {
  offered: 0 | 1;
}

export function pathOf(change: { survey: string; kind: string; record: string; field: string }): string {
  return `${change.survey}/${change.kind}/${change.record}/${change.field}`;
}

export interface Coalesced {
  add: Waiting[];
  /** Ids of changes that are replaced before they ever left the phone. */
  drop: string[];
}

/**
 * Turn one edit into waiting changes.
 *
 * A change of the same field that was never offered is replaced, and hands on the revision it had seen: the office has to
 * judge the whole time between. One that was offered stays as it is, since a repeated id with other content is refused.
 */
export function coalesce(
  edit: Edit & { survey: string; resolves?: boolean },
  waiting: readonly Waiting[],
  seen: Readonly<Record<string, number>>,
  makeId: () => string,
  madeAt: string,
): Coalesced {
  const result: Coalesced = { add: [], drop: [] };
  for (const [field, value] of Object.entries(edit.values)) {
    const earlier = waiting.filter((item) => item.kind === edit.kind && item.record === edit.id && item.field === field);
    const unsent = earlier.filter((item) => item.offered === 0);
    const first = earlier[0];
    result.drop.push(...unsent.map((item) => item.id));
    const resolves = edit.resolves === true || unsent.some((item) => item.resolves === true);
    result.add.push({
      id: makeId(), survey: edit.survey, kind: edit.kind, record: edit.id, field, value,
      // A pick answers the values that stand at the office now, not those of when the field was first touched.
      seen: edit.resolves ? (seen[field] ?? 0) : (first?.seen ?? seen[field] ?? 0),
      made_at: madeAt, offered: 0,
      ...(resolves ? { resolves: true } : {}),
    });
  }
  return result;
}
