/** Reading a base point by point: tap, type, next; and what the readings say by plain differences. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { plainNumber } from '../../domain/check.ts';
import { cornerWords, levelsOf, nextPoint, presetPoints, readingAt, type Levels, type Point, type Preset, type Reading } from '../../domain/levels.ts';
import { fieldOf, type Field, type Value } from '../../domain/model.ts';
import { keepDraft, draftOf } from '../../forms/drafts.ts';
import { readTyped } from '../../forms/Field.tsx';
import { keep, NOT_TAKEN } from '../../forms/saving.tsx';
import { SAVED_HERE } from '../../domain/words.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { newRecord, saveEdits } from '../../store/surveys.ts';
import type { SurveyRecord } from '../../domain/survey.ts';
import { Confirm } from '../../ui/Confirm.tsx';
import { placeOnSlab, Slab } from './Slab.tsx';

const PRESET_WORDS: Record<Preset, string> = { four: '2 × 2 points', nine: '3 × 3 points', feet: 'Under the feet', free: 'No points, I tap' };

export interface ReadingsProps {
  open: OpenSurvey;
  base: SurveyRecord;
  position: SurveyRecord | undefined;
  slab: { length_mm: number; width_mm: number };
  readings: readonly Reading[];
  instrument: string;
}

export function Readings({ open, base, position, slab, readings, instrument }: ReadingsProps) {
  const [preset, setPreset] = useState<Preset>(() => firstPreset(slab, position, readings));
  const [chosen, setChosen] = useState<Point | null>(null);
  const points = presetPoints(preset, slab, position?.values);
  const levels = levelsOf(readings, instrument);
  const presets = (Object.keys(PRESET_WORDS) as Preset[]).filter((name) => name === 'free' || presetPoints(name, slab, position?.values).length > 0);
  return (
    <>
      <div class="choices choices-three" role="group" aria-label="Points to read">
        {presets.map((name) => (
          <button key={name} type="button" class="choice" aria-pressed={preset === name} onClick={() => { setPreset(name); setChosen(null); }}><span class="choice-words">{PRESET_WORDS[name]}</span></button>
        ))}
      </div>
      <Slab slab={slab} points={points} readings={readings} levels={levels} chosen={chosen} onChoose={setChosen} />
      <p class="field-notes">{readings.length < 3 ? `${readings.length === 0 ? 'Three' : readings.length === 1 ? 'Two more' : 'One more'} readings make a plane; nine are better.` : '▲ highest · ▼ lowest · + mm above the lowest.'} A dashed ring waits for its reading.</p>
      <Entry
        open={open} base={base} slab={slab} readings={readings} chosen={chosen}
        onKept={(point) => setChosen(nextPoint(points, [...readings, point], point))}
        onChoose={setChosen} first={nextPoint(points, readings, null)}
      />
      <Differences slab={slab} readings={readings} levels={levels} />
      {readings.length > 0 && <List readings={readings} levels={levels} chosen={chosen} onChoose={setChosen} />}
    </>
  );
}

/** What was begun goes on; points of the surveyor's own choosing are not covered with others. */
function firstPreset(slab: { length_mm: number; width_mm: number }, position: SurveyRecord | undefined, readings: readonly Reading[]): Preset {
  if (readings.length === 0) return 'nine';
  const fits = (preset: Preset): boolean => {
    const points = presetPoints(preset, slab, position?.values);
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
}

/** The place and the big field for what the instrument shows. */
function Entry({ open, base, slab, readings, chosen, first, onKept, onChoose }: EntryProps) {
  const path = `${open.survey.id}/level_reading/${base.id}/entry`;
  const [text, setText] = useState(draftOf(path) ?? '');
  const [along, setAlong] = useState('');
  const [out, setOut] = useState('');
  const [problem, setProblem] = useState<string | null>(null);
  const [saved, setSaved] = useState('');
  const box = useRef<HTMLInputElement>(null);
  const there = chosen ? readingAt(readings, chosen) : undefined;
  useEffect(() => {
    setProblem(null);
    setAlong(chosen ? String(chosen.x_mm) : '');
    setOut(chosen ? String(chosen.y_mm) : '');
    if (!chosen) return;
    if (there) setSaved('');
    if (there) setText(plainNumber(there.reading_mm, 1).replace('−', '-').replaceAll(',', ''));
    else if (draftOf(path) === undefined) setText('');
    box.current?.focus({ preventScroll: true });
    box.current?.scrollIntoView({ block: 'nearest' });
  }, [chosen?.x_mm, chosen?.y_mm]);

  const save = async () => {
    const [x, y, reading] = [readNeeded('x_mm', along), readNeeded('y_mm', out), readNeeded('reading_mm', text)];
    const wrong = [x, y, reading].find((item) => !item.ok);
    let why = wrong && !wrong.ok ? wrong.why : null;
    if (x.ok && y.ok && (x.value > slab.length_mm || y.value > slab.width_mm)) why = `This point is beside the slab, which is ${plainNumber(slab.length_mm)} × ${plainNumber(slab.width_mm)} mm.`;
    setProblem(why);
    keepDraft(path, text);
    if (why || !x.ok || !y.ok || !reading.ok) return;
    const point = { x_mm: x.value, y_mm: y.value };
    const same = readingAt(readings, point);
    const values: Record<string, Value> = { ...point, reading_mm: reading.value };
    const edit = same ? { kind: 'level_reading', id: same.id, values } : newRecord(open.survey.id, 'level_reading', { base: base.id, ...values });
    if (!(await keep(() => saveEdits(open.survey.id, [edit])))) {
      setProblem(NOT_TAKEN);
      return;
    }
    keepDraft(path, null);
    setSaved(`${SAVED_HERE}: ${plainNumber(reading.value, 1)} mm at ${placeOnSlab(point)}`);
    setText('');
    onKept(point);
  };
  const remove = async () => {
    if (!there) return;
    if (await keep(() => saveEdits(open.survey.id, [{ kind: 'level_reading', id: there.id, values: { deleted: true } }]))) {
      setText('');
      setSaved('');
      onChoose(null);
    }
  };
  const number = { inputMode: 'decimal' as const, autocomplete: 'off', onKeyDown: (event: KeyboardEvent) => { if (event.key === 'Enter') void save(); } };
  return (
    <div class="entry" role="group" aria-label="One reading">
      <p class="entry-where">
        {chosen ? <><b>{there ? 'Read again' : 'Read'}</b> {cornerWords(chosen, slab)}, {placeOnSlab(chosen)}.</> : <>Tap a point{first ? '' : ' on the slab'}, or type where it is.</>}
      </p>
      {!chosen && first && <button type="button" class="button" onClick={() => onChoose(first)}>Start {cornerWords(first, slab)}</button>}
      <div class="entry-fields">
        <label class="field entry-small"><span class="field-label">From the left<span class="field-unit"> mm</span></span><input class="input" {...number} value={along} onInput={(event) => setAlong(event.currentTarget.value)} /></label>
        <label class="field entry-small"><span class="field-label">Out<span class="field-unit"> mm</span></span><input class="input" {...number} value={out} onInput={(event) => setOut(event.currentTarget.value)} /></label>
        <label class="field entry-reading">
          <span class="field-label">Reading<span class="field-unit"> mm</span></span>
          <input ref={box} class={problem ? 'input input-problem' : 'input'} {...number} value={text} aria-invalid={problem ? true : undefined} aria-describedby="entry-problem" onInput={(event) => { setText(event.currentTarget.value); setSaved(''); }} />
        </label>
        <button type="button" class="button entry-sign" aria-label="Change the sign of the reading" onClick={() => setText(/^\s*[-−]/.test(text) ? text.replace(/[-−]/, '') : `-${text}`)}>+/−</button>
      </div>
      <p class="field-problem" id="entry-problem" role="alert">{problem && <>Not saved: {problem}</>}</p>
      <p class="field-saved entry-saved" role="status">{saved}</p>
      <button type="button" class="button button-main button-wide" onClick={() => void save()}>{there ? 'Keep the new reading' : 'Keep, next point'}</button>
      {there && <Confirm key={there.id} words="Take this reading away" question="Take this reading away?" yes="Take it away" onYes={() => void remove()} />}
    </div>
  );
}

function readNeeded(name: string, text: string): { ok: true; value: number } | { ok: false; why: string } {
  const field: Field = fieldOf('level_reading', name);
  if (text.trim() === '') return { ok: false, why: name === 'reading_mm' ? 'Type what the instrument shows.' : `Say how far it is: ${field.label.toLowerCase()}.` };
  const read = readTyped(field, text);
  if (!read.ok) return read;
  return typeof read.value === 'number' ? { ok: true, value: read.value } : { ok: false, why: 'Expected a number.' };
}

function Differences({ slab, readings, levels }: { slab: { length_mm: number; width_mm: number }; readings: readonly Reading[]; levels: Levels | null }) {
  if (!levels) return null;
  const number = (item: Reading): number => readings.findIndex((other) => other.id === item.id) + 1;
  if (levels.difference_mm === 0) return <p><b>All readings are the same.</b></p>;
  return (
    <p>
      <b>From highest to lowest {plainNumber(levels.difference_mm, 1)} mm.</b> Point {number(levels.highest)}, {cornerWords(levels.highest, slab)}, is the highest; point {number(levels.lowest)}, {cornerWords(levels.lowest, slab)}, the lowest.
    </p>
  );
}

function List({ readings, levels, chosen, onChoose }: { readings: readonly Reading[]; levels: Levels | null; chosen: Point | null; onChoose: (point: Point) => void }) {
  return (
    <details open>
      <summary>{readings.length === 1 ? 'One reading' : `${readings.length} readings`}</summary>
      <ol class="list readings">
        {readings.map((item, place) => (
          <li key={item.id}>
            <button type="button" class="row" aria-pressed={chosen !== null && readingAt([item], chosen) !== undefined} onClick={() => onChoose({ x_mm: item.x_mm, y_mm: item.y_mm })}>
              <span class="readings-number">{place + 1}</span>
              <span class="row-words"><span>{plainNumber(item.reading_mm, 1)} mm</span><small>{placeOnSlab(item)}</small></span>
              {levels && <span class="row-side">{levels.lowest.id === item.id ? 'lowest' : `+${plainNumber(levels.heights.get(item.id) ?? 0, 1)} mm`}</span>}
            </button>
          </li>
        ))}
      </ol>
    </details>
  );
}
