/** The price: lines edited in place, totals as the office adds them up, lines that the survey suggests. */
import { useState } from 'preact/hooks';
import { pathOf } from '../../domain/changes.ts';
import { singleId } from '../../domain/ids.ts';
import { fieldOf, type Values } from '../../domain/model.ts';
import { loggedWords } from '../../domain/contested.ts';
import type { ChangedLine as Changed, SuggestedLine } from '../../domain/assessment.ts';
import { drawnValues } from '../../domain/lines.ts';
import { pounds, type Quote } from '../../domain/office.ts';
import { RecordForm } from '../../forms/RecordForm.tsx';
import { keep, useOneAtATime } from '../../forms/saving.tsx';
import { waitingWords } from '../../domain/words.ts';
import type { RecordRow } from '../../store/database.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { newRecord, saveEdits } from '../../store/surveys.ts';
import { fetchQuote } from '../../sync/office.ts';
import { Notice } from '../../ui/Notice.tsx';
import { CellInput } from './CellInput.tsx';
import { ChangedLine } from './ChangedLine.tsx';
import { Trouble } from './parts.tsx';
import { Cell, Head, Table } from '../../ui/Cards.tsx';
import { Foldout } from '../../ui/Foldout.tsx';
import { useRemote } from './remote.ts';

const COLUMNS = ['what', 'part_of', 'quantity', 'unit', 'unit_price', 'vat_rate', 'is_credit'] as const;
const HEADS: Record<(typeof COLUMNS)[number], string> = {
  what: 'What',
  part_of: 'Part of',
  quantity: 'Quantity',
  unit: 'Counted in',
  unit_price: 'One costs, £',
  vat_rate: 'VAT',
  is_credit: 'Kind',
};

export function Price({ open }: { open: OpenSurvey }) {
  const { survey, row } = open;
  const remote = useRemote(`quote/${survey.id}`, row.cursor, () => fetchQuote(survey.id));
  const quote = remote.value;
  // The order of the quote, which is that of the report; lines that the office has not seen yet come last.
  const places = new Map(quote?.lines.map((line, place) => [line.record, place]));
  const placeOf = (line: RecordRow): number => places.get(`price_line/${line.id}`) ?? places.size;
  const lines = [...survey.ofKind('price_line')].sort((a, b) => placeOf(a) - placeOf(b));
  const isFresh = quote !== null && remote.version === row.cursor && open.waiting === 0;
  const add = useOneAtATime(async (values: Values) => {
    const edit = newRecord(survey.id, 'price_line', values);
    if (await keep(() => saveEdits(survey.id, [edit]))) focusLine(edit.id);
  });
  const amounts = new Map(quote?.lines.map((line) => [line.record, line.amount]));
  const changed = new Map((open.assessment?.suggestions?.changed ?? []).map((item) => [item.line, item]));
  return (
    <>
      <Trouble words={remote.trouble} isShown={quote !== null} onAgain={() => void remote.refresh()} />
      {lines.length === 0 && (
        <p>
          No price line yet. Add the first, or take those that the survey suggests: each comes with its quantity, you
          give the price.
        </p>
      )}
      {lines.length > 0 && (
        <div class="sheet sheet-table price">
          <Table
            label="Price lines"
            head={
              <tr role="row">
                {COLUMNS.map((name) => (
                  <Head key={name} words={HEADS[name]} isNumber={name === 'quantity' || name === 'unit_price'} />
                ))}
                <Head words="Amount" isNumber />
                <th role="columnheader">
                  <span class="hidden-words">Take away</span>
                </th>
              </tr>
            }
          >
            {lines.map((line, place) => (
              <Line
                key={line.id}
                open={open}
                line={line}
                place={place + 1}
                changed={changed.get(line.id)}
                amount={isFresh ? (amounts.get(`price_line/${line.id}`) ?? null) : undefined}
              />
            ))}
          </Table>
        </div>
      )}
      <div class="buttons">
        <button type="button" class="button" onClick={() => add({ quantity: 1 })}>
          Add a line
        </button>
      </div>
      <Suggestions open={open} suggestions={open.assessment?.suggestions?.lines ?? []} onAdd={add} />
      <Totals open={open} quote={quote} isFresh={isFresh} />
    </>
  );
}

