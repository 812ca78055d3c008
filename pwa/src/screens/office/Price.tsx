/** The price: lines edited in place, totals as the office adds them up, lines that the survey suggests. */
import { useEffect } from 'preact/hooks';
import { drawnEdits, lineEdits, movedEdits, offeredLines, takenOverValues } from '../../domain/lines.ts';
import type { Edit, SurveyRecord } from '../../domain/survey.ts';
import { keep, useOneAtATime } from '../../forms/saving.tsx';
import type { OpenSurvey } from '../../store/live.ts';
import { newRecord, saveEdits } from '../../store/surveys.ts';
import { fetchQuote } from '../../sync/office.ts';
import { Head, Table } from '../../ui/Cards.tsx';
import { Trouble } from './parts.tsx';
import { COLUMNS, HEADS, PriceLine } from './PriceLine.tsx';
import { PriceMargin } from './PriceMargin.tsx';
import { PriceSuggestions } from './PriceSuggestions.tsx';
import { PriceTotals } from './PriceTotals.tsx';
import { useRemote } from './remote.ts';

export function Price({ open }: { open: OpenSurvey }) {
  const { survey, row } = open;
  const remote = useRemote(`quote/${survey.id}`, row.cursor, () => fetchQuote(survey.id));
  // What a price of the book says of a line changes with the book alone.
  useEffect(() => {
    if (remote.value) void remote.refresh();
  }, [open.book]);
  const quote = remote.value;
  // The order of the quote, which is that of the report; lines that the office has not seen yet come last.
  const places = new Map(quote?.lines.map((line, place) => [line.record, place]));
  const placeOf = (line: SurveyRecord): number => places.get(`price_line/${line.id}`) ?? places.size;
  const lines = offeredLines(survey, placeOf);
  const isFresh = quote !== null && remote.version === row.cursor && open.waiting === 0;
  const add = useOneAtATime(async (edits: readonly Edit[]) => {
    if ((await keep(() => saveEdits(survey.id, edits))) && edits.length === 1) focusLine(edits[0]!.id);
  });
  const amounts = new Map(quote?.lines.map((line) => [line.record, line.amount]));
  const changed = new Map((open.assessment?.suggestions?.changed ?? []).map((item) => [item.line, item]));
  const taken = [...changed.values()].filter((item) => item.is_asked && !item.only_kept);
  const takeAll = useOneAtATime(async () => {
    const edits = await Promise.all(taken.map((item) => lineEdits(survey, item.line, takenOverValues(item), true)));
    await keep(() => saveEdits(survey.id, edits.flat()));
  });
  const move = (line: SurveyRecord, by: -1 | 1) =>
    void keep(async () => {
      const edits = movedEdits(lines, line.id, by).map((edit) => lineEdits(survey, edit.id, edit.values));
      await saveEdits(survey.id, (await Promise.all(edits)).flat());
    });
  return (
    <>
      <Trouble words={remote.trouble} isShown={quote !== null} onAgain={() => void remote.refresh()} />
      {lines.length === 0 && (
        <p>
          No price line yet. Add the first, or take those that the survey suggests: each comes with its quantity, and
          with its price where the price book has one.
        </p>
      )}
      {taken.length > 1 && (
        <div class="buttons">
          <button type="button" class="button button-main" onClick={() => takeAll()}>
            Take over all {taken.length} changed lines
          </button>
        </div>
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
                  <span class="hidden-words">More, take away</span>
                </th>
              </tr>
            }
          >
            {lines.map((line, place) => (
              <PriceLine
                key={line.id}
                open={open}
                line={line}
                place={place + 1}
                changed={changed.get(line.id)}
                amount={isFresh ? (amounts.get(`price_line/${line.id}`) ?? null) : undefined}
                onMove={{
                  up: place > 0 ? () => move(line, -1) : undefined,
                  down: place < lines.length - 1 ? () => move(line, 1) : undefined,
                }}
              />
            ))}
          </Table>
        </div>
      )}
      <div class="buttons">
        <button type="button" class="button" onClick={() => add([newRecord(survey.id, 'price_line', { quantity: 1 })])}>
          Add a line
        </button>
      </div>
      <PriceSuggestions
        open={open}
        suggestions={open.assessment?.suggestions?.lines ?? []}
        lines={lines}
        onAdd={(items) => void Promise.all(items.map(drawnEdits)).then((edits) => add(edits.flat()))}
      />
      <PriceTotals open={open} quote={quote} isFresh={isFresh} />
      <PriceMargin open={open} />
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
