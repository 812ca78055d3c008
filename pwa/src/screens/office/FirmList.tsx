/** A list of the firm's taken into its book at the office: from a file or pasted, whole or not at all. */
import { useState } from 'preact/hooks';
import { bookWords } from '../../domain/book.ts';
import { kindOf, type Kind } from '../../domain/model.ts';
import { UNIT_COLUMNS, UNIT_PAPERS } from '../../generated/answers.ts';
import { syncNow } from '../../sync/loop.ts';
import { bringList, troubleWith, type TakenIn } from '../../sync/office.ts';

const ARTICLE: Record<string, string> = {
  code: 'PIPE-22',
  words: 'Copper pipe 22 mm',
  sold_by: 'm',
  holds_from: '',
  selling_price: '14.20',
  cost_price: '6.85',
  vat: 'standard',
};
const LATER: Record<string, string> = {
  code: 'PIPE-22',
  holds_from: '2027-01-04',
  selling_price: '14.90',
  cost_price: '7.10',
};
const ARTICLE_COLUMNS = Object.keys(ARTICLE);
/** What else a list may say of an article: any of its fields but the lists of prices, which are its rows. */
const MORE = kindOf('article')
  .fields.filter((field) => field.type !== 'rows' && !ARTICLE_COLUMNS.includes(field.name))
  .map((field) => field.name);
const rowOf = (said: Record<string, string>): string => ARTICLE_COLUMNS.map((name) => said[name] ?? '').join(',');

/** How the first rows of a list look, and what to know of it. */
const FORMS: Record<string, { rows: string[]; words: string }> = {
  unit: {
    rows: [Object.keys(UNIT_COLUMNS).join(','), Object.values(UNIT_COLUMNS).join(',')],
    words: `A table as CSV or XLSX: first a row with the columns, then a row with their units, then a row for every outside temperature with every flow temperature of each unit. A unit of the same short name is replaced. Further columns may say the rest of its papers, once for each unit: ${Object.keys(UNIT_PAPERS).join(', ')}.`,
  },
  article: {
    rows: [ARTICLE_COLUMNS.join(','), rowOf(ARTICLE), rowOf(LATER)],
    words: `A table as CSV or XLSX: first a row with the columns, then a row for each article. An article of the same code is changed; an empty cell says nothing. Another row of the same code with a day in holds_from has the prices from that day on; those that are there stay. Further columns may be ${MORE.join(', ')}.`,
  },
  preset_valve: {
    rows: ['name,table_from,setting,kv_m3_h', 'Angle 15,The paper and its page,1,0.05', 'Angle 15,,2,0.12'],
    words:
      'A table as CSV or XLSX: first a row with the columns, then a row for each setting of each valve with its Kv in m³/h. A valve of the same name gets the settings of the list.',
  },
};
/** Whether the firm may bring records of a kind as a list. */
export const comesAsList = (kind: Kind): boolean => kind.name in FORMS;
const PASTED = 'The pasted list';

export function FirmList({ kind, isOpen }: { kind: Kind; isOpen: boolean }) {
  const { many } = bookWords(kind);
  const form = FORMS[kind.name]!;
  const list = `${kind.name}-list`;
  const [text, setText] = useState('');
  const [problem, setProblem] = useState<string | null>(null);
  const [done, setDone] = useState<string | null>(null);
  const [isBusy, setBusy] = useState(false);

  const take = async (name: string, given: string | Uint8Array) => {
    setBusy(true);
    setDone(null);
    const reply = await bringList(kind.name, name, given);
    const trouble = troubleWith(reply);
    setProblem(
      trouble && reply.kind !== 'refused' ? `${trouble} The list is checked there, so nothing was taken in.` : trouble,
    );
    if (reply.kind === 'ok') {
      setDone(takenWords(name === PASTED ? 'the pasted list' : name, reply.body));
      setText('');
      void syncNow();
    }
    setBusy(false);
  };
  const chosen = async (input: HTMLInputElement) => {
    const file = input.files?.[0];
    if (!file) return;
    let bytes: Uint8Array;
    try {
      bytes = new Uint8Array(await file.arrayBuffer());
    } catch {
      setDone(null);
      setProblem(`${file.name} could not be read. Choose it again.`);
      input.value = '';
      return;
    }
    await take(file.name, bytes);
    input.value = '';
  };
  return (
    <>
      <details open={isOpen}>
        <summary>Take in a list of {many}</summary>
        <div class="group">
          <p>{form.words}</p>
          <div class="scroll" tabIndex={0} role="group" aria-label="The first rows of a list">
            <code class="unit-list-form">{form.rows.join('\n')}</code>
          </div>
          <div class="field">
            <label class="field-label" for={`${list}-file`}>
              The list of {many} as a file
            </label>
            <input
              id={`${list}-file`}
              class="input"
              type="file"
              accept=".csv,.xlsx,text/csv,application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
              disabled={isBusy}
              onChange={(event) => void chosen(event.currentTarget)}
            />
          </div>
          <div class="field">
            <label class="field-label" for={`${list}-text`}>
              Or paste the list of {many}
            </label>
            <textarea
              id={`${list}-text`}
              class="input unit-list-text"
              spellcheck={false}
              value={text}
              onInput={(event) => setText(event.currentTarget.value)}
            />
          </div>
          <div class="buttons">
            <button
              type="button"
              class="button"
              disabled={isBusy || text.trim() === ''}
              onClick={() => void take(PASTED, text)}
            >
              Take in the pasted list of {many}
            </button>
          </div>
          <p class="field-problem" role="alert">
            {problem}
          </p>
        </div>
      </details>
      {/* Outside, since the first list that comes in shuts what is above. */}
      {done && (
        <p class="field-saved" role="status">
          {done}
        </p>
      )}
    </>
  );
}

function takenWords(name: string, { added, changed }: TakenIn): string {
  if (added + changed === 0) return `Nothing is new in ${name}.`;
  return `Taken in from ${name}, at the office: ${added} new, ${changed} changed.`;
}
