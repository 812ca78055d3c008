import { useEffect, useMemo } from 'preact/hooks';
import { dayWords } from '../domain/check.ts';
import { DEMO } from '../domain/demo.ts';
import { atTheOffice, SAVED_HERE, waitingWords } from '../domain/words.ts';
import { allKept, keep, useOneAtATime } from '../forms/saving.tsx';
import type { OfficeSurvey } from '../store/database.ts';
import { watchOverview, type ListedSurvey } from '../store/live.ts';
import { putDemo, type DemoDocument } from '../store/demo.ts';
import { LAST_SURVEY, readSetting } from '../store/setting.ts';
import { compared, isUncompared } from '../store/second.ts';
import { fetchToPhone, startSurvey } from '../store/surveys.ts';
import { syncNow, waits } from '../sync/loop.ts';
import { Notice } from '../ui/Notice.tsx';
import { Page } from '../ui/Page.tsx';
import { go, link, replaceWith, surveyLink } from '../ui/router.ts';
import { useSharedCount } from '../ui/shared.ts';
import { newVersion, useNewVersion } from '../ui/version.ts';
import { InstallOnce } from './Install.tsx';

/** Watched for as long as the app runs: the list is where one comes back to. */
let overview: ReturnType<typeof watchOverview> | null = null;

function Chevron() {
  return (
    <svg class="chevron" viewBox="0 0 12 20" width="10" height="18" aria-hidden="true">
      <path d="M2 2 L10 10 L2 18" class="line" />
    </svg>
  );
}

export function SurveyListScreen() {
  const live = useMemo(() => (overview ??= watchOverview()), []);
  const found = live.value.value;
  const here = found?.here ?? [];
  const ids = new Set(here.map((item) => item.row.id));
  const elsewhere = (found?.office?.surveys ?? []).filter((item) => !ids.has(item.id));
  const start = useOneAtATime(() => startHere(go));
  const tryDemo = useOneAtATime(async () => {
    const put = async () => {
      // A part of the app like its screens: on the phone with them, read when it is asked for.
      const { default: house } = await import('../generated/demo.json');
      await putDemo(house as unknown as DemoDocument);
    };
    if (await keep(put, false)) go(surveyLink(DEMO));
  });
  const shared = useSharedCount();
  const isFirst = found !== undefined && here.length === 0 && !isUncompared();
  const fetchIt = async (id: string) => {
    if (!(await keep(() => fetchToPhone(id), false))) return;
    go(surveyLink(id));
    void syncNow();
  };
  return (
    <Page
      title="Surveys"
      over={waits.value?.session?.firm.name ?? ''}
      foot={
        <button type="button" class="button button-main button-wide" onClick={() => start()}>
          New survey
        </button>
      }
    >
      {live.error.value && (
        <Notice tone="stop">
          <p>The store of this phone could not be read: {live.error.value}</p>
        </Notice>
      )}
      {compared.value && compared.value.restored.length > 0 && (
        <Notice tone="warning">
          <p>
            <b>The browser had lost part of its store.</b>{' '}
            {compared.value.restored.length === 1 ? 'One survey was' : `${compared.value.restored.length} surveys were`}{' '}
            brought back from the second one. Look through what you entered last, and let it reach the office soon.
          </p>
        </Notice>
      )}
      {newVersion.value && (
        <Notice tone="plain">
          <p>
            A new version of Wattwalk is on this phone. It comes when you say so, or when the app is next opened after
            it was closed. Everything saved stays.
          </p>
          <div class="buttons">
            <button type="button" class="button" onClick={() => void allKept().then(useNewVersion)}>
              Use the new version
            </button>
          </div>
        </Notice>
      )}
      {found && <InstallOnce />}
      {shared > 0 && (
        <Notice tone="warning">
          <p>
            {shared === 1 ? 'One picture that was shared waits' : `${shared} pictures that were shared wait`} for a
            survey.
          </p>
          <a class="button" href={link('shared')}>
            Say into which
          </a>
        </Notice>
      )}
      {/* With the list, so that nothing moves from under a finger when it comes. */}
      {(found || live.error.value) && (
        <a class="button" href={link('office')}>
          The office: all surveys, prices, reports
        </a>
      )}
      {isFirst && (
        <section class="group" aria-label="Begin">
          <h2>No survey on this phone yet</h2>
          <p>
            Start one at the door, signal or not: it begins with who lives there, and goes on room by room. Or look
            round first in an invented house, all filled in: change what you like, it stays on this phone and never goes
            to the office.
          </p>
          <div class="buttons">
            <button type="button" class="button button-main" onClick={() => start()}>
              Start at the door
            </button>
            <button type="button" class="button" onClick={() => tryDemo()}>
              Try the demo house here
            </button>
          </div>
        </section>
      )}
      {here.length > 0 && (
        <ul class="list">
          {here.map((item) => (
            <Here key={item.row.id} item={item} />
          ))}
        </ul>
      )}
      {elsewhere.length > 0 && (
        <>
          <h2>At the office, not on this phone</h2>
          <ul class="list">
            {elsewhere.map((item) => (
              <Elsewhere key={item.id} item={item} onFetch={() => void fetchIt(item.id)} />
            ))}
          </ul>
        </>
      )}
    </Page>
  );
}

