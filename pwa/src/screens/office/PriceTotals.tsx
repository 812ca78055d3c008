/** What the lines come to, as the office adds them up: groups, VAT, what is left to pay; what the household may choose stands by itself. */
import { singleId } from '../../domain/ids.ts';
import { lineEdits, offeredLines } from '../../domain/lines.ts';
import { pounds, type Quote } from '../../domain/office.ts';
import { waitingWords } from '../../domain/words.ts';
import { RecordForm } from '../../forms/RecordForm.tsx';
import { keep } from '../../forms/saving.tsx';
import type { OpenSurvey } from '../../store/live.ts';
import { saveEdits } from '../../store/surveys.ts';
import { Notice } from '../../ui/Notice.tsx';

export function PriceTotals({ open, quote, isFresh }: { open: OpenSurvey; quote: Quote | null; isFresh: boolean }) {
  const { survey } = open;
  const house = survey.single('survey') ?? { kind: 'survey', id: singleId(survey.id, 'survey'), values: {} };
  const waiting = waitingWords(open.waiting, 0);
  return (
    <section class="office-stack" aria-labelledby="totals">
      <h3 id="totals">Totals</h3>
      <Chosen open={open} quote={quote} isFresh={isFresh} />
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
          {quote.lines.some((line) => line.group) && <Groups groups={quote.groups ?? []} />}
          <div class="scroll" tabIndex={0} role="group" aria-label="Totals by rate of VAT">
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
          </div>
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

/** What each group comes to: a table of its own, so that a group's name has the width for its words. */
function Groups({ groups }: { groups: NonNullable<Quote['groups']> }) {
  return (
    <table class="totals">
      <thead>
        <tr>
          <th scope="col">Group</th>
          <th scope="col" class="number">
            Net
          </th>
        </tr>
      </thead>
      <tbody>
        {groups.map((group) => (
          <tr key={group.label} class="totals-group">
            <th scope="row">{group.label}</th>
            <td class="number">{pounds(group.amount)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** Lines that the household may choose, with what each costs by itself; chosen, it is a line like the others. */
function Chosen({ open, quote, isFresh }: { open: OpenSurvey; quote: Quote | null; isFresh: boolean }) {
  const { survey } = open;
  const lines = offeredLines(survey, () => 0).filter((line) => line.values['is_optional'] === true);
  if (lines.length === 0) return null;
  const told = new Map(quote?.lines.map((line) => [line.record, line.with_vat ?? null]));
  const choose = async (line: string) => saveEdits(survey.id, await lineEdits(survey, line, { is_optional: null }));
  return (
    <section aria-label="If the household wants it">
      <h4>If they want it</h4>
      <ul class="list works">
        {lines.map((line) => {
          const price = told.get(`price_line/${line.id}`);
          const what = String(line.values['what'] ?? 'A line without words');
          return (
            <li key={line.id} class="row">
              <span class="row-words">
                <span>{what}</span>
                <small>{!isFresh ? '…' : price ? `${pounds(price)} with VAT, not in the sum` : 'not complete'}</small>
              </span>
              <button type="button" class="button" onClick={() => void keep(() => choose(line.id))}>
                They want it<span class="hidden-words">: {what}</span>
              </button>
            </li>
          );
        })}
      </ul>
    </section>
  );
}
