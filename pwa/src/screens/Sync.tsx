/** What is where: on this phone, at the office, and how safe that is. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { atTheOffice, counted, momentWords, silenceBriefly, waitingWords } from '../domain/words.ts';
import { engineState, engineVersion, startEngineAgain } from '../engine/live.ts';
import { NotACopy, parseCopy, readCopyBack, type ReadBack } from '../store/copy_back.ts';
import { surveyDocument } from '../store/copy.ts';
import { journalState, type JournalState } from '../store/journal/client.ts';
import { compared } from '../store/second.ts';
import { status, type Status } from '../store/status.ts';
import { watchOverview } from '../store/live.ts';
import { roomLeft, type Room } from '../store/persistence.ts';
import { setTheme, theme, type Theme } from '../store/theme.ts';
import { removeFromPhone } from '../store/surveys.ts';
import { keep } from '../forms/saving.tsx';
import { APP_VERSION } from '../generated/version.ts';
import { syncNow, syncState, waits } from '../sync/loop.ts';
import { Confirm } from '../ui/Confirm.tsx';
import { Notice } from '../ui/Notice.tsx';
import { InstallWays } from './Install.tsx';
import { isInstalled } from '../ui/version.ts';
import { Page } from '../ui/Page.tsx';
import { saveAsFile } from '../ui/save_as.ts';
import { link } from '../ui/router.ts';
import { LockedNotice } from './Locked.tsx';
import { SignOut } from './SignOut.tsx';

let overview: ReturnType<typeof watchOverview> | null = null;

const PERSISTENCE: Record<Room['persistent'], string> = {
  granted: 'The browser has promised not to clear it by itself.',
  refused: 'The browser may clear it when the phone runs out of room: let surveys reach the office soon.',
  unknown: 'The browser has not said whether it may clear it by itself.',
};

export function SyncScreen() {
  overview ??= watchOverview();
  const here = overview.value.value?.here ?? [];
  const now = waits.value;
  const { isBusy, last, last_at: lastAt, fault } = syncState.value;
  const [room, setRoom] = useState<Room | null>(null);
  const [words, setWords] = useState<string | null>(null);
  const [reading, setReading] = useState({ isBusy: false, words: '' });
  const [counts, setCounts] = useState<Status | null>(null);
  const readingBox = useRef<HTMLDivElement>(null);
  useEffect(() => {
    if (reading.words) readingBox.current?.scrollIntoView({ block: 'nearest' });
  }, [reading.words]);
  useEffect(() => void roomLeft().then(setRoom), []);
  // Counted again after every exchange and every edit, wherever it was made.
  useEffect(() => void status().then(setCounts), [here, now, lastAt]);
  const readBack = async (file: File) => {
    setReading({ isBusy: true, words: 'Reading the copy' });
    let words = '';
    try {
      const copy = parseCopy(await file.text());
      let found: ReadBack | null = null;
      const onPhoto = (done: number, all: number) =>
        setReading({ isBusy: true, words: `Reading the copy: ${done} of ${all} photos` });
      const isKept = await keep(async () => {
        found = await readCopyBack(copy, onPhoto);
      }, false);
      words =
        isKept && found
          ? readBackWords(found)
          : 'Only a part of the copy was read back. Read it back once more when there is room: what is here already is not put in twice.';
    } catch (fault) {
      // Not one of ours, or not whole: it was not touched, and neither was the store.
      words =
        fault instanceof NotACopy
          ? fault.message
          : `The file could not be read: ${fault instanceof Error ? fault.message : String(fault)}. Nothing was changed.`;
    }
    setReading({ isBusy: false, words });
  };
  const copy = async (id: string, title: string) => {
    let written: Blob;
    try {
      written = await surveyDocument(id);
    } catch (fault) {
      setWords(
        `No copy of ${title} was written: ${fault instanceof Error ? fault.message : String(fault)}. The survey is still on this phone; ask your office for help before anything is cleared.`,
      );
      scrollTo(0, 0);
      return;
    }
    saveAsFile(written, `${title.replace(/[^\p{L}\p{N}]+/gu, '-').toLowerCase() || 'survey'}.json`);
  };
  const remove = (id: string) =>
    keep(async () => {
      const answer = await removeFromPhone(id);
      setWords(answer.removed ? null : `It stays: ${answer.why}`);
    }, false);
  return (
    <Page
      title="What is where"
      over={now?.session ? `${now.session.user.name} · ${now.session.firm.name}` : ''}
      back="#/"
      backWords="surveys"
    >
      <p>
        What the phone calls saved survives a crash of the app. What it calls at the office survives the loss of the
        phone.
      </p>
      {words && (
        <Notice tone="warning">
          <p>{words}</p>
        </Notice>
      )}
      {!isInstalled() && (
        <details>
          <summary>Put it on the home screen</summary>
          <InstallWays />
        </details>
      )}
      <section class="group" aria-label="Now">
        <h2>Now</h2>
        <p>{now && (waitingWords(now.changes, now.photos) || 'Nothing waiting')}</p>
        {lastAt && (
          <p>
            {last?.kind === 'done'
              ? atTheOffice(lastAt)
              : last?.kind === 'sign_in'
                ? 'The office asks you to sign in again.'
                : last
                  ? `${silenceBriefly(last)}${last.isBusy ? '' : ` (${last.why})`}, last tried ${momentWords(lastAt)}`
                  : null}
          </p>
        )}
        {last?.kind === 'done' && last.trouble && <p class="field-problem">{last.trouble}</p>}
        {fault && <p class="field-problem">{fault}</p>}
        <div class="buttons">
          {now?.needsSignIn ? (
            <a class="button button-main" href={link('sign-in')}>
              Sign in again
            </a>
          ) : (
            <button type="button" class="button button-main" disabled={isBusy} onClick={() => void syncNow()}>
              {isBusy ? 'Talking to the office' : 'Send and fetch now'}
            </button>
          )}
        </div>
      </section>
      {counts && (
        <section class="group" aria-label="Counted">
          <h2>Counted</h2>
          <dl class="figures">
            <div>
              <dt>On this phone only</dt>
              <dd>{waitingWords(counts.changes, counts.photos).replace(' waiting', '') || 'nothing'}</dd>
            </div>
            <div>
              <dt>At the office</dt>
              <dd>{[counted(counts.sent, 'answer'), counted(counts.photosSent, 'photo')].join(', ')} sent from here</dd>
            </div>
            <div>
              <dt>Answered twice</dt>
              <dd>{counts.contested === 0 ? 'none' : `${counted(counts.contested, 'answer')}: somebody must pick`}</dd>
            </div>
            <div>
              <dt>Refused by the office</dt>
              <dd>{counts.refused === 0 ? 'none' : `${counts.refused}, kept here with the reason`}</dd>
            </div>
          </dl>
          {counts.oldest && (
            <p>The oldest change that is on this phone only was made {momentWords(Date.parse(counts.oldest))}.</p>
          )}
        </section>
      )}
      <section class="group" aria-label="Surveys on this phone">
        <h2>Surveys on this phone</h2>
        {here.length === 0 && <p>None.</p>}
        <span class="take-one">
          <input
            id="copy-back"
            class="take-input"
            type="file"
            accept="application/json,.json"
            disabled={reading.isBusy}
            onChange={(event) => {
              const input = event.currentTarget;
              const file = input.files?.[0];
              if (file)
                void readBack(file).then(() => {
                  input.value = '';
                });
            }}
          />
          <label class="button" for="copy-back">
            Read a copy back
          </label>
        </span>
        {/* Said where it was asked for: the top of the page is out of sight from here. */}
        <div ref={readingBox} role="status">
          {reading.words && (
            <Notice tone="plain">
              <p>{reading.words}</p>
            </Notice>
          )}
        </div>
        <p class="field-notes">
          What the copy has and this phone lacks is added. Where the two differ, this phone keeps its own answer.
        </p>
        {here.map((item) => (
          <div key={item.row.id} class="field">
            <p class="field-label">{item.title}</p>
            <p class="field-notes">
              {waitingWords(item.changes, item.photos) ||
                (item.row.office_at ? atTheOffice(item.row.office_at) : 'Not at the office yet')}
              {item.refused > 0 ? ` · ${item.refused} refused` : ''}
            </p>
            <div class="buttons">
              <button type="button" class="button" onClick={() => void copy(item.row.id, item.title)}>
                Save a copy to a file
              </button>
              <Confirm
                words="Take off this phone"
                question={`Take ${item.title} off this phone? It stays at the office.`}
                yes="Take it off"
                onYes={() => void remove(item.row.id)}
              />
            </div>
          </div>
        ))}
      </section>
      <section class="group" aria-label="Figures on this phone">
        <h2>Figures on this phone</h2>
        <EngineWords />
      </section>
      <section class="group" aria-label="This phone">
        <h2>This phone</h2>
        <p>{room ? PERSISTENCE[room.persistent] : 'Looking.'}</p>
        <p>{journalWords(journalState.value)}</p>
        {compared.value && compared.value.torn_bytes > 0 && (
          <p>Its last line had been cut off by a crash; what stood before it was whole.</p>
        )}
        {compared.value && compared.value.damaged > 0 && (
          <p>Spoilt in it: {counted(compared.value.damaged, 'line')}. It was written anew from this phone's store.</p>
        )}
        {room?.used_bytes != null && room.quota_bytes != null && (
          <p>
            {megabytes(room.used_bytes)} used, room for {megabytes(room.quota_bytes - room.used_bytes)} more.
          </p>
        )}
        <p class="field-label" id="theme-label">
          Light or dark
        </p>
        <div class="choices" role="group" aria-labelledby="theme-label">
          {(
            [
              ['system', 'As the phone'],
              ['light', 'Light'],
              ['dark', 'Dark'],
            ] as [Theme, string][]
          ).map(([value, label]) => (
            <button
              key={value}
              type="button"
              class="choice"
              aria-pressed={theme.value === value}
              onClick={() => setTheme(value)}
            >
              <span class="choice-words">{label}</span>
            </button>
          ))}
        </div>
      </section>
      <p class="field-notes">
        Wattwalk {APP_VERSION}, engine {engineVersion}
      </p>
      <LockedNotice />
      <SignOut />
    </Page>
  );
}

