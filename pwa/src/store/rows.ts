/** The rows of the store as they begin, and their keys. */
import type { SurveyRow } from './database.ts';

export const recordKey = (survey: string, kind: string, id: string): string => `${survey}/${kind}/${id}`;

export function emptySurvey(id: string): SurveyRow {
  return {
    id, created_at: Date.now(), cursor: 0, office_at: null, edits: 0, contested: [], refused_at_office: 0,
    photos_at_office: [], latest_report: null, reoffer: 0,
  };
}
