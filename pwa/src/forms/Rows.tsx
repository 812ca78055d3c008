/** A short list of rows in one field: layers of a wall, stretches of a run. The whole list is one answer. */
import { useRef, useState } from 'preact/hooks';
import { rowWords } from '../domain/check.ts';
import type { Field, Row, Value } from '../domain/model.ts';
import { readStretches } from '../domain/parse.ts';
import { draftOf, keepDraft } from './drafts.ts';
import { asTyped, readTyped } from './Field.tsx';
import { NOT_TAKEN } from './saving.tsx';

interface RowsProps {
  field: Field;
  value: Row[];
  path: string;
  describedBy: string;
  save: (value: Value) => Promise<boolean>;
}

/** True for rows that are a place and a length, which can be said in one line. */
function areStretches(field: Field): boolean {
  const names = (field.rows ?? []).map((row) => row.name);
  return names.length === 2 && names.includes('place') && names.includes('length_m');
}

export function RowsEditor({ field, value, path, save }: RowsProps) {
  const [opened, setOpened] = useState<number | null>(null);
  const isFull = value.length >= (field.max_rows ?? 200);
  // One who types on before the last answer is stored must not overwrite it: each answer builds on the one before.
  const latest = useRef(value);
  const waiting = useRef(0);
  if (waiting.current === 0) latest.current = value;
  const saveAll = async (next: Row[]): Promise<boolean> => {
    latest.current = next;
    waiting.current += 1;
    const done = await save(next);
    waiting.current -= 1;
    return done;
  };
  const put = (place: number, change: (row: Row) => Row | null) =>
    saveAll(latest.current.flatMap((item, at) => {
      const next = at === place ? change(item) : item;
      return next === null ? [] : [next];
    }));
  const move = (place: number) => {
    const next = [...latest.current];
    const [row] = next.splice(place, 1);
    next.splice(place - 1, 0, row!);
    void saveAll(next);
  };
  return (
    <div class="rows">
      {areStretches(field) && <StretchLine path={path} value={value} field={field} save={(next) => saveAll(next as Row[])} />}
      <ol class="rows-list">
        {value.map((row, place) => (
          <li key={place} class="rows-item">
            <button type="button" class="rows-words" aria-expanded={opened === place} onClick={() => setOpened(opened === place ? null : place)}>
              {rowWords(field, row) || 'Empty row'}
            </button>
            {opened === place && (
              <div class="rows-fields">
                {(field.rows ?? []).map((spec) => (
                  <RowField key={spec.name} spec={spec} value={row[spec.name] ?? null} path={`${path}/${place}/${spec.name}`} save={(next) => put(place, (present) => withField(present, spec.name, next))} />
                ))}
                <div class="buttons">
                  {place > 0 && <button type="button" class="button" onClick={() => { move(place); setOpened(place - 1); }}>Move up</button>}
                  <button type="button" class="button button-quiet" onClick={() => { void put(place, () => null); setOpened(null); }}>Take this row out</button>
                </div>
              </div>
            )}
          </li>
        ))}
      </ol>
      {!isFull && (
        <button type="button" class="button" onClick={() => { void saveAll([...latest.current, {}]); setOpened(latest.current.length - 1); }}>
          Add a row
        </button>
      )}
    </div>
  );
}

function withField(row: Row, name: string, value: Value): Row {
  const next: Row = { ...row };
  if (value === null || Array.isArray(value)) delete next[name];
  else next[name] = value;
  return next;
}

function RowField({ spec, value, path, save }: { spec: Field; value: Value; path: string; save: (value: Value) => Promise<boolean> }) {
  const [draft, setDraft] = useState<string | null>(draftOf(path) ?? null);
  const [problem, setProblem] = useState<string | null>(null);
  const id = `row-${path.split('/').slice(-3).join('-')}`;
  const leave = async () => {
    if (draft === null) return;
    const read = readTyped(spec, draft);
    const done = read.ok && (await save(read.value));
    setProblem(done ? null : read.ok ? NOT_TAKEN : read.why);
    keepDraft(path, done ? null : draft);
    if (done) setDraft(null);
  };
  return (
    <div class="field">
      <label class="field-label" for={id}>{spec.label}{spec.unit && <span class="field-unit"> {spec.unit}</span>}</label>
      {spec.type === 'choice' ? (
        <select id={id} class="input" value={typeof value === 'string' ? value : ''} onChange={(event) => void save(event.currentTarget.value || null)}>
          <option value="">Not answered</option>
          {(spec.choices ?? []).map((item) => <option key={item.value} value={item.value}>{item.label}</option>)}
        </select>
      ) : (
        <input
          id={id} class={problem ? 'input input-problem' : 'input'} autocomplete="off" inputMode={spec.type === 'text' ? undefined : 'decimal'}
          aria-invalid={problem ? true : undefined} aria-describedby={`${id}-problem`} value={draft ?? asTyped(value)}
          list={spec.suggestions ? `${id}-offers` : undefined}
          onInput={(event) => setDraft(event.currentTarget.value)} onBlur={() => void leave()}
        />
      )}
      {spec.suggestions && <datalist id={`${id}-offers`}>{spec.suggestions.map((offer) => <option key={offer} value={offer} />)}</datalist>}
      {spec.help && <p class="field-notes">{spec.help}</p>}
      <p class="field-problem" id={`${id}-problem`} role="alert">{problem && <>Not saved: {problem}</>}</p>
    </div>
  );
}

function StretchLine({ path, value, field, save }: { path: string; value: Row[]; field: Field; save: (value: Value) => Promise<boolean> }) {
  const key = `${path}/line`;
  const [text, setText] = useState(draftOf(key) ?? '');
  const [problem, setProblem] = useState<string | null>(null);
  const id = `line-${path.split('/').slice(-2).join('-')}`;
  const isBusy = useRef(false);
  const add = async () => {
    // Enter adds, and the loss of focus that follows comes while that is under way.
    if (text.trim() === '' || isBusy.current) return;
    const read = readStretches(text);
    const room = (field.max_rows ?? 200) - value.length;
    const why = !read.ok ? read.why : read.value.length > room ? `At most ${field.max_rows} stretches fit.` : null;
    setProblem(why);
    keepDraft(key, text);
    if (!read.ok || why) return;
    isBusy.current = true;
    const done = await save([...value, ...read.value.map((item): Row => ({ ...item }))]);
    isBusy.current = false;
    if (!done) {
      setProblem(NOT_TAKEN);
      return;
    }
    keepDraft(key, null);
    setText('');
  };
  return (
    <div class="field">
      <label class="field-label" for={id}>All in one line</label>
      <input
        id={id} class={problem ? 'input input-problem' : 'input'} autocomplete="off" placeholder="outdoors 5, under floor 9, cupboard 2" value={text} aria-describedby={`${id}-problem`}
        onInput={(event) => setText(event.currentTarget.value)} onBlur={() => void add()} onKeyDown={(event) => { if (event.key === 'Enter') void add(); }}
      />
      <p class="field-problem" id={`${id}-problem`} role="alert">{problem && <>Not saved: {problem}</>}</p>
    </div>
  );
}
