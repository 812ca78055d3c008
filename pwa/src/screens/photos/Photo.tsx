/** One photo: large, what it shows, what it belongs to, where its bytes are. */
import { useState } from 'preact/hooks';
import { categoryWords, photoState } from '../../domain/photos.ts';
import { RecordForm } from '../../forms/RecordForm.tsx';
import { keep } from '../../forms/saving.tsx';
import { recordWords } from '../../forms/names.ts';
import { Contest } from '../../forms/Contest.tsx';
import { offerBack } from '../../forms/taking.ts';
import { offerAgain, removePicture } from '../../store/photos.ts';
import { KEPT_DAYS } from '../../store/taken.ts';
import { syncNow } from '../../sync/loop.ts';
import { Confirm } from '../../ui/Confirm.tsx';
import { Notice } from '../../ui/Notice.tsx';
import { Page } from '../../ui/Page.tsx';
import { recordLink, replaceWith, stageLink } from '../../ui/router.ts';
import type { RecordScreenProps } from '../props.ts';
import { PhotoMark } from './marks.tsx';
import { MarkUp } from './MarkUp.tsx';
import { ownerOf } from './Photos.tsx';
import { Picture } from './Picture.tsx';
import { RetakePhoto } from './TakePhoto.tsx';

export function PhotoScreen({ open, record, query }: RecordScreenProps) {
  const { survey } = open;
  const [isFull, setFull] = useState(false);
  const [isMarking, setMarking] = useState(false);
  const state = photoState(record, open.photos, open.row.photos_at_office);
  const owner = ownerOf(survey, record);
  // Marks have no field of their own on this page, nor has the picture: their contests stand here.
  const contest = open.row.contested.find(
    (item) =>
      item.kind === 'photo' && item.record === record.id && (item.field === 'strokes' || item.field === 'sha256'),
  );
  const caption = typeof record.values['caption'] === 'string' ? record.values['caption'] : '';
  const sha256 = typeof record.values['sha256'] === 'string' ? record.values['sha256'] : null;
  const back = stageLink(survey.id, 'photos');
  const remove = async () => {
    if (!(await keep(() => removePicture(survey.id, record.id, sha256)))) return;
    offerBack(survey, 'photo', record.id);
    replaceWith(back);
  };
  return (
    <Page title={caption || categoryWords(record)} over="Photo" back={back} backWords="photos">
      {isMarking && sha256 ? (
        <MarkUp survey={survey.id} record={record} sha256={sha256} onDone={() => setMarking(false)} />
      ) : (
        <>
          <figure
            class={isFull ? 'photo-figure photo-figure-full' : 'photo-figure'}
            tabIndex={isFull ? 0 : undefined}
            role={isFull ? 'group' : undefined}
            aria-label={isFull ? 'The photo at full size; scroll to move over it' : undefined}
          >
            <Picture
              survey={survey.id}
              sha256={sha256}
              words={caption || categoryWords(record)}
              strokes={record.values['strokes']}
              isLarge
            />
          </figure>
          <div class="buttons">
            {sha256 && (
              <button type="button" class="button button-main" onClick={() => setMarking(true)}>
                Mark it
              </button>
            )}
            <button type="button" class="button" aria-pressed={isFull} onClick={() => setFull(!isFull)}>
              {isFull ? 'Fit to the screen' : 'Full size'}
            </button>
            {owner && (
              <a class="button" href={recordLink(survey.id, owner.kind, owner.id)}>
                Go to {recordWords(survey, owner)}
              </a>
            )}
          </div>
        </>
      )}
      <p class={`photo-state photo-state-${state.state}`}>
        <PhotoMark state={state.state} /> <span>{state.words}</span>
      </p>
      {state.state === 'refused' && sha256 && (
        <Notice tone="warning">
          <p>
            Nothing is lost: the photo stays on this phone until you decide. Take it again, or offer it once more as it
            is; to give it up, take it away below.
          </p>
          <RetakePhoto survey={survey.id} record={record.id} before={sha256} />
          <div class="buttons">
            <button
              type="button"
              class="button"
              onClick={() => void keep(() => offerAgain(survey.id, sha256)).then((done) => done && void syncNow())}
            >
              Offer it once more
            </button>
          </div>
        </Notice>
      )}
      {state.state === 'lost' && (
        <Notice tone="warning">
          <p>
            Any phone that still has this photo sends it again by itself. If none has, take it again: the new picture
            takes its place.
          </p>
          <RetakePhoto survey={survey.id} record={record.id} before={sha256} />
        </Notice>
      )}
      {contest && <Contest open={open} item={contest} />}
      <RecordForm open={open} record={record} groups={['what']} focus={query.get('field')} />
      <Confirm
        words="Take away this photo"
        question={
          state.state === 'here' || state.state === 'refused'
            ? `This photo is on this phone only. Taken away, it is not sent; it can be brought back here for ${KEPT_DAYS} days, unless you sign out.`
            : 'Take away this photo? It then leaves the report; the office keeps what it has received.'
        }
        yes="Take it away"
        onYes={() => void remove()}
      />
    </Page>
  );
}