/** Put the cursor into a line that was just made, once it is on the page. */
function focusLine(id: string): void {
  const find = (tries: number) => {
    const found = document.getElementById(`line-${id}`)?.querySelector<HTMLElement>('input, select');
    if (found) found.focus();
    else if (tries > 0) setTimeout(() => find(tries - 1), 50);
  };
  find(20);
}

/** `undefined`: the office has not added it up since it changed; `null`: it cannot be added up. */
function Line({
  open,
  line,
  place,
  changed,
  amount,
}: {
  open: OpenSurvey;
  line: RecordRow;
  place: number;
  changed: Changed | undefined;
  amount: string | null | undefined;
}) {
  const { survey } = open;
  const [problems, setProblems] = useState<Partial<Record<string, string | null>>>({});
  const [isAsking, setAsking] = useState(false);
  const isCredit = line.values['is_credit'] === 'grant' || line.values['is_credit'] === 'discount';
  const refused = open.refused
    .filter((item) => item.kind === 'price_line' && item.record === line.id)
    .map(
      (item) =>
        `The office refused ${loggedWords(survey, item.kind, item.field, item.value)}: ${item.problem.message} Answer again to replace it.`,
    );
  const twice = open.row.contested
    .filter((item) => item.record === line.id)
    .map((item) => `${item.label} was answered twice: pick one under ‘What came’.`);
  const words = [
    ...Object.values(problems)
      .filter(Boolean)
      .map((problem) => `Not saved: ${problem}`),
    ...refused,
    ...twice,
  ];
  const remove = () =>
    keep(() => saveEdits(survey.id, [{ kind: 'price_line', id: line.id, values: { deleted: true } }]));
  const settle = (values: Values) =>
    void keep(() => saveEdits(survey.id, [{ kind: 'price_line', id: line.id, values }]));
  const name = typeof line.values['what'] === 'string' ? line.values['what'] : `line ${place}`;
  return (
    <>
      <tr role="row" id={`line-${line.id}`}>
        {COLUMNS.map((column) => (
          <Cell key={column} label={HEADS[column]} class={`price-${column}`}>
            {column === 'vat_rate' && isCredit ? (
              <span class="price-none">after VAT</span>
            ) : (
              <CellInput
                key={pathOf({ survey: survey.id, kind: 'price_line', record: line.id, field: column })}
                survey={survey.id}
                record={line}
                field={fieldOf('price_line', column)}
                label={`${HEADS[column]}, line ${place}`}
                describedBy={`problems-${line.id}`}
                onProblem={(problem) => setProblems((before) => ({ ...before, [column]: problem }))}
              />
            )}
          </Cell>
        ))}
        <Cell label="Amount" isNumber class="price-amount">
          {amount === undefined ? '…' : amount === null ? '–' : `${isCredit ? '−' : ''}${pounds(amount)}`}
        </Cell>
        <Cell label="" class="price-remove">
          <button type="button" class="button button-quiet" onClick={() => setAsking(true)}>
            <svg viewBox="0 0 20 20" width="18" height="18" aria-hidden="true">
              <path d="M4 4 L16 16 M16 4 L4 16" class="line" />
            </svg>
            <span class="price-remove-words">Take away</span>
            <span class="hidden-words"> {name}</span>
          </button>
        </Cell>
      </tr>
      {(words.length > 0 || isAsking || changed) && (
        <tr role="row" class="cards-whole">
          <td role="cell" colSpan={COLUMNS.length + 2}>
            <div id={`problems-${line.id}`} role="alert">
              {words.map((text) => (
                <p key={text} class="field-problem">
                  {text}
                </p>
              ))}
            </div>
            {changed && <ChangedLine item={changed} onSettle={settle} onRemove={() => setAsking(true)} />}
            {isAsking && (
              <div class="confirm" role="group" aria-label={`Take away ${name}?`}>
                <p>Take away ‘{name}’ from the price?</p>
                <div class="buttons">
                  <button type="button" class="button button-stop" onClick={() => void remove()}>
                    Take it away
                  </button>
                  <button type="button" class="button" onClick={() => setAsking(false)}>
                    Keep it
                  </button>
                </div>
              </div>
            )}
          </td>
        </tr>
      )}
    </>
  );
}

