/** The photos of a survey: first what the job still wants to see, then everything taken. */
import { useEffect, useState } from 'preact/hooks';
import {
  categoryFor,
  categoryWords,
  lostPhotos,
  sentWords,
  wantedPhotos,
  type WantedPhoto,
} from '../../domain/photos.ts';
import { fieldOf, model } from '../../domain/model.ts';
import type { Survey, SurveyRecord } from '../../domain/survey.ts';
import { recordWords } from '../../forms/names.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { syncState } from '../../sync/loop.ts';
import { isFullForPhotos, PHOTOS_FULL } from '../../sync/photos.ts';
import { Notice } from '../../ui/Notice.tsx';
import { leaveRow, returnToRow } from '../../ui/lists.ts';
import { Page } from '../../ui/Page.tsx';
import { recordLink, surveyLink } from '../../ui/router.ts';
import { ProgressShape } from '../../ui/shapes.tsx';
import type { StageScreenProps } from '../props.ts';
import { PhotoGrid } from './PhotoGrid.tsx';
import { Picture } from './Picture.tsx';
import { TakePhoto } from './TakePhoto.tsx';

/** The record that a wanted photo most likely belongs to: the only one of the kind that such photos are of. */
export function likelyOwner(open: OpenSurvey, category: string): string | null {
  const kinds = (fieldOf('photo', 'of').refers_to ?? []).filter((kind) => categoryFor(kind) === category);
  const found = kinds.flatMap((kind) => open.survey.ofKind(kind));
  return found.length === 1 ? found[0]!.id : null;
}

export function ownerOf(survey: Survey, photo: SurveyRecord): SurveyRecord | undefined {
  for (const kind of fieldOf('photo', 'of').refers_to ?? []) {
    const found = survey.find(kind, photo.values['of']);
    if (found) return found;
  }
  return undefined;
}

/** What a photo belongs to, in words. */
function belongs(survey: Survey, photo: SurveyRecord): string {
  const owner = ownerOf(survey, photo);
  if (!owner) return '';
  return owner.kind === 'survey' ? 'of the house' : `of ${recordWords(survey, owner)}`;
}

/** One photo that the job wants: what it would spoil, and the camera for it. */
function Wanted({ open, item }: { open: OpenSurvey; item: WantedPhoto }) {
  const { survey } = open;
  const { expected, category, owner, found } = item;
  const isMissing = found.length < expected.at_least;
  const about = owner ? `${expected.words}: ${recordWords(survey, owner)}` : expected.words;
  return (
    <li class="wanted">
      <div class="wanted-head">
        <ProgressShape progress={isMissing ? { state: 'not_started' } : { state: 'complete' }} />
        <span class="row-words">
          <span>{about}</span>
          <small>
            {isMissing
              ? `${expected.is_wish ? 'Not yet' : 'Missing'}. ${expected.spoils}`
              : found.length === 1
                ? 'There'
                : `There, ${found.length} of them`}
          </small>
        </span>
        {found[0] && (
          <a class="wanted-small" href={recordLink(survey.id, 'photo', found[0].id)} onClick={leaveRow}>
            <span class="hidden-words">See: {about}.</span>
            <Picture
              survey={survey.id}
              sha256={found[0].values['sha256']}
              strokes={found[0].values['strokes']}
              words=""
            />
          </a>
        )}
      </div>
      <TakePhoto
        survey={survey.id}
        of={owner?.id ?? likelyOwner(open, category)}
        category={category}
        words={isMissing ? 'Take it' : 'Take another'}
        about={about}
        isShort={!isMissing}
      />
    </li>
  );
}

/** So many wishes are shown at once: a large house has a hundred emitters, and nobody looks for the photos taken below all of them. */
const WISHES_AT_ONCE = 12;

