/** One photo: large, what it shows, what it belongs to, where its bytes are. */
import { useState } from 'preact/hooks';
import { categoryWords, photoState } from '../../domain/photos.ts';
import { RecordForm } from '../../forms/RecordForm.tsx';
import { keep } from '../../forms/saving.tsx';
import { recordWords } from '../../forms/names.ts';
import { removePicture } from '../../store/photos.ts';
import { Confirm } from '../../ui/Confirm.tsx';
import { Page } from '../../ui/Page.tsx';
import { recordLink, replaceWith, stopLink } from '../../ui/router.ts';
import type { RecordScreenProps } from '../registry.tsx';
import { PhotoMark } from './marks.tsx';
import { ownerOf } from './Photos.tsx';
import { Picture } from './Picture.tsx';

export function PhotoScreen({ open, record, query }: RecordScreenProps) {
  const { survey } = open;
  const [isFull, setFull] = useState(false);
  const state = photoState(record, open.photos, open.row.photos_at_office);
  const owner = ownerOf(open, record);
  const caption = typeof record.values['caption'] === 'string' ? record.values['caption'] : '';
  const sha256 = typeof record.values['sha256'] === 'string' ? record.values['sha256'] : null;
  const back = stopLink(survey.id, 'photos');
  const remove = async () => {
    if (await keep(() => removePicture(survey.id, record.id, sha256))) replaceWith(back);
  };
  return (
    <Page title={caption || categoryWords(record)} over="Photo" back={back} backWords="photos">
      <figure class={isFull ? 'photo-figure photo-figure-full' : 'photo-figure'} tabIndex={isFull ? 0 : undefined} role={isFull ? 'group' : undefined} aria-label={isFull ? 'The photo at full size; scroll to move over it' : undefined}>
        <Picture survey={survey.id} sha256={sha256} words={caption || categoryWords(record)} isLarge />
      </figure>
      <div class="buttons">
        <button type="button" class="button" aria-pressed={isFull} onClick={() => setFull(!isFull)}>{isFull ? 'Fit to the screen' : 'Full size'}</button>
        {owner && <a class="button" href={recordLink(survey.id, owner.kind, owner.id)}>Go to {recordWords(survey, owner)}</a>}
      </div>
      <p class={`photo-state photo-state-${state.state}`}><PhotoMark state={state.state} /> <span>{state.words}</span></p>
      <RecordForm open={open} record={record} groups={['what']} focus={query.get('field')} />
      <Confirm
        words="Take away this photo"
        question={state.state === 'here' || state.state === 'refused' ? 'This photo is on this phone only: taken away, it is gone for good.' : 'Take away this photo? It then leaves the report; the office keeps what it has received.'}
        yes="Take it away"
        onYes={() => void remove()}
      />
    </Page>
  );
}
