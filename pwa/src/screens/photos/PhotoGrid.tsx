/** The photos of a record with the camera for one more, and the grid that shows photos anywhere. Read with the first screen that shows it. */
import { categoryFor, categoryWords, photoState } from '../../domain/photos.ts';
import type { SurveyRecord } from '../../domain/survey.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { recordLink } from '../../ui/router.ts';
import { Picture } from './Picture.tsx';
import { PhotoMark } from './marks.tsx';
import type { PhotoStripProps } from './props.ts';
import { TakePhoto } from './TakePhoto.tsx';

export function Strip({ open, record, category }: PhotoStripProps) {
  const photos = open.survey.ofKind('photo').filter((photo) => photo.values['of'] === record.id);
  return (
    <section class="sheet" aria-label="Photos">
      <h2>Photos</h2>
      {photos.length > 0 && <PhotoGrid open={open} photos={photos} />}
      <TakePhoto
        survey={open.survey.id}
        of={record.id}
        category={category ?? categoryFor(record.kind)}
        words={photos.length === 0 ? 'Take a photo' : 'Take another'}
      />
    </section>
  );
}

/** Small pictures, each with its caption, where its bytes are, and the way to its own screen. */
export function PhotoGrid({
  open,
  photos,
  of,
}: {
  open: OpenSurvey;
  photos: readonly SurveyRecord[];
  of?: (photo: SurveyRecord) => string;
}) {
  // Looked up once: each of hundreds of photos would else look through hundreds.
  const kept = new Map(open.photos.map((item) => [item.sha256, [item]]));
  const there = new Map(open.row.photos_at_office.map((item) => [item.sha256, [item]]));
  return (
    <ul class="photos">
      {photos.map((photo) => {
        const sha256 = String(photo.values['sha256']);
        const state = photoState(photo, kept.get(sha256) ?? [], there.get(sha256) ?? []);
        const caption = typeof photo.values['caption'] === 'string' ? photo.values['caption'] : '';
        const belongs = of?.(photo) ?? '';
        return (
          <li key={photo.id}>
            <a class="photo" href={recordLink(open.survey.id, 'photo', photo.id)}>
              <Picture
                survey={open.survey.id}
                sha256={photo.values['sha256']}
                strokes={photo.values['strokes']}
                words=""
              />
              <span class="photo-words">
                <b>{caption || categoryWords(photo)}</b>
                {caption && <small>{categoryWords(photo)}</small>}
                {belongs && <small>{belongs}</small>}
                <small class={`photo-state photo-state-${state.state}`}>
                  <PhotoMark state={state.state} /> <span>{state.words}</span>
                </small>
              </span>
            </a>
          </li>
        );
      })}
    </ul>
  );
}