/** Photos that would help and are no gap. */
function Wishes({ open, wishes }: { open: OpenSurvey; wishes: readonly WantedPhoto[] }) {
  const [isShown, setShown] = useState(wishes.length <= WISHES_AT_ONCE);
  return (
    <section aria-label="Would help">
      <h2 class="photos-title">
        Would help: {wishes.filter((item) => item.found.length > 0).length} of {wishes.length} emitters are photographed
      </h2>
      {isShown ? (
        <ul class="list">
          {wishes.map((item) => (
            <Wanted key={item.key} open={open} item={item} />
          ))}
        </ul>
      ) : (
        <button type="button" class="button" onClick={() => setShown(true)}>
          Show all {wishes.length} emitters
        </button>
      )}
    </section>
  );
}

const sentence = (words: string): string => `${words[0]!.toUpperCase()}${words.slice(1)}`;

export function PhotosScreen({ open }: StageScreenProps) {
  useEffect(returnToRow, []);
  const { survey } = open;
  const stage = model.stages.find((item) => item.name === 'photos')!;
  const everything = wantedPhotos(survey);
  const wanted = everything.filter((item) => !item.expected.is_wish);
  const wishes = everything.filter((item) => item.expected.is_wish);
  const missing = wanted.filter((item) => item.found.length < item.expected.at_least);
  // Missing ones first, in an order that stays while one is here: nothing jumps away from under the thumb.
  const [order] = useState(() =>
    [...missing, ...wanted.filter((item) => !missing.includes(item))].map((item) => item.key),
  );
  const sorted = [...wanted].sort((a, b) => order.indexOf(a.key) - order.indexOf(b.key));
  const all = survey.ofKind('photo');
  const lost = lostPhotos(all, open.photos, open.row.photos_at_office);
  const sent = sentWords(open.photos, syncState.value.isBusy);
  const [isFull, setFull] = useState(false);
  useEffect(() => void isFullForPhotos().then(setFull), [open.photos.length]);
  return (
    <Page title={stage.label} over={survey.name()} back={surveyLink(survey.id)} backWords="the walk">
      {sent && (
        <p class="photos-sent" role="status">
          {sent}
        </p>
      )}
      {isFull && (
        <Notice tone="warning">
          <p>
            <b>No more photos for now.</b> {sentence(PHOTOS_FULL)}
          </p>
        </Notice>
      )}
      {lost.length > 0 && (
        <Notice tone="warning">
          <p>
            <b>{lost.length === 1 ? 'One photo is missing' : `${lost.length} photos are missing`}</b>, at the office and
            on this phone. Any phone that still has {lost.length === 1 ? 'it' : 'them'} sends{' '}
            {lost.length === 1 ? 'it' : 'them'} again by itself; if none has, take {lost.length === 1 ? 'it' : 'them'}{' '}
            again.
          </p>
          <ul>
            {lost.map((photo) => (
              <li key={photo.id}>
                <a href={recordLink(survey.id, 'photo', photo.id)}>
                  {String(photo.values['caption'] || categoryWords(photo))}
                </a>
              </li>
            ))}
          </ul>
        </Notice>
      )}
      <section aria-label="Wanted">
        <h2 class="photos-title">
          {missing.length === 0
            ? 'Every wanted photo is there'
            : missing.length === 1
              ? 'One wanted photo is missing'
              : `${missing.length} of ${wanted.length} wanted photos are missing`}
        </h2>
        <ul class="list">
          {sorted.map((item) => (
            <Wanted key={item.key} open={open} item={item} />
          ))}
        </ul>
      </section>
      {wishes.length > 0 && <Wishes open={open} wishes={wishes} />}
      <section class="sheet" aria-label="All photos">
        <h2>All photos{all.length > 0 ? ` (${all.length})` : ''}</h2>
        {all.length === 0 ? (
          <p>
            No photo yet. They can be taken here, and on the page of any room, emitter, base or run, where they then
            belong to it.
          </p>
        ) : (
          <PhotoGrid open={open} photos={all} of={belongs} />
        )}
        <TakePhoto survey={survey.id} of={null} category={null} words="Take any other photo" />
      </section>
      <Notice tone="plain">
        <p>At the meter and the consumer unit: look and photograph; open nothing, touch nothing live.</p>
      </Notice>
    </Page>
  );
}
