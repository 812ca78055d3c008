/** Reading a base point by point: tap, type, next; and what the readings say by plain differences. */
import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks';
import { NBSP, plainNumber } from '../../domain/check.ts';
import {
  cornerWords,
  levelsOf,
  nextPoint,
  presetPoints,
  readingAt,
  readingsOf,
  type Levels,
  type Point,
  type Preset,
  type Reading,
} from '../../domain/levels.ts';
import { fieldOf, type Field } from '../../domain/model.ts';
import { readTyped } from '../../forms/typed.ts';
import { useLine } from '../../forms/line.ts';
import { offerBack } from '../../forms/taking.ts';
import { keep } from '../../forms/saving.tsx';
import { SAVED_HERE } from '../../domain/words.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { newRecord, saveEdits } from '../../store/surveys.ts';
import type { Edit, Survey, SurveyRecord } from '../../domain/survey.ts';
import { Confirm } from '../../ui/Confirm.tsx';
import { placeOnSlab, Slab } from './Slab.tsx';

const PRESET_WORDS: Record<Preset, string> = {
  four: '2 × 2 points',
  nine: '3 × 3 points',
  feet: 'Under the feet',
  free: 'No points, I tap',
};

export interface ReadingsProps {
  open: OpenSurvey;
  base: SurveyRecord;
  unit: SurveyRecord | undefined;
  slab: { length_mm: number; width_mm: number };
  readings: readonly Reading[];
  instrument: string;
}

export function Readings({ open, base, unit, slab, readings, instrument }: ReadingsProps) {
  const [preset, setPreset] = useState<Preset>(() => firstPreset(slab, unit, readings));
  const [chosen, setChosen] = useState<Point | null>(null);
  const leaveEntry = useRef<Leaving>(async (go) => go());
  // A reading that was typed is stored before another point has its place; one that cannot be read holds the place.
  const choose = (point: Point | null) => leaveEntry.current(() => setChosen(point));
  const points = presetPoints(preset, slab, unit?.values);
  const levels = levelsOf(readings, instrument);
  const presets = (Object.keys(PRESET_WORDS) as Preset[]).filter(
    (name) => name === 'free' || presetPoints(name, slab, unit?.values).length > 0,
  );
  return (
    <>
      <div class="choices choices-three" role="group" aria-label="Points to read">
        {presets.map((name) => (
          <button
            key={name}
            type="button"
            class="choice"
            aria-pressed={preset === name}
            onClick={() => {
              setPreset(name);
              void choose(null);
            }}
          >
            <span class="choice-words">{PRESET_WORDS[name]}</span>
          </button>
        ))}
      </div>
      <Slab
        slab={slab}
        points={points}
        readings={readings}
        levels={levels}
        chosen={chosen}
        onChoose={(point) => void choose(point)}
      />
      <p class="field-notes">
        {readings.length < 3
          ? `${readings.length === 0 ? 'Three' : readings.length === 1 ? 'Two more' : 'One more'} readings make a plane; nine are better.`
          : '▲ highest · ▼ lowest · + mm above the lowest.'}{' '}
        A dashed ring waits for its reading.
      </p>
      <Entry
        open={open}
        base={base}
        slab={slab}
        readings={readings}
        chosen={chosen}
        onKept={(point) => setChosen(nextPoint(points, [...readings, point], point))}
        onChoose={(point) => void choose(point)}
        leaving={leaveEntry}
        first={nextPoint(points, readings, null)}
      />
      <Differences slab={slab} readings={readings} levels={levels} />
      {readings.length > 0 && (
        <List readings={readings} levels={levels} chosen={chosen} onChoose={(point) => void choose(point)} />
      )}
    </>
  );
}

/** What was begun goes on; points of the surveyor's own choosing are not covered with others. */
function firstPreset(
  slab: { length_mm: number; width_mm: number },
  unit: SurveyRecord | undefined,
  readings: readonly Reading[],
): Preset {
  if (readings.length === 0) return 'nine';
  const fits = (preset: Preset): boolean => {
    const points = presetPoints(preset, slab, unit?.values);
    return points.length > 0 && readings.every((item) => readingAt(points, item));
  };
  return (['nine', 'feet'] as const).find(fits) ?? 'free';
}

interface EntryProps {
  open: OpenSurvey;
  base: SurveyRecord;
  slab: { length_mm: number; width_mm: number };
  readings: readonly Reading[];
  chosen: Point | null;
  first: Point | null;
  onKept: (point: Point) => void;
  onChoose: (point: Point | null) => void;
  /** Set to what stores the reading that was typed. */
  leaving: { current: Leaving };
}

/** Lets another point take the place by `go`, once what was typed for the one before is stored. */
type Leaving = (go: () => void) => Promise<void>;