/** Whether this phone works figures out itself, and what to do where it does not. */
function EngineWords() {
  const state = engineState.value;
  if (state.kind === 'ready')
    return (
      <p>
        Ready: losses, emitters, base and findings are worked out here as you type, with or without signal. The report
        is made from the office's own figures.
      </p>
    );
  if (state.kind === 'starting') return <p>Starting: until then the office's last figures stand.</p>;
  return (
    <>
      <p>
        Not available: {state.why}. Everything else works; figures come from the office when the survey has reached it.
      </p>
      <div class="buttons">
        <button type="button" class="button" onClick={startEngineAgain}>
          Try to start it again
        </button>
      </div>
    </>
  );
}

function megabytes(bytes: number): string {
  return bytes > 2e9 ? `${(bytes / 1e9).toFixed(0)} GB` : `${(bytes / 1e6).toFixed(0)} MB`;
}

function journalWords(state: JournalState): string {
  switch (state.kind) {
    case 'kept':
      return 'Every edit and every photo is kept a second time here, in a journal beside the store, until the office has it.';
    case 'none':
      return 'This browser has no place for a journal beside the store: let surveys reach the office soon, or save a copy to a file.';
    case 'failing':
      return `The journal beside the store is not being written (${state.why}). The store itself is; let surveys reach the office soon.`;
    case 'unknown':
      return 'The journal beside the store is being looked at.';
  }
}

function readBackWords(found: ReadBack): string {
  const words =
    found.answers + found.photos === 0
      ? 'The copy was read back: nothing of it was missing on this phone.'
      : `The copy was read back: ${counted(found.answers, 'answer')} and ${counted(found.photos, 'photo')} were put in.`;
  const more = [
    found.differ > 0 ? `Different on this phone, and left as it is: ${counted(found.differ, 'answer')}.` : '',
    found.unknown > 0 ? `Not known to this version of the app, and left out: ${counted(found.unknown, 'answer')}.` : '',
    found.spoilt > 0 ? `Damaged in the copy, and left out: ${counted(found.spoilt, 'photo')}.` : '',
  ].filter(Boolean);
  return [words, ...more].join(' ');
}
