/** The office's list: every survey of the firm, what is open with each, what came last. */
import { useEffect, useMemo, useState } from 'preact/hooks';
import { dayWords } from '../../domain/check.ts';
import { fitsSearch, surveyWords, type SurveyState } from '../../domain/office.ts';
import { counted, momentWords, silenceWords, waitingWords } from '../../domain/words.ts';
import { keep } from '../../forms/saving.tsx';
import type { OfficeSurvey } from '../../store/database.ts';
import { watchOverview, type ListedSurvey } from '../../store/live.ts';
import { fetchToPhone } from '../../store/surveys.ts';
import { syncNow, syncState, waits } from '../../sync/loop.ts';
import { fetchStates } from '../../sync/office.ts';
import { Notice } from '../../ui/Notice.tsx';
import { Page } from '../../ui/Page.tsx';
import { go, link, surveyLink } from '../../ui/router.ts';
import { officeLink, StateMark, Trouble } from './parts.tsx';
import { Cell, Head, Table } from '../../ui/Cards.tsx';
import { useRemote } from './remote.ts';

/** Watched for as long as the app runs: the list is where one comes back to. */
let overview: ReturnType<typeof watchOverview> | null = null;
const AT_ONCE = 50;
/** Milliseconds after which the office is asked how far it has come with counting gaps. */
const COUNTING_MS = 5_000;

export function OfficeListScreen() {
  const live = useMemo(() => (overview ??= watchOverview()), []);
  const found = live.value.value;
  const listed = found?.office?.surveys ?? [];
  const states = useRemote('states', found?.office?.fetched_at ?? 0, fetchStates);
  const [typed, setTyped] = useState('');
  const [isAll, setAll] = useState(false);
  useEffect(() => void syncNow(), []);

  const here = new Map((found?.here ?? []).map((item) => [item.row.id, item]));
  const known = new Set(listed.map((item) => item.id));
  const onlyHere = (found?.here ?? []).filter((item) => !known.has(item.row.id));
  const byId = new Map((states.value?.surveys ?? []).map((state) => [state.id, state]));
  const uncounted = (states.value?.surveys ?? []).filter((state) => state.gaps === null).length;
  useEffect(() => {
    if (uncounted === 0) return undefined;
    const timer = setTimeout(() => void states.refresh(), COUNTING_MS);
    return () => clearTimeout(timer);
  }, [states.value]);
  const fitting = listed.filter((item) => fitsSearch(item, typed));
  const shown = isAll ? fitting : fitting.slice(0, AT_ONCE);
  const open = async (id: string) => {
    if (!here.has(id) && !(await keep(() => fetchToPhone(id), false))) return;
    go(officeLink(id));
    void syncNow();
  };
  const silence = syncState.value.last?.kind === 'no_answer' ? silenceWords(syncState.value.last) : null;
  return (
    <Page
      title="Office"
      over={waits.value?.session?.firm.name ?? ''}
      back="#/"
      backWords="surveys on this device"
      isWide
    >
      <div class="office-tools">
        <div class="field office-search">
          <label class="field-label" for="find">
            Find a survey
          </label>
          <input
            class="input"
            id="find"
            type="search"
            autocomplete="off"
            placeholder="Name, reference, address, postcode"
            value={typed}
            onInput={(event) => setTyped(event.currentTarget.value)}
          />
        </div>
        <a class="button" href={link('office', 'firm')}>
          The firm
        </a>
      </div>
      {live.error.value && (
        <Notice tone="stop">
          <p>The store of this device could not be read: {live.error.value}</p>
        </Notice>
      )}
      <Trouble
        words={states.trouble ?? silence}
        isShown={listed.length > 0}
        onAgain={() => {
          void syncNow();
          void states.refresh();
        }}
      />
      {found && listed.length === 0 && onlyHere.length === 0 && !silence && (
        <Notice tone="plain">
          {found.office ? (
            <p>
              <b>No survey has reached the office yet.</b> Start one at a house, on a phone or on this device: it
              appears here as soon as its first answer has come in.
            </p>
          ) : (
            <p>Asking the office for its surveys.</p>
          )}
          <div class="buttons">
            <a class="button" href="#/">
              Surveys on this device
            </a>
          </div>
        </Notice>
      )}
      <p class="hidden-words" role="status">
        {typed ? `${fitting.length} of ${listed.length} surveys` : ''}
      </p>
      {listed.length > 0 && fitting.length === 0 && (
        <p>
          None of the {listed.length} surveys has ‘{typed.trim()}’ in its name, reference, address or postcode.
        </p>
      )}
      {uncounted > 0 && (
        <p>The office is still counting the gaps of {counted(uncounted, 'survey')}. They appear by themselves.</p>
      )}
      {shown.length > 0 && (
        <div class="sheet sheet-table surveys">
          <Table
            label="Surveys"
            head={
              <tr role="row">
                <Head words="Household" />
                <Head words="Address" />
                <Head words="Visit" />
                <Head words="State" />
                <Head words="Newest change" />
              </tr>
            }
          >
            {shown.map((item) => (
              <Line
                key={item.id}
                item={item}
                state={byId.get(item.id)}
                here={here.get(item.id)}
                onOpen={() => void open(item.id)}
              />
            ))}
          </Table>
        </div>
      )}
      {fitting.length > shown.length && (
        <button type="button" class="button" onClick={() => setAll(true)}>
          Show all {fitting.length}
        </button>
      )}
      {onlyHere.length > 0 && !typed && (
        <section aria-label="Only on this device">
          <h2>Only on this device</h2>
          <ul class="list">
            {onlyHere.map((item) => (
              <li key={item.row.id}>
                <a class="row" href={surveyLink(item.row.id)}>
                  <span class="row-words">
                    <span>{item.title}</span>
                    <small>
                      {waitingWords(item.changes, item.photos) || 'Nothing answered yet'}: the office has not seen it.
                    </small>
                  </span>
                </a>
              </li>
            ))}
          </ul>
        </section>
      )}
    </Page>
  );
}

function Line({
  item,
  state,
  here,
  onOpen,
}: {
  item: OfficeSurvey;
  state: SurveyState | undefined;
  here: ListedSurvey | undefined;
  onOpen: () => void;
}) {
  const waiting = here ? waitingWords(here.changes, here.photos) : '';
  // The address has a column of its own.
  const household =
    item.address && item.title.endsWith(`, ${item.address}`)
      ? item.title.slice(0, -item.address.length - 2)
      : item.title;
  return (
    <tr role="row">
      <Cell label="Household" class="cards-title">
        <a
          class="office-open"
          href={officeLink(item.id)}
          onClick={(event) => {
            if (!here && !event.ctrlKey && !event.metaKey && !event.shiftKey) {
              event.preventDefault();
              onOpen();
            }
          }}
        >
          {household}
        </a>
        {item.reference && <small>{item.reference}</small>}
      </Cell>
      <Cell label="Address">
        {[item.address, item.postcode].filter(Boolean).join(', ') || <small>No address yet</small>}
      </Cell>
      <Cell label="Visit">{item.visit_date ? dayWords(item.visit_date) : <small>No day yet</small>}</Cell>
      <Cell label="State">
        <span class="marks">
          {surveyWords(item, state).map((words) => (
            <StateMark key={words.words} state={words} />
          ))}
          {waiting && <StateMark state={{ words: `${waiting} on this device`, tone: 'check' }} />}
        </span>
      </Cell>
      <Cell label="Newest change">{item.changed_at ? momentWords(Date.parse(item.changed_at)) : ''}</Cell>
    </tr>
  );
}