function Suggestions({
  open,
  suggestions,
  onAdd,
}: {
  open: OpenSurvey;
  suggestions: readonly SuggestedLine[];
  onAdd: (values: Values) => void;
}) {
  // A line that was drawn a moment ago is not offered again while the answer is behind.
  const drawn = new Set(open.survey.ofKind('price_line').map((line) => line.values['drawn_from']));
  const left = suggestions.filter((item) => !drawn.has(item.drawn_from));
  if (left.length === 0) return null;
  return (
    <Foldout
      opens={drawn.size === 0}
      summary={<>The survey suggests {left.length === 1 ? 'one line' : `${left.length} lines`}</>}
    >
      <ul class="list works">
        {left.map((item) => (
          <li key={item.record} class="row">
            <span class="row-words">
              <span>{item.what}</span>
              <small>
                {item.quantity} × {loggedWords(open.survey, 'price_line', 'unit', item.unit)}. {item.why}
              </small>
            </span>
            <button
              type="button"
              class="button"
              aria-label={`Add it: ${item.what}`}
              onClick={() => onAdd(drawnValues(item))}
            >
              Add it
            </button>
          </li>
        ))}
      </ul>
    </Foldout>
  );
}

function Totals({ open, quote, isFresh }: { open: OpenSurvey; quote: Quote | null; isFresh: boolean }) {
  const { survey } = open;
  const house = survey.single('survey') ?? { kind: 'survey', id: singleId(survey.id, 'survey'), values: {} };
  const waiting = waitingWords(open.waiting, 0);
  return (
    <section class="office-stack" aria-labelledby="totals">
      <h3 id="totals">Totals</h3>
      <RecordForm open={open} record={house} only={['existing_deposit']} answered="both" isPlain />
      {!quote ? (
        <p>The totals come from the office.</p>
      ) : (
        <div class={isFresh ? 'sheet' : 'sheet is-old'}>
          {!isFresh && (
            <p role="status">
              <b>As they were before the last change.</b> {waiting ? `${waiting}; the` : 'The'} office adds them up anew
              as soon as it has them.
            </p>
          )}
          {!quote.is_complete && quote.lines.length > 0 && (
            <p>
              <b>Not every line is settled: only what can be added up is in these totals.</b>
            </p>
          )}
          <table class="totals">
            <thead>
              <tr>
                <th scope="col">Rate</th>
                <th scope="col" class="number">
                  Net
                </th>
                <th scope="col" class="number">
                  VAT
                </th>
                <th scope="col" class="number">
                  With VAT
                </th>
              </tr>
            </thead>
            <tbody>
              {quote.by_vat.map((group) => (
                <tr key={group.rate}>
                  <th scope="row">{group.rate} %</th>
                  <td class="number">{pounds(group.net)}</td>
                  <td class="number">{pounds(group.vat)}</td>
                  <td class="number">{pounds(group.gross)}</td>
                </tr>
              ))}
              <tr>
                <th scope="row">In all</th>
                <td class="number">
                  <b>{pounds(quote.net)}</b>
                </td>
                <td class="number">
                  <b>{pounds(quote.vat)}</b>
                </td>
                <td class="number">
                  <b>{pounds(quote.gross)}</b>
                </td>
              </tr>
              <tr>
                <th scope="row" colSpan={3}>
                  Grants and discounts, taken off
                </th>
                <td class="number">−{pounds(quote.credits)}</td>
              </tr>
              <tr>
                <th scope="row" colSpan={3}>
                  Deposit already paid
                </th>
                <td class="number">−{pounds(quote.deposit)}</td>
              </tr>
            </tbody>
          </table>
          <p class="price-to-pay">
            <span>{quote.left_words ?? 'Left to pay'}</span> <span class="figure-big">{pounds(quote.to_pay)}</span>
          </p>
          {[...(quote.rates ?? []), ...(quote.grant?.changes ? [quote.grant] : [])]
            .filter((held) => held.words)
            .map((held) => (
              <p key={held.words}>{held.words}</p>
            ))}
        </div>
      )}
      {quote && quote.problems.length > 0 && (
        <Notice tone="warning">
          <p>
            <b>{isFresh ? 'Before the quote can go out' : 'Before the last change'}:</b>
          </p>
          <ul class="office-list">
            {quote.problems.map((problem) => (
              <li key={`${problem.code}/${problem.record}/${problem.field}`}>{problem.message}</li>
            ))}
          </ul>
        </Notice>
      )}
    </section>
  );
}
