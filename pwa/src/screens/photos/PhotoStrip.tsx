/**
 * The photos of one record and the camera for one more. Any record's screen can show it:
 *
 *     <PhotoStrip open={open} record={record} />
 */
import { fieldOf } from '../../domain/model.ts';
import type { SurveyRecord } from '../../domain/survey.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { later } from '../../ui/later.tsx';

const Strip = later<PhotoStripProps>(async () => (await import('./PhotoGrid.tsx')).Strip);

export interface PhotoStripProps {
  open: OpenSurvey;
  record: SurveyRecord;
  /** What new photos show; by default what photos of this kind of record usually show. */
  category?: string;
}

export function PhotoStrip(props: PhotoStripProps) {
  return fieldOf('photo', 'of').refers_to?.includes(props.record.kind) ? <Strip {...props} /> : null;
}
