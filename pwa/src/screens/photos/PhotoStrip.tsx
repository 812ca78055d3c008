/**
 * The photos of one record and the camera for one more. Any record's screen can show it:
 *
 *     <PhotoStrip open={open} record={record} />
 */
import { fieldOf } from '../../domain/model.ts';
import { later } from '../../ui/later.tsx';
import type { PhotoStripProps } from './props.ts';

const Strip = later<PhotoStripProps>(async () => (await import('./PhotoGrid.tsx')).Strip);

export function PhotoStrip(props: PhotoStripProps) {
  return fieldOf('photo', 'of').refers_to?.includes(props.record.kind) ? <Strip {...props} /> : null;
}
