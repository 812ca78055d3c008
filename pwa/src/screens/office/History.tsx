/** What was changed, by whom, when and from what: searched, narrowed, and put back in one tap, which is a change like any other. */
import { useEffect, useState } from 'preact/hooks';
import {
  isSameDay,
  wayBack,
  whatWords,
  whenWords,
  type History,
  type HistoryAsked,
  type HistoryLine,
} from '../../domain/history.ts';
import { BOOK, mayWriteBook } from '../../domain/book.ts';
import { kindOf, model } from '../../domain/model.ts';
import { inThousands, SAVED_HERE } from '../../domain/words.ts';
import { keep, useOneAtATime } from '../../forms/saving.tsx';
import { deviceName } from '../../store/exchange.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { saveEdits } from '../../store/surveys.ts';
import { bringBack } from '../../store/taken.ts';
import { syncNow } from '../../sync/loop.ts';
import { fetchHistory } from '../../sync/office.ts';
import { Cell, Head, Table } from '../../ui/Cards.tsx';
import { go, historyLink, route } from '../../ui/router.ts';
import { sameFrom } from '../../ui/same_from.ts';
import { Trouble } from './parts.tsx';
import { useRemote } from './remote.ts';

const PAGE = 50;
/** A search goes out once nothing has been typed for so long. */
const TYPED_MS = 300;
type Narrowing = Pick<HistoryAsked, 'person' | 'day' | 'words'>;

export function HistoryPart({ open }: { open: OpenSurvey }) {
  const { survey, row } = open;
  const query = route.value.query;
  const [narrowing, setNarrowing] = useState<Narrowing>({ person: '', day: '', words: '' });
  const asked = { ...narrowing, record: query.get('record') ?? '', field: query.get('field') ?? '' };
  const name = JSON.stringify(asked);
  const [wanted, setWanted] = useState({ name, lines: PAGE });
  const lines = wanted.name === name ? wanted.lines : PAGE;
  const remote = useRemote(`history/${survey.id}/${name}`, `${row.cursor}/${lines}`, () =>
    fetchHistory(survey.id, asked, lines),
  );
  const [done, setDone] = useState('');
  const [own, setOwn] = useState<string | null>(null);
  useEffect(() => void deviceName().then(setOwn, () => undefined), []);
  const history = remote.value;
  // What is put back is held against what stands here, so that has to be what stands there.
  const isBehind = history !== null && history.revision > row.cursor;
  useEffect(() => {
    if (isBehind) void syncNow();
  }, [isBehind]);
  return (
    <>
      <Trouble words={remote.trouble} isShown={history !== null} onAgain={() => void remote.refresh()} />
      <Questions open={open} asked={asked} history={history} onNarrow={setNarrowing} />
      <p role="status" class="field-saved">
        {done}
      </p>
      <p role="status">{history ? countWords(history) : remote.trouble ? '' : 'Asking the office.'}</p>
      {history && history.changes.length > 0 && (
        <div class="sheet sheet-table">
          <Table
            label="Changes"
            head={
              <tr role="row">
                <Head words="What" />
                <Head words="Answer" />
                <Head words="Before" />
                <Head words="By whom, when" />
                <Head words="Put back" />
              </tr>
            }
          >
            {history.changes.map((line) => (
              <Line key={line.id} open={open} line={line} own={own} isBehind={isBehind} onDone={setDone} />
            ))}
          </Table>
        </div>
      )}
      {history?.next != null && (
        <div class="buttons">
          <button type="button" class="button" onClick={() => setWanted({ name, lines: lines + PAGE })}>
            Show older
          </button>
        </div>
      )}
    </>
  );
}

function countWords({ found, changes }: History): string {
  if (found === 0) return 'No change is like that.';
  if (found === changes.length) return found === 1 ? 'One change.' : `${inThousands(found)} changes.`;
  return `The newest ${inThousands(changes.length)} of ${inThousands(found)} changes.`;
}

function Line({
  open,
  line,
  own,
  isBehind,
  onDone,
}: {
  open: OpenSurvey;
  line: HistoryLine;
  own: string | null;
  isBehind: boolean;
  onDone: (words: string) => void;
}) {
  const { survey } = open;
  const what = whatWords(line);
  return (
    <tr role="row">
      <Cell label="What" class="cards-title">
        <a class="history-what" href={sameFrom(historyLink(survey.id, line.record, line.field))}>
          {what}
        </a>
      </Cell>
      <Cell label="Answer" class="history-answer">
        <div>
          {line.words}
          {line.contested && <small class="history-when">Answered twice</small>}
        </div>
      </Cell>
      <Cell label="Before" class="history-answer">
        {line.before ? line.before.words : 'No answer'}
      </Cell>
      <Cell label="By whom, when" class="history-by">
        <div>
          {line.user ?? 'Somebody unknown'}
          {own && (own === line.device ? ', on this device' : ', on another device')}
          <small class="history-when"> {whenWords(line.made_at)}</small>
          {!isSameDay(line.made_at, line.received_at) && (
            <small class="history-when"> came in {whenWords(line.received_at)}</small>
          )}
        </div>
      </Cell>
      <Cell label="Put back">
        {isBehind ? 'Fetching what is newer' : <PutBack open={open} line={line} what={what} onDone={onDone} />}
      </Cell>
    </tr>
  );
}

