import { useMemo } from 'preact/hooks';
import { dayWords } from '../domain/check.ts';
import { atTheOffice, SAVED_HERE, waitingWords } from '../domain/words.ts';
import { allKept, keep, useOneAtATime } from '../forms/saving.tsx';
import type { OfficeSurvey } from '../store/database.ts';
import { watchOverview, type ListedSurvey } from '../store/live.ts';
import { compared, isUncompared } from '../store/second.ts';
import { fetchToPhone, startSurvey } from '../store/surveys.ts';
import { syncNow, waits } from '../sync/loop.ts';
import { Notice } from '../ui/Notice.tsx';
import { Page } from '../ui/Page.tsx';
import { go, link, surveyLink } from '../ui/router.ts';
import { installOffer, isInstalled, newVersion, useNewVersion } from '../ui/version.ts';

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
  const start = useOneAtATime(async () => {
    let id = '';
    // A visit starts on the day it is made, by the person who is signed in; both can be changed.
    const values = {
      visit_date: localDay(),
      ...(waits.value?.session?.user.name ? { surveyor: waits.value.session.user.name } : {}),
    };
    if (
      await keep(async () => {
        id = await startSurvey(values);
      }, false)
    )
      go(surveyLink(id));
  });
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
      {installOffer.value && !isInstalled() && (
        <Notice tone="plain">
          <p>Install Wattwalk, so that it opens without signal and keeps its own store.</p>
          <div class="buttons">
            <button
              type="button"
              class="button"
              onClick={() => {
                void installOffer.value?.prompt();
                installOffer.value = null;
              }}
            >
              Install
            </button>
          </div>
        </Notice>
      )}
      <a class="button" href={link('office')}>
        The office: all surveys, prices, reports
      </a>
      {found && here.length === 0 && !isUncompared() && (
        <p>No survey on this phone yet. Start one at the door, signal or not.</p>
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

function localDay(): string {
  const now = new Date();
  return `${now.getFullYear()}-${String(now.getMonth() + 1).padStart(2, '0')}-${String(now.getDate()).padStart(2, '0')}`;
}

function Here({ item }: { item: ListedSurvey }) {
  const waiting = waitingWords(item.changes, item.photos);
  const words = waiting
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
