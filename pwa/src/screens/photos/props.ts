/** What the strip of a record's photos is given. */
import type { SurveyRecord } from '../../domain/survey.ts';
import type { OpenSurvey } from '../../store/live.ts';

export interface PhotoStripProps {
  open: OpenSurvey;
  record: SurveyRecord;
  /** What new photos show; by default what photos of this kind of record usually show. */
  category?: string;
}