/** The place and the big field for what the instrument shows. */
function Entry({ open, base, slab, readings, chosen, first, onKept, onChoose, leaving }: EntryProps) {
  /** A place that was typed, while the point is chosen for which it was typed. */
  const [typed, setTyped] = useState<{ over: string; along: string; out: string } | null>(null);
  const over = chosen ? `${chosen.x_mm} ${chosen.y_mm}` : '';
  // The place is that of the point from its first drawing on: a reading that is kept by then would else be stored for the one before.
  const { along, out } =
    typed?.over === over ? typed : { along: String(chosen?.x_mm ?? ''), out: String(chosen?.y_mm ?? '') };
  const [missing, setMissing] = useState<string | null>(null);
  const [saved, setSaved] = useState('');
  const box = useRef<HTMLInputElement>(null);
  const there = chosen ? readingAt(readings, chosen) : undefined;
  const kept = useRef<Point | null>(null);
  /** The reading that is being stored. What is typed meanwhile is for the point that comes next, and may be kept with Enter before that one is there. */
  const saving = useRef<Promise<void> | null>(null);
  const isNextAsked = useRef(false);
  const line = useLine<Point & { reading_mm: number }>({
    path: `${open.survey.id}/level_reading/${base.id}/entry`,
    read: (text) => {
      if (text.trim() === '') return null;
      if (saving.current) return { ok: false, why: 'Say for which point it is.' };
      const [x, y, reading] = [readNeeded('x_mm', along), readNeeded('y_mm', out), readNeeded('reading_mm', text)];
      if (!x.ok) return x;
      if (!y.ok) return y;
      if (x.value > slab.length_mm || y.value > slab.width_mm)
        return {
          ok: false,
          why: `This point is beside the slab, which is ${plainNumber(slab.length_mm)} × ${plainNumber(slab.width_mm)}${NBSP}mm.`,
        };
      return reading.ok ? { ok: true, value: { x_mm: x.value, y_mm: y.value, reading_mm: reading.value } } : reading;
    },
    save: async (values) => {
      const build = (present: Survey): Edit[] => {
        const same = readingAt(readingsOf(present.children('level_reading', base.id)), values);
        return [
          same
            ? { kind: 'level_reading', id: same.id, values: { ...values } }
            : newRecord(open.survey.id, 'level_reading', { base: base.id, ...values }),
        ];
      };
      if (!(await keep(() => saveEdits(open.survey.id, build)))) return false;
      kept.current = { x_mm: values.x_mm, y_mm: values.y_mm };
      setSaved(`${SAVED_HERE}: ${plainNumber(values.reading_mm, 1)}${NBSP}mm at ${placeOnSlab(values)}`);
      return true;
    },
    onTypedOn: () => setSaved(''),
  });
  const text = line.text ?? (there ? plainNumber(there.reading_mm, 1).replace('−', '-').replaceAll(',', '') : '');
  const problem = line.problem ?? missing;
  const leave = async () => {
    kept.current = null;
    saving.current = line.leave();
    await saving.current;
    saving.current = null;
  };
  leaving.current = async (go) => {
    if (saving.current) await saving.current;
    else if (chosen) {
      await leave();
      // What was typed while the reading was being stored is for the point that comes.
      if (line.text !== null && !kept.current) {
        isNextAsked.current = false;
        return;
      }
    }
    go();
  };
  useEffect(() => {
    setMissing(null);
    setTyped((present) => (present?.over === over ? present : null));
    if (!chosen) return;
    if (there) setSaved('');
    box.current?.focus({ preventScroll: true });
    box.current?.scrollIntoView({ block: 'nearest' });
  }, [chosen?.x_mm, chosen?.y_mm]);

  const type = (next: string) => {
    line.type(next);
    setMissing(null);
    setSaved('');
  };
  const store = async () => {
    await leave();
    // A reading that was there and was not typed anew stands as it is.
    const done = kept.current ?? (line.text === null && there ? chosen : null);
    if (done) onKept(done);
    else isNextAsked.current = false;
  };
  const save = () => {
    if (saving.current) isNextAsked.current = true;
    else if (text.trim() === '') setMissing('Type what the instrument shows.');
    else void store();
  };
  // Right after the drawing: one that came later would know the point before.
  useLayoutEffect(() => {
    if (!isNextAsked.current || saving.current) return;
    isNextAsked.current = false;
    if (chosen && line.text?.trim()) void store();
  });
  const remove = async () => {
    if (!there) return;
    if (
      await keep(() => saveEdits(open.survey.id, [{ kind: 'level_reading', id: there.id, values: { deleted: true } }]))
    ) {
      offerBack(open.survey, 'level_reading', there.id);
      line.drop();
      setSaved('');
      onChoose(null);
    }
  };
  const number = {
    inputMode: 'decimal' as const,
    autocomplete: 'off',
    onKeyDown: (event: KeyboardEvent) => {
      if (event.key === 'Enter') save();
    },
  };
  return (
    <div class="entry" role="group" aria-label="One reading">
      <p class="entry-where">
        {chosen ? (
          <>
            <b>{there ? 'Read again' : 'Read'}</b> {cornerWords(chosen, slab)}, {placeOnSlab(chosen)}.
          </>
        ) : (
          <>Tap a point{first ? '' : ' on the slab'}, or type where it is.</>
        )}
      </p>
      {!chosen && first && (
        <button type="button" class="button" onClick={() => onChoose(first)}>
          Start {cornerWords(first, slab)}
        </button>
      )}
      <div class="entry-fields">
        <label class="field entry-small">
          <span class="field-label">
            From the right<span class="field-unit"> mm</span>
          </span>
          <input
            class="input"
            {...number}
            value={along}
            onInput={(event) => setTyped({ over, along: event.currentTarget.value, out })}
          />
        </label>
        <label class="field entry-small">
          <span class="field-label">
            Out<span class="field-unit"> mm</span>
          </span>
          <input
            class="input"
            {...number}
            value={out}
            onInput={(event) => setTyped({ over, along, out: event.currentTarget.value })}
          />
        </label>
        <label class="field entry-reading">
          <span class="field-label">
            Reading<span class="field-unit"> mm</span>
          </span>
          <input
            ref={box}
            class={problem ? 'input input-problem' : 'input'}
            {...number}
            value={text}
            aria-invalid={problem ? true : undefined}
            aria-describedby="entry-problem"
            onInput={(event) => type(event.currentTarget.value)}
          />
        </label>
        <button
          type="button"
          class="button entry-sign"
          aria-label="Change the sign of the reading"
          onClick={() => type(/^\s*[-−]/.test(text) ? text.replace(/[-−]/, '') : `-${text}`)}
        >
          +/−
        </button>
      </div>
      <p class="field-problem" id="entry-problem" role="alert">
        {problem && <>Not saved: {problem}</>}
      </p>
      <p class="field-saved entry-saved" role="status">
        {saved}
      </p>
      <button type="button" class="button button-main button-wide" onClick={save}>
        {there ? 'Keep the new reading' : 'Keep, next point'}
      </button>
      {there && (
        <Confirm
          key={there.id}
          words="Take this reading away"
          question="Take this reading away?"
          yes="Take it away"
          onYes={() => void remove()}
        />
      )}
    </div>
  );
}

