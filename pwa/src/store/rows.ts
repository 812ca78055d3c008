/** The rows of the store as they begin, and their keys. */
import type { Value } from '../domain/model.ts';
import type { PhotoRow, SurveyRow } from './database.ts';

export const recordKey = (survey: string, kind: string, id: string): string => `${survey}/${kind}/${id}`;

export function emptySurvey(id: string): SurveyRow {
  return {
    id,
    created_at: Date.now(),
    cursor: 0,
    office_at: null,
    edits: 0,
    contested: [],
    refused_at_office: 0,
    photos_at_office: [],
    latest_report: null,
    reoffer: 0,
  };
}

export interface HeldCounts {
  changes: number;
  /** Photos that are to be sent; those that the office has turned away count as refused. */
  photos: number;
  refused: number;
}

/** Count what is on this phone only; `photos` are those whose bytes the office has not got. */
export function countHeld({
  changes,
  photos,
  refused,
}: {
  changes: number;
  photos: readonly PhotoRow[];
  refused: number;
}): HeldCounts {
  const turnedAway = photos.filter((photo) => photo.problem !== null).length;
  return { changes, photos: photos.length - turnedAway, refused: refused + turnedAway };
}

/** One change of somebody's that came from the office. */
export interface PulledChange {
  id: string;
  kind: string;
  record: string;
  field: string;
  value: Value;
  revision: number;
}
