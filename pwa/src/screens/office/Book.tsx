/** The firm's book: its units and articles, on this phone with and without signal. */
import { dayOf, PRICES, priceOn } from '../../domain/article_prices.ts';
import { BOOK, bookWords, mayWriteBook } from '../../domain/book.ts';
import { kindsHeldBy, titleOf, type Kind } from '../../domain/model.ts';
import { pounds } from '../../domain/office.ts';
import type { SurveyRecord } from '../../domain/survey.ts';
import { keep, useOneAtATime } from '../../forms/saving.tsx';
import type { OpenSurvey } from '../../store/live.ts';
import { newRecord, saveEdits } from '../../store/surveys.ts';
import { go, recordLink } from '../../ui/router.ts';
import { Writing } from '../../ui/Writing.tsx';
import { useSurvey, writerOf } from '../current.tsx';
import { comesAsList, FirmList } from './FirmList.tsx';
import { goesAsList, ListOut } from './ListOut.tsx';

export function Book() {
  const open = useSurvey(BOOK);
  if (open === undefined) return null;
  if (open === null || open.row.role === undefined)
    return <p class="field-notes">The firm's units and articles come with the next answer from the office.</p>;
  return (
    <Writing writer={writerOf(BOOK)}>
      {kindsHeldBy('firm').map((kind) => (
        <BookSection key={kind.name} open={open} kind={kind} />
      ))}
    </Writing>
  );
}

function TodaysPrice({ record }: { record: SurveyRecord }) {
  const price = priceOn(record.values, PRICES[0], dayOf(new Date()));
  return price === null ? null : <small>{pounds(price)}</small>;
}

function BookSection({ open, kind }: { open: OpenSurvey; kind: Kind }) {
  const { one, many } = bookWords(kind);
  const records = open.survey.ofKind(kind.name);
  const mayWrite = mayWriteBook(kind, open.row.role);
  const contested = (id: string) => open.row.contested.filter((item) => item.record === id).length;
  const refused = (id: string) => open.refused.filter((item) => item.record === id).length;
  const add = useOneAtATime(async () => {
    const edit = newRecord(BOOK, kind.name, {});
    if (await keep(() => saveEdits(BOOK, [edit]))) go(recordLink(BOOK, kind.name, edit.id));
  });
  const named = [...records].sort((a, b) =>
    titleOf(kind, a.values).localeCompare(titleOf(kind, b.values), 'en', { numeric: true }),
  );
  return (
    <section class="group" aria-label={`The firm's ${many}`}>
      <h2>{`${many[0]!.toUpperCase()}${many.slice(1)}`}</h2>
      {named.length === 0 && <p class="field-notes">None yet.</p>}
      {named.length > 0 && (
        <ul class="list">
          {named.map((record) => (
            <li key={record.id}>
              <a class="row" href={recordLink(BOOK, kind.name, record.id)}>
                <span class="row-words">
                  <span>{titleOf(kind, record.values)}</span>
                  {kind.name === 'article' && <TodaysPrice record={record} />}
                </span>
                <span class="row-side">
                  {contested(record.id) > 0 ? 'Answered twice' : refused(record.id) > 0 ? 'Refused' : ''}
                </span>
              </a>
            </li>
          ))}
        </ul>
      )}
      {goesAsList(kind) && records.length > 0 && <ListOut kind={kind} />}
      {mayWrite ? (
        <>
          <button type="button" class="button" onClick={() => add()}>
            Add: {one}
          </button>
          {comesAsList(kind) && <FirmList kind={kind} isOpen={records.length === 0} />}
        </>
      ) : (
        <p class="field-notes">The office keeps these. Here they can be read.</p>
      )}
    </section>
  );
}
