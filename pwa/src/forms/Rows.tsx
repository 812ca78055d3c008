/** A short list of rows in one field: layers of a wall, stretches of a run. The whole list is one answer. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { rowWords } from '../domain/check.ts';
import type { Field, Row, Value } from '../domain/model.ts';
import { hasDraft } from './drafts.ts';
import { asTyped, readTyped } from './typed.ts';
import { onward } from '../ui/onward.ts';
import { bring } from '../ui/reach.ts';
import { useLine } from './line.ts';
import { Stretches } from './Stretches.tsx';

export interface RowsProps {
  field: Field;
  value: Row[];
  path: string;
  /** Changes the list as it is stored at that moment: who types on before the last answer is on the screen must not overwrite it. */
  change: (by: (rows: Row[]) => Row[]) => Promise<boolean>;
  /** What is being typed is not the answer that was saved. */
  unsay: () => void;
  isFocused?: boolean;
}

/** True for rows that are a place and a length, which can be said in one line. */
function areStretches(field: Field): boolean {
  const names = (field.rows ?? []).map((row) => row.name);
  return names.length === 2 && names.includes('place') && names.includes('length_m');
}

export function RowsEditor({ field, value, path, change, unsay, isFocused }: RowsProps) {
  // A row in which something stands that is not stored is open.
  const [opened, setOpened] = useState<number | null>(() => {
    const typed = value.findIndex((_row, place) => hasDraft(`${path}/${place}`));
    return typed < 0 ? null : typed;
  });
  const [fresh, setFresh] = useState<number | null>(null);
  const box = useRef<HTMLDivElement>(null);
  useEffect(() => {
    if (!isFocused) return;
    box.current?.querySelector<HTMLElement>('input, button')?.focus({ preventScroll: true });
    box.current?.scrollIntoView({ block: 'center' });
  }, [isFocused]);
  const isFull = value.length >= (field.max_rows ?? 200);
  const put = (place: number, next: (row: Row) => Row) =>
    change((rows) => rows.map((row, at) => (at === place ? next(row) : row)));
  const takeOut = (place: number) => change((rows) => rows.filter((_row, at) => at !== place));
  const moveUp = (place: number) =>
    change((rows) =>
      rows.map((row, at) => (at === place - 1 ? (rows[place] ?? row) : at === place ? rows[place - 1]! : row)),
    );
  const add = (row: Row) => {
    let place = 0;
    void change((rows) => {
      place = rows.length;
      return [...rows, row];
    }).then((isDone) => {
      if (!isDone) return;
      setOpened(place);
      setFresh(place);
    });
  };
  // A row was added to be typed.
  useEffect(() => {
    const line = fresh === null ? null : box.current?.querySelectorAll('.rows-item')[fresh]?.querySelector('input');
    if (!line) return;
    setFresh(null);
    line.focus();
  }, [fresh, value.length]);
  return (
    <div class="rows" ref={box}>
      {areStretches(field) && (
        <Stretches
          path={path}
          value={value}
          field={field}
          save={(more) => change((rows) => [...rows, ...more])}
          unsay={unsay}
        />
      )}
      <ol class="rows-list">
        {value.map((row, place) => (
          <li key={place} class="rows-item">
            <button
              type="button"
              class="rows-words"
              aria-expanded={opened === place}
              onClick={() => setOpened(opened === place ? null : place)}
            >
              {rowWords(field, row) || 'Empty row'}
            </button>
            {opened === place && (
              <div class="rows-fields">
                {(field.rows ?? []).map((spec) => (
                  <RowField
                    key={spec.name}
                    spec={spec}
                    value={row[spec.name] ?? null}
                    path={`${path}/${place}/${spec.name}`}
                    save={(next) => put(place, (present) => withField(present, spec.name, next))}
                    unsay={unsay}
                  />
                ))}
                <div class="buttons">
                  {place > 0 && (
                    <button
                      type="button"
                      class="button"
                      onClick={() => {
                        void moveUp(place);
                        setOpened(place - 1);
                      }}
                    >
                      Move up
                    </button>
                  )}
                  <button
                    type="button"
                    class="button button-quiet"
                    onClick={() => {
                      void takeOut(place);
                      setOpened(null);
                    }}
                  >
                    Take this row out
                  </button>
                </div>
              </div>
            )}
          </li>
        ))}
      </ol>
      {/* Of stretches it is the third way to add one: for a place of which nobody has the length yet. */}
      {!isFull && (!areStretches(field) || value.length > 0) && <AddRow field={field} add={add} />}
    </div>
  );
}

