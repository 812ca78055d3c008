/** The photos of a record with the camera for one more, and the grid that shows photos anywhere. Read with the first screen that shows it. */
import { useMemo } from 'preact/hooks';
import { categoryFor, categoryWords, photoState, type PhotoState } from '../../domain/photos.ts';
import type { Survey, SurveyRecord } from '../../domain/survey.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { useTurns } from '../../ui/InTurns.tsx';
import { leaveRow } from '../../ui/lists.ts';
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

/** So many photos are drawn in a turn: a long list stands in full from the first drawing on, and is filled from its top. */
const IN_A_TURN = 48;

/**
 * Small pictures, each with its caption, where its bytes are, and the way to its own screen.
 *
 * @param of the record that a photo belongs to, in words; the same function at each drawing
 */
export function PhotoGrid({
  open,
  photos,
  of,
}: {
  open: OpenSurvey;
  photos: readonly SurveyRecord[];
  of?: (survey: Survey, photo: SurveyRecord) => string;
}) {
  // Looked up once: each of hundreds of photos would else look through hundreds.
  const kept = useMemo(() => byHash(open.photos), [open.photos]);
  const there = useMemo(() => byHash(open.row.photos_at_office), [open.row.photos_at_office]);
  const filled = useTurns(Math.ceil(photos.length / IN_A_TURN), 1) * IN_A_TURN;
  return (
    <ul class="photos">
      {photos.map((photo, place) => {
        if (place >= filled) return <li key={photo.id} />;
        const sha256 = String(photo.values['sha256']);
        const state = photoState(photo, kept.get(sha256) ?? [], there.get(sha256) ?? []);
        return (
          <OnePhoto
            key={photo.id}
            survey={open.survey.id}
            photo={photo}
            belongs={of?.(open.survey, photo) ?? ''}
            state={state.state}
            words={state.words}
          />
        );
      })}
    </ul>
  );
}

const byHash = <T extends { sha256: string }>(items: readonly T[]): ReadonlyMap<string, readonly T[]> =>
  new Map(items.map((item) => [item.sha256, [item]]));

interface OnePhotoProps extends Pick<PhotoState, 'state' | 'words'> {
  survey: string;
  photo: SurveyRecord;
  belongs: string;
}

/** Drawn anew only when something of it has changed: the list is drawn at each of its turns, and again for every photo that is sent. */
function OnePhoto({ survey, photo, belongs, state, words }: OnePhotoProps) {
  const { caption: said, sha256, strokes } = photo.values;
  const caption = typeof said === 'string' ? said : '';
  const category = categoryWords(photo);
  return useMemo(
    () => (
      <li>
        <a class="photo" href={recordLink(survey, 'photo', photo.id)} onClick={leaveRow}>
          <Picture survey={survey} sha256={sha256} strokes={strokes} words="" />
          <span class="photo-words">
            <b>{caption || category}</b>
            {caption && <small>{category}</small>}
            {belongs && <small>{belongs}</small>}
            <small class={`photo-state photo-state-${state}`}>
              <PhotoMark state={state} /> <span>{words}</span>
            </small>
          </span>
        </a>
      </li>
    ),
    [survey, photo.id, sha256, JSON.stringify(strokes ?? null), caption, category, belongs, state, words],
  );
}