/** Start a survey and go there. A visit starts on the day it is made, by the person who is signed in; both can be changed. */
async function startHere(go: (target: string) => void): Promise<void> {
  let id = '';
  const name = waits.value?.session?.user.name;
  const values = { visit_date: localDay(), ...(name ? { surveyor: name } : {}) };
  const begun = await keep(async () => {
    id = await startSurvey(values);
  }, false);
  go(begun ? surveyLink(id) : '#/');
}

/** Where a shortcut of the app's icon leads: straight into a new survey, or into the one that was open last here. The address itself is no page to come back to. */
export function StraightOn({ to }: { to: 'new' | 'last' }) {
  const live = useMemo(() => (overview ??= watchOverview()), []);
  const here = live.value.value?.here;
  const begin = useOneAtATime(() => startHere(replaceWith));
  useEffect(() => {
    if (to === 'new') begin();
  }, []);
  useEffect(() => {
    if (to !== 'last' || !here) return;
    const last = here.find((item) => item.row.id === readSetting(LAST_SURVEY)) ?? here[0];
    replaceWith(last ? surveyLink(last.row.id) : '#/');
  }, [here]);
  return null;
}

function localDay(): string {
  const now = new Date();
  return `${now.getFullYear()}-${String(now.getMonth() + 1).padStart(2, '0')}-${String(now.getDate()).padStart(2, '0')}`;
}

function Here({ item }: { item: ListedSurvey }) {
  const waiting = waitingWords(item.changes, item.photos);
  const words =
    item.row.id === DEMO
      ? 'Invented, to try things on: stays on this phone'
      : waiting
        ? `${SAVED_HERE} · ${waiting}`
        : item.row.office_at
          ? atTheOffice(item.row.office_at)
          : SAVED_HERE;
  return (
    <li>
      <a class="row" href={surveyLink(item.row.id)}>
        <span class="row-words">
          <span>{item.title}</span>
          <small>{[item.reference, item.postcode].filter(Boolean).join(' · ')}</small>
          <small>{words}</small>
          {item.row.contested.length > 0 && (
            <small>
              <b>{item.row.contested.length} answered twice: somebody must pick</b>
            </small>
          )}
          {item.refused > 0 && (
            <small>
              <b>{item.refused} refused by the office</b>
            </small>
          )}
        </span>
        <Chevron />
      </a>
    </li>
  );
}

function Elsewhere({ item, onFetch }: { item: OfficeSurvey; onFetch: () => void }) {
  return (
    <li>
      <button type="button" class="row" onClick={onFetch}>
        <span class="row-words">
          <span>{item.title}</span>
          <small>
            {[item.reference, item.postcode, item.visit_date ? dayWords(item.visit_date) : null]
              .filter(Boolean)
              .join(' · ')}
          </small>
        </span>
        <span class="row-side">Fetch</span>
      </button>
    </li>
  );
}
