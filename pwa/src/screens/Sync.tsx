/** What is where: on this phone, at the office, and how safe that is. */
import { useEffect, useState } from 'preact/hooks';
import { atTheOffice, momentWords, NO_ANSWER, waitingWords } from '../domain/words.ts';
import { engineState, startEngineAgain } from '../engine/live.ts';
import { surveyDocument } from '../store/copy.ts';
import { watchOverview } from '../store/live.ts';
import { roomLeft, type Room } from '../store/persistence.ts';
import { setTheme, theme, type Theme } from '../store/theme.ts';
import { removeFromPhone } from '../store/surveys.ts';
import { keep } from '../forms/saving.tsx';
import { syncNow, syncState, waits } from '../sync/loop.ts';
import { signOut } from '../sync/session.ts';
import { Confirm } from '../ui/Confirm.tsx';
import { Notice } from '../ui/Notice.tsx';
import { Page } from '../ui/Page.tsx';
import { go, link } from '../ui/router.ts';

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
  useEffect(() => void roomLeft().then(setRoom), []);
  const copy = async (id: string, title: string) => {
    const url = URL.createObjectURL(await surveyDocument(id));
    const anchor = document.createElement('a');
    anchor.href = url;
    anchor.download = `${title.replace(/[^\p{L}\p{N}]+/gu, '-').toLowerCase() || 'survey'}.json`;
    anchor.click();
    setTimeout(() => URL.revokeObjectURL(url), 60_000);
  };
  const remove = (id: string) => keep(async () => {
    const answer = await removeFromPhone(id);
    setWords(answer.removed ? null : `It stays: ${answer.why}`);
  });
  const leave = async () => {
    const answer = await signOut();
    if (answer.done) go('#/');
    else setWords(`You stay signed in: ${waitingWords(answer.held.changes, answer.held.photos) || 'refused answers'} and ${answer.held.refused} refused answers are on this phone only. Let them reach the office, or take a file copy first.`);
  };
  return (
    <Page title="What is where" over={now?.session ? `${now.session.user.name} · ${now.session.firm.name}` : ''} back="#/" backWords="surveys">
      <p>What the phone calls saved survives a crash of the app. What it calls at the office survives the loss of the phone.</p>
      {words && <Notice tone="warning"><p>{words}</p></Notice>}
      <section class="group" aria-label="Now">
        <h2>Now</h2>
        <p>{now && (waitingWords(now.changes, now.photos) || 'Nothing waiting')}</p>
        {lastAt && <p>{last?.kind === 'done' ? atTheOffice(lastAt) : last?.kind === 'sign_in' ? 'The office asks you to sign in again.' : last ? `${NO_ANSWER} (${last.why}), last tried ${momentWords(lastAt)}` : null}</p>}
        {last?.kind === 'done' && last.trouble && <p class="field-problem">{last.trouble}</p>}
        {fault && <p class="field-problem">{fault}</p>}
        <div class="buttons">
          {now?.needsSignIn ? <a class="button button-main" href={link('sign-in')}>Sign in again</a> : <button type="button" class="button button-main" disabled={isBusy} onClick={() => void syncNow()}>{isBusy ? 'Talking to the office' : 'Send and fetch now'}</button>}
        </div>
      </section>
      <section class="group" aria-label="Surveys on this phone">
        <h2>Surveys on this phone</h2>
        {here.length === 0 && <p>None.</p>}
        {here.map((item) => (
          <div key={item.row.id} class="field">
            <p class="field-label">{item.title}</p>
            <p class="field-notes">{waitingWords(item.changes, item.photos) || (item.row.office_at ? atTheOffice(item.row.office_at) : 'Not at the office yet')}{item.refused > 0 ? ` · ${item.refused} refused` : ''}</p>
            <div class="buttons">
              <button type="button" class="button" onClick={() => void copy(item.row.id, item.title)}>Take a file copy</button>
              <Confirm words="Take off this phone" question={`Take ${item.title} off this phone? It stays at the office.`} yes="Take it off" onYes={() => void remove(item.row.id)} />
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
        {room?.used_bytes != null && room.quota_bytes != null && <p>{megabytes(room.used_bytes)} used, room for {megabytes(room.quota_bytes - room.used_bytes)} more.</p>}
        <p class="field-label" id="theme-label">Light or dark</p>
        <div class="choices" role="group" aria-labelledby="theme-label">
          {([['system', 'As the phone'], ['light', 'Light'], ['dark', 'Dark']] as [Theme, string][]).map(([value, label]) => (
            <button key={value} type="button" class="choice" aria-pressed={theme.value === value} onClick={() => setTheme(value)}><span class="choice-words">{label}</span></button>
          ))}
        </div>
      </section>
      <Confirm words="Sign out" question="Sign out and take the surveys off this phone? They stay at the office." yes="Sign out" onYes={() => void leave()} />
    </Page>
  );
}

/** Whether this phone works figures out itself, and what to do where it does not. */
function EngineWords() {
  const state = engineState.value;
  if (state.kind === 'ready') return <p>Ready: losses, emitters, base and findings are worked out here as you type, with or without signal. The report is made from the office's own figures.</p>;
  if (state.kind === 'starting') return <p>Starting: until then the office's last figures stand.</p>;
  return (
    <>
      <p>Not available: {state.why}. Everything else works; figures come from the office when the survey has reached it.</p>
      <div class="buttons"><button type="button" class="button" onClick={startEngineAgain}>Try to start it again</button></div>
    </>
  );
}

function megabytes(bytes: number): string {
  return bytes > 2e9 ? `${(bytes / 1e9).toFixed(0)} GB` : `${(bytes / 1e6).toFixed(0)} MB`;
}