function PutBack({
  open,
  line,
  what,
  onDone,
}: {
  open: OpenSurvey;
  line: HistoryLine;
  what: string;
  onDone: (words: string) => void;
}) {
  const { survey } = open;
  const back = wayBack(survey, line, open.row.contested);
  const before = line.before?.words ?? 'No answer';
  const act = useOneAtATime(async () => {
    const work =
      back.way === 'edit'
        ? () => saveEdits(survey.id, (present) => (present.find(back.edit.kind, back.edit.id) ? [back.edit] : []))
        : () => bringBack(survey.id, line.kind, line.record);
    if (!(await keep(work, false))) return;
    onDone(
      back.way === 'edit' ? `${what} is ${before} again. ${SAVED_HERE}.` : `${line.title} is back. ${SAVED_HERE}.`,
    );
    void syncNow();
  });
  if (survey.id === BOOK && !mayWriteBook(kindOf(line.kind), open.row.role)) return <>The office’s</>;
  if (back.way === 'none') return <>{back.why}</>;
  if (back.way === 'stands') return <>Stands now</>;
  return (
    <button
      type="button"
      class="button"
      aria-label={back.way === 'edit' ? `Put back ${before} as ${what}` : `Bring back ${line.title}`}
      onClick={() => act()}
    >
      {back.way === 'edit' ? 'Put back' : 'Bring back'}
    </button>
  );
}

function Questions({
  open,
  asked,
  history,
  onNarrow,
}: {
  open: OpenSurvey;
  asked: HistoryAsked;
  history: History | null;
  onNarrow: (narrowing: Narrowing) => void;
}) {
  const { survey } = open;
  const { person, day, words } = asked;
  const [typed, setTyped] = useState(words);
  useEffect(() => {
    if (typed === words) return undefined;
    const timer = setTimeout(() => onNarrow({ person, day, words: typed }), TYPED_MS);
    return () => clearTimeout(timer);
  }, [typed, person, day]);
  const [lists, setLists] = useState<Pick<History, 'people' | 'places'>>({ people: [], places: [] });
  // A question that is still on its way leaves the lists as they were.
  useEffect(() => {
    if (history) setLists(history);
  }, [history]);
  const isPlace = lists.places.some((place) => place.record === asked.record) && !asked.field;
  const line = history?.changes.find((item) => item.record === asked.record);
  const kinds = Object.values(model.kinds).filter((kind) => lists.places.some((place) => place.kind === kind.name));
  return (
    <section class="sheet history-ask" aria-label="What to look for">
      <div class="field">
        <label class="field-label" for="history-words">
          Search
        </label>
        <input
          class="input"
          id="history-words"
          type="search"
          autocomplete="off"
          maxLength={200}
          placeholder="Value, question, name"
          value={typed}
          onInput={(event) => setTyped(event.currentTarget.value)}
        />
      </div>
      <div class="field">
        <label class="field-label" for="history-person">
          By whom
        </label>
        <select
          class="input"
          id="history-person"
          value={person}
          onChange={(event) => onNarrow({ person: event.currentTarget.value, day, words })}
        >
          <option value="">Everybody</option>
          {lists.people.map((item) => (
            <option key={item.id} value={item.id}>
              {item.name} ({inThousands(item.changes)})
            </option>
          ))}
        </select>
      </div>
      {/* The firm sells too many things for a list of them: they are searched. */}
      {survey.id !== BOOK && (
        <div class="field">
          <label class="field-label" for="history-place">
            Of what
          </label>
          <select
            class="input"
            id="history-place"
            value={isPlace ? asked.record : ''}
            onChange={(event) => go(sameFrom(historyLink(survey.id, event.currentTarget.value)))}
          >
            <option value="">{asked.record && !isPlace ? 'Of one record' : 'The whole survey'}</option>
            {kinds.map((kind) => (
              <optgroup key={kind.name} label={kindOf(kind.name).plural}>
                {lists.places
                  .filter((place) => place.kind === kind.name)
                  .map((place) => (
                    <option key={place.record} value={place.record}>
                      {place.title}
                      {place.gone ? ', taken away' : ''} ({inThousands(place.changes)})
                    </option>
                  ))}
              </optgroup>
            ))}
          </select>
        </div>
      )}
      <div class="field">
        <label class="field-label" for="history-day">
          On which day
        </label>
        <input
          class="input"
          id="history-day"
          type="date"
          value={day}
          onInput={(event) => onNarrow({ person, day: event.currentTarget.value, words })}
        />
      </div>
      {asked.record && !isPlace && (
        <p class="history-one">
          Only <b>{line ? (asked.field ? whatWords(line) : line.title) : 'one record'}</b>.{' '}
          <a href={sameFrom(historyLink(survey.id))}>{survey.id === BOOK ? 'The whole book' : 'The whole survey'}</a>
        </p>
      )}
    </section>
  );
}
