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
 * it then stands in the log before the new one, both from this device.
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
    const earlier = waiting.filter((item) => item.kind === edit.kind && item.record === edit.id && item.field === field);
    const first = earlier[0];
    result.drop.push(...earlier.map((item) => item.id));
    const resolves = edit.resolves === true || earlier.some((item) => item.resolves === true);
    result.add.push({
      id: makeId(), survey: edit.survey, kind: edit.kind, record: edit.id, field, value,
      // A pick answers the values that stand at the office now, not those of when the field was first touched.
      seen: edit.resolves ? (seen[field] ?? 0) : (first?.seen ?? seen[field] ?? 0),
      made_at: madeAt,
      ...(resolves ? { resolves: true } : {}),
    });
  }
  return result;
}