/** A row more: of what it is by a tap where that is chosen, the rest is typed. */
function AddRow({ field, add }: { field: Field; add: (row: Row) => void }) {
  const [isAsking, setAsking] = useState(false);
  const ways = useRef<HTMLDivElement>(null);
  const first = field.rows?.[0];
  const choices = first?.choices;
  const begin = () => {
    if (!choices) return add({});
    setAsking(!isAsking);
    if (!isAsking) bring(() => ways.current, { takesFocus: false });
  };
  return (
    <>
      <button type="button" class="button" aria-expanded={choices ? isAsking : undefined} onClick={begin}>
        Add a row
      </button>
      {isAsking && first && (
        <div class="choices choices-words" role="group" aria-label={first.label} ref={ways}>
          {choices?.map((choice) => (
            <button
              key={choice.value}
              type="button"
              class="choice"
              onClick={() => {
                setAsking(false);
                add({ [first.name]: choice.value });
              }}
            >
              <span class="choice-words">{choice.label}</span>
            </button>
          ))}
        </div>
      )}
    </>
  );
}

function withField(row: Row, name: string, value: Value): Row {
  const next: Row = { ...row };
  if (value === null || Array.isArray(value)) delete next[name];
  else next[name] = value;
  return next;
}

function RowField({
  spec,
  value,
  path,
  save,
  unsay,
}: {
  spec: Field;
  value: Value;
  path: string;
  save: (value: Value) => Promise<boolean>;
  unsay: () => void;
}) {
  const line = useLine<Value>({ path, read: (text) => readTyped(spec, text), save, show: asTyped, onTypedOn: unsay });
  const { problem } = line;
  const id = `row-${path.split('/').slice(-3).join('-')}`;
  return (
    <div class="field">
      <label class="field-label" for={id}>
        {spec.label}
        {spec.unit && <span class="field-unit"> {spec.unit}</span>}
      </label>
      {spec.type === 'choice' ? (
        <select
          id={id}
          class="input"
          value={typeof value === 'string' ? value : ''}
          onChange={(event) => void save(event.currentTarget.value || null)}
        >
          <option value="">Not answered</option>
          {(spec.choices ?? []).map((item) => (
            <option key={item.value} value={item.value}>
              {item.label}
            </option>
          ))}
        </select>
      ) : (
        <input
          id={id}
          class={problem ? 'input input-problem' : 'input'}
          autocomplete="off"
          inputMode={spec.type === 'text' ? undefined : 'decimal'}
          aria-invalid={problem ? true : undefined}
          aria-describedby={`${id}-problem`}
          value={line.shown(asTyped(value))}
          list={spec.suggestions ? `${id}-offers` : undefined}
          onInput={(event) => {
            line.type(event.currentTarget.value);
            unsay();
          }}
          onBlur={() => void line.leave()}
          onKeyDown={(event) => {
            if (event.key !== 'Enter') return;
            event.preventDefault();
            if (line.text !== null && !readTyped(spec, line.text).ok) void line.leave();
            else onward(event.currentTarget);
          }}
        />
      )}
      {spec.suggestions && (
        <datalist id={`${id}-offers`}>
          {spec.suggestions.map((offer) => (
            <option key={offer} value={offer} />
          ))}
        </datalist>
      )}
      {spec.help && <p class="field-notes">{spec.help}</p>}
      <p class="field-problem" id={`${id}-problem`} role="alert">
        {problem && <>Not saved: {problem}</>}
      </p>
    </div>
  );
}
