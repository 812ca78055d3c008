/** What every screen of a survey is given. */
import type { SurveyRecord } from '../domain/survey.ts';
import type { OpenSurvey } from '../store/live.ts';

export interface StageScreenProps {
  open: OpenSurvey;
  query: URLSearchParams;
  /** The rest of the address, for further screens of a survey. */
  path?: string[];
}

export interface RecordScreenProps {
  open: OpenSurvey;
  record: SurveyRecord;
  query: URLSearchParams;
}
