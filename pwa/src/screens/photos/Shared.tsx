/** Pictures from the gallery or a message: into which survey they go. Each leaves the waiting ones only once it is saved there. */
import { useEffect, useMemo, useState } from 'preact/hooks';
import { counted, SAVED_HERE } from '../../domain/words.ts';
import { keep, useOneAtATime } from '../../forms/saving.tsx';
import { watchOverview } from '../../store/live.ts';
import { dropShared, sharedPictures, type SharedPicture } from '../../store/shared.ts';
import { addPhoto, NotAPicture } from '../../sync/photos.ts';
import { Confirm } from '../../ui/Confirm.tsx';
import { Notice } from '../../ui/Notice.tsx';
import { Page } from '../../ui/Page.tsx';
import { route, stageLink } from '../../ui/router.ts';

interface Said {
  survey: string;
  title: string;
  done: number;
  problems: string[];
}

export function SharedScreen() {
  const overview = useMemo(() => watchOverview(), []);
  useEffect(() => () => overview.stop(), []);
  const [pictures, setPictures] = useState<SharedPicture[] | null>(null);
  const [said, setSaid] = useState<Said | null>(null);
  const look = async () => setPictures(await sharedPictures());
  useEffect(() => void look(), [location.hash]);
  const surveys = overview.value.value?.here ?? [];
  const missing = Number(route.value.query.get('missing') ?? 0);
  const take = useOneAtATime(async (survey: string, title: string) => {
    const told: Said = { survey, title, done: 0, problems: [] };
    for (const picture of pictures ?? []) {
      let problem: string | null = null;
      const isKept = await keep(async () => {
        try {
          await addPhoto(survey, picture.bytes, null, null);
        } catch (fault) {
          if (!(fault instanceof NotAPicture)) throw fault;
          problem = `${picture.name || 'One of them'}: ${fault.message}`;
        }
      }, false);
      if (problem) told.problems.push(problem);
      else if (isKept) {
        await dropShared(picture.key);
        told.done += 1;
      } else told.problems.push(`${picture.name || 'One of them'} is not saved. It still waits here.`);
    }
    setSaid(told);
    await look();
  });
  const dropAll = async () => {
    for (const picture of pictures ?? []) await dropShared(picture.key);
    await look();
  };
  return (
    <Page title="Shared pictures" back="#/" backWords="surveys">
      {missing > 0 && (
        <Notice tone="stop">
          <p>
            {missing === 1 ? 'One picture' : `${missing} pictures`} could not be kept, perhaps because the phone is
            full. Share {missing === 1 ? 'it' : 'them'} again when there is room.
          </p>
        </Notice>
      )}
      {said && said.done > 0 && (
        <Notice tone="plain">
          <p role="status">
            <b class="field-saved">
              {SAVED_HERE}: {counted(said.done, 'photo')}
            </b>{' '}
            in {said.title}. Say there what each shows.
          </p>
          <a class="button button-main" href={stageLink(said.survey, 'photos')}>
            See the photos
          </a>
        </Notice>
      )}
      <p class="field-problem" role="alert">
        {said?.problems.join(' ')}
      </p>
      {pictures?.length === 0 && !said && <p>Nothing that was shared waits here.</p>}
      {pictures && pictures.length > 0 && (
        <>
          <p>
            {pictures.length === 1 ? 'One picture waits' : `${pictures.length} pictures wait`} here, in no survey yet
            and not on the way to the office. Into which survey?
          </p>
          <ul class="shared-grid" aria-label="Waiting pictures">
            {pictures.map((picture) => (
              <Small key={picture.key} picture={picture} />
            ))}
          </ul>
          {surveys.length === 0 && <p>No survey is on this phone yet: start or fetch one, then come back.</p>}
          <ul class="list">
            {surveys.map((item) => (
              <li key={item.row.id}>
                <button type="button" class="row" onClick={() => take(item.row.id, item.title)}>
                  <span class="row-words">
                    <span>{item.title}</span>
                    <small>{[item.reference, item.postcode].filter(Boolean).join(' · ')}</small>
                  </span>
                </button>
              </li>
            ))}
          </ul>
          <Confirm
            words="They belong in none"
            question="Let these pictures go? They stay where they came from."
            yes="Let them go"
            onYes={() => void dropAll()}
          />
        </>
      )}
    </Page>
  );
}

function Small({ picture }: { picture: SharedPicture }) {
  const address = useMemo(() => URL.createObjectURL(picture.bytes), [picture.key]);
  useEffect(() => () => URL.revokeObjectURL(address), [address]);
  return (
    <li>
      <img src={address} alt={picture.name || 'A shared picture'} />
    </li>
  );
}
