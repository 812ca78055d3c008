/** The prices of an article by day: which one holds today, and one more from a day on. */
import { useState } from 'preact/hooks';
import {
  dayOf,
  PRICES,
  versionsOf,
  withoutVersion,
  withVersion,
  type PriceField,
} from '../../domain/article_prices.ts';
import { BOOK, maySee } from '../../domain/book.ts';
import { dayWords } from '../../domain/check.ts';
import { fieldOf } from '../../domain/model.ts';
import { pounds } from '../../domain/office.ts';
import { readDate } from '../../domain/parse.ts';
import type { SurveyRecord } from '../../domain/survey.ts';
import { keep, useOneAtATime } from '../../forms/saving.tsx';
import { readTyped } from '../../forms/typed.ts';
import { changeRecord } from '../../store/surveys.ts';
import { Cell, Head, Table } from '../../ui/Cards.tsx';

export function ArticlePrices({
  record,
  role,
  mayWrite,
}: {
  record: SurveyRecord;
  role: string | undefined;
  mayWrite: boolean;
}) {
  const fields = PRICES.filter((field) => maySee(fieldOf('article', field.byDay), role));
  const versions = versionsOf(record.values, fields, dayOf(new Date()));
  const takeOut = useOneAtATime(async (from: string) => {
    await keep(() => changeRecord(BOOK, 'article', record.id, (present) => withoutVersion(present, fields, from)));
  });
  return (
    <section class="group" aria-label="Prices by day">
      <h2>Prices by day</h2>
      <div class="prices-by-day">
        <Table
          label="Prices by day"
          head={
            <tr role="row">
              <Head words="From" />
              {fields.map((field) => (
                <Head key={field.plain} words={field.label} />
              ))}
              {mayWrite && <Head words="Take out" />}
            </tr>
          }
        >
          {versions.map(({ from, prices }) => (
            <tr role="row" key={from ?? ''}>
              <Cell label="From" class="cards-title">
                {from === null ? 'Before any day below' : dayWords(from)}
              </Cell>
              {prices.map(({ price, holds }, at) => (
                <Cell key={fields[at]!.plain} label={fields[at]!.label}>
                  <span>
                    {price !== null ? pounds(price) : from === null ? 'None' : 'As before'}
                    {holds && <strong>, holds today</strong>}
                  </span>
                </Cell>
              ))}
              {mayWrite && (
                <Cell label="">
                  {from !== null && (
                    <button
                      type="button"
                      class="button button-quiet"
                      aria-label={`Take out the prices from ${dayWords(from)}`}
                      onClick={() => takeOut(from)}
                    >
                      Take out
                    </button>
                  )}
                </Cell>
              )}
            </tr>
          ))}
        </Table>
      </div>
      {mayWrite && <NewVersion id={record.id} fields={fields} />}
    </section>
  );
}

const NOTHING = { from: '', selling_price: '', cost_price: '' };

function NewVersion({ id, fields }: { id: string; fields: readonly PriceField[] }) {
  const [typed, setTyped] = useState(NOTHING);
  const [problem, setProblem] = useState<string | null>(null);
  const add = useOneAtATime(async () => {
    const read = readDate(typed.from);
    if (!read.ok) return setProblem(typed.from.trim() === '' ? 'From which day do they hold?' : read.why);
    const prices: { field: PriceField; price: string }[] = [];
    for (const field of fields) {
      if (typed[field.plain].trim() === '') continue;
      const price = readTyped(fieldOf('article', field.plain), typed[field.plain]);
      if (!price.ok) return setProblem(`${field.label}: ${price.why}`);
      prices.push({ field, price: String(price.value) });
    }
    if (prices.length === 0) return setProblem('Which price holds from that day?');
    let why: string | null = null;
    const kept = await keep(() =>
      changeRecord(BOOK, 'article', id, (present) => {
        const made = withVersion(present, read.value, prices);
        why = 'why' in made ? made.why : null;
        return 'why' in made ? {} : made.values;
      }),
    );
    setProblem(why);
    if (kept && why === null) setTyped(NOTHING);
  });
  const line = (name: keyof typeof NOTHING, label: string, mode: 'text' | 'decimal') => (
    <div class="field">
      <label class="field-label" for={`version-${name}`}>
        {label}
      </label>
      <input
        id={`version-${name}`}
        class="input"
        type="text"
        inputMode={mode}
        autocomplete="off"
        maxLength={20}
        aria-describedby="version-problem"
        value={typed[name]}
        onInput={(event) => {
          setProblem(null);
          setTyped({ ...typed, [name]: event.currentTarget.value });
        }}
      />
    </div>
  );
  return (
    <form
      class="office-stack"
      aria-label="Prices from another day"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        add();
      }}
    >
      {line('from', 'New prices from the day', 'text')}
      {fields.map((field) => line(field.plain, `${field.label} from then on £`, 'decimal'))}
      <p class="field-problem" id="version-problem" role="alert">
        {problem}
      </p>
      <div class="buttons">
        <button type="submit" class="button">
          Add these prices
        </button>
      </div>
    </form>
  );
}
