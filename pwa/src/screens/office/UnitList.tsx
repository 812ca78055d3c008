/** A firm's own list of units taken into the survey: from a file or pasted, checked by the office, saved like any answer. */
import { useState } from 'preact/hooks';
import { kindOf, type Value, type Values } from '../../domain/model.ts';
import { SAVED_HERE } from '../../domain/words.ts';
import { keep } from '../../forms/saving.tsx';
import type { OpenSurvey } from '../../store/live.ts';
import { saveEdits } from '../../store/surveys.ts';
import { readUnitList, troubleWith, type ListedUnit } from '../../sync/office.ts';

const COLUMNS = ['unit', 'name', 'outside_c', 'flow_c', 'capacity_kw', 'cop', 'least_kw', 'standby_w'];
const UNITS = ['text', 'text', 'degC', 'degC', 'kW', '1', 'kW', 'W'];
const PAPERS = kindOf('unit')
  .fields.filter(
    (field) =>
      (field.type === 'number' || field.type === 'choice' || field.name === 'zone_corners') &&
      !COLUMNS.includes(field.name) &&
      field.name !== 'zone_drawing',
  )
  .map((field) => field.name)
  .join(', ');
const PASTED = 'The pasted list';

export function UnitList({ open }: { open: OpenSurvey }) {
  const [text, setText] = useState('');
  const [problem, setProblem] = useState<string | null>(null);
  const [done, setDone] = useState<string | null>(null);
  const [isBusy, setBusy] = useState(false);

  const take = async (name: string, csv: string) => {
    setBusy(true);
    setDone(null);
    const reply = await readUnitList(name, csv);
    const trouble = troubleWith(reply);
    setProblem(
      trouble && reply.kind !== 'refused' ? `${trouble} The list is checked there, so nothing was taken in.` : trouble,
    );
    if (reply.kind === 'ok') {
      const edits = reply.body.units
        .map((unit) => ({ kind: 'unit', id: unit.id, values: news(open, unit) }))
        .filter((edit) => Object.keys(edit.values).length > 0);
      if (await keep(() => saveEdits(open.survey.id, edits))) {
        setDone(
          edits.length === 0
            ? `Nothing is new in ${name}.`
            : `${edits.length === 1 ? 'One unit' : `${edits.length} units`} taken in from ${name}. ${SAVED_HERE}.`,
        );
        setText('');
      }
    }
    setBusy(false);
  };
  const chosen = async (input: HTMLInputElement) => {
    const file = input.files?.[0];
    if (!file) return;
    try {
      // A list in another encoding must not come in with wrong letters.
      await take(file.name, new TextDecoder('utf-8', { fatal: true }).decode(await file.arrayBuffer()));
    } catch {
      setDone(null);
      setProblem(`${file.name} is not text in UTF-8. Save it from the spreadsheet as CSV in UTF-8.`);
    }
    input.value = '';
  };
  return (
    <details class="unit-list" open={open.survey.ofKind('unit').length === 0}>
      <summary>Take in the firm's list of units</summary>
      <div class="group">
        <p>
          A table as CSV: first a row with the columns, then a row with their units, then a row for every outside
          temperature with every flow temperature of each unit. A unit of the same short name is replaced. Further
          columns may say the rest of its papers, once for each unit: {PAPERS}.
        </p>
        <div class="scroll" tabIndex={0} role="group" aria-label="The first two rows of a list">
          <code class="unit-list-form">
            {COLUMNS.join(',')}
            {'\n'}
            {UNITS.join(',')}
          </code>
        </div>
        <div class="field">
          <label class="field-label" for="unit-list-file">
            The list as a file
          </label>
          <input
            id="unit-list-file"
            class="input"
            type="file"
            accept=".csv,text/csv"
            disabled={isBusy}
            onChange={(event) => void chosen(event.currentTarget)}
          />
        </div>
        <div class="field">
          <label class="field-label" for="unit-list-text">
            Or paste it
          </label>
          <textarea
            id="unit-list-text"
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
            Take in what was pasted
          </button>
        </div>
        <p class="field-problem" role="alert">
          {problem}
        </p>
        {done && (
          <p class="field-saved" role="status">
            {done}
          </p>
        )}
      </div>
    </details>
  );
}

/** What differs from the unit as it is there already. */
function news(open: OpenSurvey, unit: ListedUnit): Values {
  const before = open.survey.find('unit', unit.id)?.values ?? {};
  const { id: _id, ...values }: Values = unit;
  return Object.fromEntries(Object.entries(values).filter(([name, value]) => written(value) !== written(before[name])));
}

/** A value as text that does not hang on the order of a row's cells. */
function written(value: Value | undefined): string {
  return JSON.stringify(
    Array.isArray(value)
      ? value.map((row) => Object.entries(row).sort(([a], [b]) => (a < b ? -1 : 1)))
      : (value ?? null),
  );
}
