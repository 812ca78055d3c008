/** Taking a photo: the camera, or pictures that are on the phone already. Says saved when it is, and what went wrong when not. */
import { useId, useRef, useState } from 'preact/hooks';
import { SAVED_HERE } from '../../domain/words.ts';
import { keep } from '../../forms/saving.tsx';
import { addPhoto, NotAPicture, retakePhoto } from '../../sync/photos.ts';

export interface TakePhotoProps {
  survey: string;
  of: string | null;
  category: string | null;
  words: string;
  /** What the photo is of, for whoever hears the button without seeing what stands beside it. */
  about?: string;
  isMain?: boolean;
  /** The camera alone, where pictures can be chosen elsewhere on the screen. */
  isShort?: boolean;
}

const NOTHING_SAID = { done: 0, again: 0, problems: [] };

export function TakePhoto({ survey, of, category, words, about, isMain, isShort }: TakePhotoProps) {
  const [isBusy, setBusy] = useState(false);
  const [said, setSaid] = useState<{ done: number; again: number; problems: string[] }>(NOTHING_SAID);
  const id = useId();
  const take = async (input: HTMLInputElement) => {
    const files = [...(input.files ?? [])];
    if (files.length === 0) return;
    setBusy(true);
    setSaid(NOTHING_SAID);
    const problems: string[] = [];
    let done = 0;
    let again = 0;
    for (const file of files) {
      let notAPicture: string | null = null;
      let isThere = false;
      const isKept = await keep(async () => {
        try {
          ({ isThere } = await addPhoto(survey, file, of, category));
        } catch (fault) {
          // Trying again would not make a picture of it: this is told in place, not asked about.
          if (!(fault instanceof NotAPicture)) throw fault;
          notAPicture = `${file.name}: ${fault.message}`;
        }
      }, false);
      if (notAPicture) problems.push(notAPicture);
      else if (isKept && isThere) again += 1;
      else if (isKept) done += 1;
      else problems.push(`${file.name || 'The photo'} is not saved. Take it again when there is room.`);
    }
    // The same picture may be chosen again.
    input.value = '';
    setBusy(false);
    setSaid({ done, again, problems });
  };
  return (
    <div class="take" aria-busy={isBusy}>
      <div class="buttons">
        <FileButton
          id={`${id}-camera`}
          words={isBusy ? 'Saving' : words}
          about={about}
          isMain={isMain}
          isBusy={isBusy}
          take={take}
          isCamera
        />
        {!isShort && <FileButton id={`${id}-files`} words="Choose" isBusy={isBusy} take={take} about={about} />}
      </div>
      <p class="take-said" role="status">
        {said.done > 0 && (
          <span class="field-saved">{said.done === 1 ? SAVED_HERE : `${SAVED_HERE}: ${said.done} photos`}</span>
        )}
        {said.again > 0 && (
          <span>
            {said.done > 0 ? '. ' : ''}
            {said.again === 1
              ? 'This photo is here already: kept once.'
              : `${said.again} of them are here already: kept once.`}
          </span>
        )}
      </p>
      <p class="field-problem" role="alert">
        {said.problems.join(' ')}
      </p>
    </div>
  );
}

/** The camera once more, for a photo that the office refused or that is lost: the new picture takes its place. */
export function RetakePhoto({ survey, record, before }: { survey: string; record: string; before: string | null }) {
  const [isBusy, setBusy] = useState(false);
  const [problem, setProblem] = useState<string | null>(null);
  const id = useId();
  const take = async (input: HTMLInputElement) => {
    const file = input.files?.[0];
    if (!file) return;
    setBusy(true);
    setProblem(null);
    await keep(async () => {
      try {
        await retakePhoto(survey, record, before, file);
      } catch (fault) {
        if (!(fault instanceof NotAPicture)) throw fault;
        setProblem(fault.message);
      }
    }, false);
    input.value = '';
    setBusy(false);
  };
  return (
    <div class="take" aria-busy={isBusy}>
      <div class="buttons">
        <FileButton
          id={`${id}-camera`}
          words={isBusy ? 'Saving' : 'Take it again'}
          isBusy={isBusy}
          take={take}
          isMain
          isCamera
        />
      </div>
      <p class="field-problem" role="alert">
        {problem}
      </p>
    </div>
  );
}

interface FileButtonProps {
  id: string;
  words: string;
  about?: string | undefined;
  isMain?: boolean | undefined;
  isBusy: boolean;
  isCamera?: boolean;
  take: (input: HTMLInputElement) => Promise<void>;
}

function FileButton({ id, words, about, isMain, isBusy, isCamera, take }: FileButtonProps) {
  const input = useRef<HTMLInputElement>(null);
  return (
    <span class="take-one">
      <input
        ref={input}
        id={id}
        class="take-input"
        type="file"
        accept="image/*"
        disabled={isBusy}
        multiple={!isCamera}
        {...(isCamera ? { capture: 'environment' as const } : {})}
        onChange={(event) => void take(event.currentTarget)}
      />
      <label for={id} class={isMain ? 'button button-main' : isCamera ? 'button' : 'button button-quiet'}>
        {isCamera && (
          <svg viewBox="0 0 24 24" width="22" height="22" aria-hidden="true">
            <path d="M2.5 7.5 h5 l2 -3 h5 l2 3 h5 v12 h-19 z" class="line" />
            <circle cx="12" cy="13" r="3.6" class="line" />
          </svg>
        )}
        <span>
          {words}
          {isCamera ? (
            about && <span class="hidden-words">: {about}</span>
          ) : (
            <span class="hidden-words"> from the pictures on this phone{about ? `: ${about}` : ''}</span>
          )}
        </span>
      </label>
    </span>
  );
}
