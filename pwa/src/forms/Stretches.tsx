/** The stretches of a run: a place by a tap and its length by a number while one walks along it, or all in one line. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { problemWith } from '../domain/check.ts';
import type { Choice, Field, Row } from '../domain/model.ts';
import { readNumber, readStretches } from '../domain/parse.ts';
import { draftOf } from './drafts.ts';
import { staying } from './folds.ts';
import { useLine } from './line.ts';

interface StretchesProps {
  field: Field;
  value: Row[];
  path: string;
  /** Adds to the list as it is stored at that moment. */
  save: (more: Row[]) => Promise<boolean>;
  /** What is being typed is not the answer that was saved. */
  unsay: () => void;
}

export function Stretches(props: StretchesProps) {
  return (
    <>
      <WalkOn {...props} />
      <StretchLine {...props} />
    </>
  );
}

const mostOf = (field: Field): number => field.max_rows ?? 200;

/** A place by a tap, its length by a number. Each place has a line of its own, which stands there until what was typed into it is stored. */
function WalkOn({ field, value, path, save, unsay }: StretchesProps) {
  const place = (field.rows ?? []).find((row) => row.name === 'place')!;
  const pathOf = (choice: Choice) => `${path}/walk/${choice.value}`;
  const isTyped = (choice: Choice) => draftOf(pathOf(choice)) !== undefined;
  const [lines, setLines] = useState(() => (place.choices ?? []).filter(isTyped));
  const isFull = value.length >= mostOf(field);
  const tap = (choice: Choice) => {
    unsay();
    // The newest line is the first, so that it moves under no thumb when those before it are stored.
    if (!lines.includes(choice)) setLines((present) => [choice, ...present]);
    else if (!isTyped(choice)) setLines((present) => present.filter((item) => item !== choice));
  };
  return (
    <div class="walk-on">
      {isFull ? (
        <p>{value.length} stretches are the most that fit. Join some in the list below.</p>
      ) : (
        <div class="choices" role="group" aria-label="Next stretch">
          {(place.choices ?? []).map((choice) => (
            <button
              key={choice.value}
              type="button"
              class="choice"
              aria-pressed={lines.includes(choice)}
              onClick={() => tap(choice)}
            >
              <span class="choice-words">{choice.label}</span>
            </button>
          ))}
        </div>
      )}
      {lines.map((choice) => (
        <StretchLength
          key={choice.value}
          choice={choice}
          field={field}
          isFull={isFull}
          path={pathOf(choice)}
          save={save}
          unsay={unsay}
          // Whoever has tapped the next place meanwhile is at that one.
          stored={() => setLines((present) => present.filter((item) => item !== choice))}
        />
      ))}
    </div>
  );
}

interface LengthProps extends Pick<StretchesProps, 'field' | 'path' | 'save' | 'unsay'> {
  choice: Choice;
  isFull: boolean;
  stored: () => void;
}

function StretchLength({ choice, field, isFull, path, save, unsay, stored }: LengthProps) {
  const spec = (field.rows ?? []).find((row) => row.name === 'length_m')!;
  const [isMissing, setMissing] = useState(false);
  const box = useRef<HTMLInputElement>(null);
  const line = useLine<Row>({
    path,
    read: (text) => {
      if (text.trim() === '') return null;
      if (isFull) return { ok: false, why: `At most ${mostOf(field)} stretches fit.` };
      const read = readNumber(text, spec.unit ?? '', spec);
      const why = read.ok ? problemWith(spec, read.value) : read.why;
      return why || !read.ok
        ? { ok: false, why: why ?? '' }
        : { ok: true, value: { place: choice.value, length_m: read.value } };
    },
    save: (stretch) => save([stretch]),
    onTypedOn: unsay,
  });
  // One that was tapped is typed at once; what stands there since before takes the cursor from nothing.
  useEffect(() => {
    if (line.text === null) box.current?.focus();
  }, []);
  // A draft that the screen before was still storing when it went.
  const wasTyped = useRef(line.text !== null);
  useEffect(() => {
    if (wasTyped.current && line.text === null && document.activeElement !== box.current) stored();
    wasTyped.current = line.text !== null;
  }, [line.text]);
  const isEmpty = () => !line.text?.trim();
  const leave = async () => {
    if (isEmpty()) return;
    await line.leave();
    if (line.text === null) stored();
  };
  const add = () => {
    setMissing(isEmpty());
    void leave();
  };
  const problem = line.problem ?? (isMissing && isEmpty() ? 'Type its length.' : null);
  const id = `walk-on-${choice.value}`;
  return (
    <>
      <div class="walk-on-length">
        <label class="field" for={id}>
          <span class="field-label">
            {choice.label}, length<span class="field-unit"> m</span>
          </span>
          <input
            ref={box}
            id={id}
            class={problem ? 'input input-problem' : 'input'}
            inputMode="decimal"
            autocomplete="off"
            value={line.text ?? ''}
            aria-invalid={problem ? true : undefined}
            aria-describedby={`${id}-problem`}
            onInput={(event) => {
              line.type(event.currentTarget.value);
              unsay();
            }}
            onBlur={() => void leave()}
            onKeyDown={(event) => {
              if (event.key === 'Enter') add();
            }}
          />
        </label>
        <button type="button" class="button button-main" {...staying} onClick={add}>
          Add stretch
        </button>
      </div>
      <p class="field-problem" id={`${id}-problem`} role="alert">
        {problem && <>Not saved: {problem}</>}
      </p>
    </>
  );
}

function StretchLine({ path, value, field, save, unsay }: StretchesProps) {
  const id = `line-${path.split('/').slice(-2).join('-')}`;
  const line = useLine<Row[]>({
    path: `${path}/line`,
    read: (text) => {
      if (text.trim() === '') return null;
      const read = readStretches(text);
      if (!read.ok) return read;
      return read.value.length > mostOf(field) - value.length
        ? { ok: false, why: `At most ${mostOf(field)} stretches fit.` }
        : { ok: true, value: read.value.map((item): Row => ({ ...item })) };
    },
    save,
    onTypedOn: unsay,
  });
  const { problem } = line;
  return (
    <div class="field">
      <label class="field-label" for={id}>
        All in one line
      </label>
      <input
        id={id}
        class={problem ? 'input input-problem' : 'input'}
        autocomplete="off"
        placeholder="outdoors 5, under floor 9, cupboard 2"
        value={line.text ?? ''}
        aria-describedby={`${id}-problem`}
        onInput={(event) => {
          line.type(event.currentTarget.value);
          unsay();
        }}
        onBlur={() => void line.leave()}
        onKeyDown={(event) => {
          if (event.key === 'Enter') void line.leave();
        }}
      />
      <p class="field-problem" id={`${id}-problem`} role="alert">
        {problem && <>Not saved: {problem}</>}
      </p>
    </div>
  );
}
