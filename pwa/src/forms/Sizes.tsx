/** Several sizes in one field, typed or spoken: `4.2 x 3.6 x 2.4`. */
import { useEffect, useId, useRef, useState } from 'preact/hooks';
import { plainNumber, problemWith } from '../domain/check.ts';
import { fieldOf, type Values } from '../domain/model.ts';
import { nextTurn, readArea, readCount, readSizes, readUpTo } from '../domain/parse.ts';
import { SAVED_HERE } from '../domain/words.ts';
import { useLine } from './line.ts';
import { keep } from './saving.tsx';
import { understood } from './typed.ts';

export interface SizesInputProps {
  label: string;
  kind: string;
  /** The sizes are those of a row of this list of the kind. */
  rows?: string;
  names: string[];
  unit: 'm' | 'mm';
  values: Values;
  example: string;
  /** Names the draft of what could not be read. */
  path: string;
  help?: string;
  isFocused?: boolean;
  /** The last size may be left out where it is known already. */
  isLastKnown?: boolean;
  /** A number of alike ones may stand before the sizes; it is saved as `count`. */
  isCounted?: boolean;
  /** An area may be said instead of the sizes, and is saved under this name. */
  area?: string;
  onSave: (values: Values) => Promise<unknown>;
  /** Hears of sizes while they are typed, and of null when they cannot be read. */
  onType?: (values: Values | null) => void;
}

export function SizesInput({
  label,
  kind,
  rows,
  names,
  unit,
  values,
  example,
  path,
  help,
  isFocused,
  isLastKnown,
  isCounted,
  area,
  onSave,
  onType,
}: SizesInputProps) {
  const id = useId();
  const input = useRef<HTMLInputElement>(null);
  const [isSaved, setSaved] = useState(false);
  const known = names.map((name) => values[name]).filter((value): value is number => typeof value === 'number');
  const stored =
    known.length === names.length ? known.map((value) => plainNumber(value, 3).replaceAll(',', '')).join(' x ') : '';
  useEffect(() => {
    if (!isFocused) return;
    input.current?.focus({ preventScroll: true });
    input.current?.scrollIntoView({ block: 'center' });
  }, [isFocused]);

  const specOf = (name: string) =>
    (rows ? fieldOf(kind, rows).rows?.find((row) => row.name === name) : undefined) ?? fieldOf(kind, name);
  const readAll = (text: string): { next: Values; why: string | null } => {
    const one = area ? readArea(text, names.length > 1) : null;
    if (area && one?.ok) {
      const wrong = problemWith(fieldOf(kind, area), one.value);
      return { next: { [area]: one.value }, why: wrong && `${fieldOf(kind, area).label}: ${wrong}` };
    }
    const { count, rest } = isCounted ? readCount(text) : { count: 1, rest: text };
    const short = isLastKnown ? readSizes(rest, names.length - 1, unit) : null;
    const read = short?.ok ? short : readSizes(rest, names.length, unit);
    let why = read.ok ? null : read.why;
    const next: Values = count > 1 ? { count } : {};
    if (read.ok) {
      names.slice(0, read.value.length).forEach((name, place) => {
        next[name] = read.value[place]!;
        const field = specOf(name);
        const wrong = problemWith(field, read.value[place]!);
        if (wrong && !why) why = `${field.label}: ${wrong}`;
      });
    }
    return { next, why };
  };
  const line = useLine<Values>({
    path,
    read: (text) => {
      // Emptying this line takes nothing away; the sizes one by one do that.
      if (text.trim() === '') return null;
      const { next, why } = readAll(text);
      return why ? { ok: false, why } : { ok: true, value: next };
    },
    save: async (next) => {
      const done = await keep(() => onSave(next));
      setSaved(done);
      return done;
    },
    onTypedOn: () => setSaved(false),
  });
  const { problem } = line;
  const type = (text: string) => {
    line.type(text);
    setSaved(false);
    const { next, why } = readAll(text);
    onType?.(why ? null : next);
  };
  useEffect(() => () => onType?.(null), []);
  /** How the text is understood, in the unit of the field; while sizes come one by one, which is next. */
  const echo = (): string | null => {
    const { text } = line;
    if (text === null || problem) return null;
    if (/×\s*$/.test(text)) {
      const so = readUpTo(text, names.length, unit);
      if (!so.ok) return null;
      const label = (place: number) => specOf(names[place]!).label;
      const there = so.value.map((value, place) => `${label(place)} ${plainNumber(value, 3)} ${unit}`);
      return so.value.length < names.length ? `${there.join(', ')}. ${label(so.value.length)} next.` : null;
    }
    const { next, why } = readAll(text);
    const sizes = ['count', ...names].map((name) => next[name]).filter((value) => typeof value === 'number');
    return why || (area && area in next) ? null : understood(text, sizes, unit);
  };
  return (
    <div class="field">
      <label class="field-label" for={id}>
        {label} <span class="field-unit">{unit}</span>
      </label>
      <input
        ref={input}
        id={id}
        class={problem ? 'input input-problem' : 'input'}
        type="text"
        autocomplete="off"
        autocapitalize="off"
        placeholder={example}
        value={line.shown(stored)}
        aria-describedby={`${id}-notes ${id}-problem`}
        aria-invalid={problem ? true : undefined}
        onInput={(event) => type(event.currentTarget.value)}
        onBlur={() => void line.leave()}
        onKeyDown={(event) => {
          if (event.key !== 'Enter') return;
          const more = area ? null : nextTurn(event.currentTarget.value, names.length, unit, isLastKnown === true);
          if (more !== null) type(more);
          // What is understood leaves the line, so that the next question can come to the thumb; what is not keeps the cursor.
          else if (readAll(event.currentTarget.value).why === null) event.currentTarget.blur();
          else void line.leave();
        }}
      />
      <Echo words={echo()} />
      <p class="field-problem" id={`${id}-problem`} role="alert">
        {problem && <>Not saved: {problem}</>}
      </p>
      <div class="field-notes" id={`${id}-notes`}>
        {help && <p>{help}</p>}
        {isSaved && (
          <p class="field-saved" role="status">
            {SAVED_HERE}
          </p>
        )}
      </div>
    </div>
  );
}

/** How what is being typed is understood, before it is taken. */
export function Echo({ words }: { words: string | null }) {
  return (
    <p class="field-echo" aria-live="polite">
      {words}
    </p>
  );
}