function readNeeded(name: string, text: string): { ok: true; value: number } | { ok: false; why: string } {
  const field: Field = fieldOf('level_reading', name);
  if (text.trim() === '') return { ok: false, why: `Say how far it is: ${field.label.toLowerCase()}.` };
  const read = readTyped(field, text);
  if (!read.ok) return read;
  return typeof read.value === 'number' ? { ok: true, value: read.value } : { ok: false, why: 'Expected a number.' };
}

function Differences({
  slab,
  readings,
  levels,
}: {
  slab: { length_mm: number; width_mm: number };
  readings: readonly Reading[];
  levels: Levels | null;
}) {
  if (!levels) return null;
  const number = (item: Reading): number => readings.findIndex((other) => other.id === item.id) + 1;
  if (levels.difference_mm === 0)
    return (
      <p>
        <b>All readings are the same.</b>
      </p>
    );
  return (
    <p>
      <b>
        From highest to lowest {plainNumber(levels.difference_mm, 1)}
        {NBSP}mm.
      </b>{' '}
      Point {number(levels.highest)}, {cornerWords(levels.highest, slab)}, is the highest; point {number(levels.lowest)}
      , {cornerWords(levels.lowest, slab)}, the lowest.
    </p>
  );
}

function List({
  readings,
  levels,
  chosen,
  onChoose,
}: {
  readings: readonly Reading[];
  levels: Levels | null;
  chosen: Point | null;
  onChoose: (point: Point) => void;
}) {
  return (
    <details open>
      <summary>{readings.length === 1 ? 'One reading' : `${readings.length} readings`}</summary>
      <ol class="list readings">
        {readings.map((item, place) => (
          <li key={item.id}>
            <button
              type="button"
              class="row"
              aria-pressed={chosen !== null && readingAt([item], chosen) !== undefined}
              onClick={() => onChoose({ x_mm: item.x_mm, y_mm: item.y_mm })}
            >
              <span class="readings-number">{place + 1}</span>
              <span class="row-words">
                <span>
                  {plainNumber(item.reading_mm, 1)}
                  {NBSP}mm
                </span>
                <small>{placeOnSlab(item)}</small>
              </span>
              {levels && (
                <span class="row-side">
                  {levels.lowest.id === item.id
                    ? 'lowest'
                    : `+${plainNumber(levels.heights.get(item.id) ?? 0, 1)}${NBSP}mm`}
                </span>
              )}
            </button>
          </li>
        ))}
      </ol>
    </details>
  );
}
