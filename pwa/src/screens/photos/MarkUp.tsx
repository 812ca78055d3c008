/**
 * Marking a photo with a thumb: draw across it for an arrow or a ring, tap it for words. The photo itself stays untouched.
 *
 * Whatever a drag does, a button does as well: a mark put in the middle, its ends moved step by step.
 */
import { useEffect, useRef, useState } from 'preact/hooks';
import {
  handleAt,
  handlesOf,
  MOST_CHARACTERS,
  MOST_STROKES,
  readStrokes,
  share,
  strokeAt,
  strokeRows,
  withHandle,
  type Point,
  type Shape,
  type Stroke,
} from '../../domain/marks.ts';
import type { SurveyRecord } from '../../domain/survey.ts';
import { SAVED_HERE } from '../../domain/words.ts';
import { keep } from '../../forms/saving.tsx';
import { Marks } from '../../pictures/Marks.tsx';
import { changeRecord } from '../../store/surveys.ts';
import { usePhotoAddress } from './address.ts';

/** Pixels of the screen within which a thumb hits a handle: half a touch target. */
const REACH = 24;
/** A drag shorter than this is a tap. */
const TAP = 10;
const STEP = 0.02;
const TOOLS: { shape: Shape; label: string; how: string }[] = [
  { shape: 'arrow', label: 'Arrow', how: 'Draw across the picture: the tip is where you let go.' },
  { shape: 'ring', label: 'Ring', how: 'Draw from one corner of the ring to the other.' },
  { shape: 'words', label: 'Words', how: 'Tap where the words should go.' },
];
const ENDS: Record<Shape, string[]> = {
  arrow: ['Tail', 'Tip'],
  ring: ['One corner', 'Other corner'],
  words: ['Words'],
};
const MOVES: [string, string, number, number][] = [
  ['left', 'M19 12 H5 M11 6 L5 12 L11 18', -STEP, 0],
  ['right', 'M5 12 H19 M13 6 L19 12 L13 18', STEP, 0],
  ['up', 'M12 19 V5 M6 11 L12 5 L18 11', 0, -STEP],
  ['down', 'M12 5 V19 M6 13 L12 19 L18 13', 0, STEP],
];

interface Drag {
  pointer: number;
  from: Point;
  to: Point;
  handle: number;
  hasMoved: boolean;
}

export function MarkUp({
  survey,
  record,
  sha256,
  onDone,
}: {
  survey: string;
  record: SurveyRecord;
  sha256: string;
  onDone: () => void;
}) {
  const strokes = readStrokes(record.values['strokes']);
  const place = useRef<HTMLDivElement>(null);
  const surface = useRef<SVGSVGElement>(null);
  const input = useRef<HTMLInputElement>(null);
  const url = usePhotoAddress(survey, sha256, true, place);
  const [size, setSize] = useState<{ width: number; height: number } | null>(null);
  const [shown, setShown] = useState({ width: 0, height: 0 });
  const [tool, setTool] = useState<Shape>('arrow');
  const [chosen, setChosen] = useState(-1);
  const [end, setEnd] = useState(1);
  const [drag, setDrag] = useState<Drag | null>(null);
  const [writing, setWriting] = useState<Point | null>(null);
  const [before, setBefore] = useState<Stroke[][]>([]);
  const [said, setSaid] = useState<string | null>(null);

  useEffect(() => {
    const element = surface.current;
    if (!element) return;
    const watch = new ResizeObserver(() => setShown({ width: element.clientWidth, height: element.clientHeight }));
    watch.observe(element);
    return () => watch.disconnect();
  }, [size]);
  useEffect(() => {
    if (writing) input.current?.focus();
  }, [writing]);

  /** Change the marks as they are stored, which may be a mark ahead of the screen; chosen is then the one that `choose` says. */
  const put = async (change: (present: Stroke[]) => Stroke[], choose: (next: Stroke[]) => number, isUndo = false) => {
    setSaid(null);
    let was: Stroke[] = [];
    let next: Stroke[] = [];
    const done = await keep(() =>
      changeRecord(survey, 'photo', record.id, (present) => {
        was = readStrokes(present['strokes']);
        next = change(was);
        return { strokes: strokeRows(next) };
      }),
    );
    if (!done) return;
    setBefore((undone) => (isUndo ? undone.slice(0, -1) : [...undone, was]));
    setChosen(choose(next));
    setSaid(SAVED_HERE);
  };
  const moved = (handle: number, to: (from: Point) => Point) =>
    put(
      (present) =>
        present.map((stroke, number) =>
          number === chosen ? withHandle(stroke, handle, to(handlesOf(stroke)[handle]!)) : stroke,
        ),
      () => chosen,
    );
  const add = (stroke: Stroke) => {
    if (strokes.length >= MOST_STROKES) {
      setSaid(`A photo can have at most ${MOST_STROKES} marks.`);
      return;
    }
    setEnd(handlesOf(stroke).length - 1);
    void put(
      (present) => [...present, stroke],
      (next) => next.length - 1,
    );
  };
  const drawn = (from: Point, to: Point): Stroke => ({
    shape: tool,
    x1: share(from.x),
    y1: share(from.y),
    x2: share(to.x),
    y2: share(to.y),
  });
  const at = (event: PointerEvent): Point => {
    const box = surface.current!.getBoundingClientRect();
    return { x: (event.clientX - box.left) / box.width, y: (event.clientY - box.top) / box.height };
  };

  const down = (event: PointerEvent) => {
    if (!event.isPrimary || drag) return;
    event.preventDefault();
    surface.current!.setPointerCapture(event.pointerId);
    const from = at(event);
    const held = strokes[chosen];
    const handle = held ? handleAt(held, from, shown, REACH) : -1;
    setDrag({ pointer: event.pointerId, from, to: from, handle, hasMoved: false });
    setSaid(null);
  };
  const move = (event: PointerEvent) => {
    if (drag?.pointer !== event.pointerId) return;
    const to = at(event);
    const far = Math.hypot((to.x - drag.from.x) * shown.width, (to.y - drag.from.y) * shown.height);
    setDrag({ ...drag, to, hasMoved: drag.hasMoved || far >= TAP });
  };
  const up = (event: PointerEvent) => {
    if (drag?.pointer !== event.pointerId) return;
    const { from, handle, hasMoved } = drag;
    const to = at(event);
    setDrag(null);
    const held = strokes[chosen];
    if (hasMoved && held && handle >= 0) {
      setEnd(handle);
      void moved(handle, () => to);
    } else if (hasMoved && tool !== 'words') add(drawn(from, to));
    else if (!hasMoved) {
      const hit = strokeAt(strokes, from, shown, REACH);
      setChosen(hit);
      if (hit >= 0) setEnd(handlesOf(strokes[hit]!).length - 1);
      else if (tool === 'words') setWriting({ x: share(from.x), y: share(from.y) });
      else setSaid(TOOLS.find((item) => item.shape === tool)!.how);
    }
  };
  const write = (event: SubmitEvent) => {
    event.preventDefault();
    const words = input.current?.value.trim().replace(/\s+/g, ' ') ?? '';
    if (words && writing) add({ shape: 'words', x1: writing.x, y1: writing.y, words });
    setWriting(null);
  };
  const inTheMiddle = () => {
    if (tool === 'words') setWriting({ x: 0.5, y: 0.5 });
    else add({ ...drawn({ x: 0.3, y: 0.3 }, { x: 0.7, y: 0.7 }) });
  };

  const held = strokes[chosen];
  const preview = drag?.hasMoved
    ? held && drag.handle >= 0
      ? strokes.map((stroke, number) => (number === chosen ? withHandle(held, drag.handle, drag.to) : stroke))
      : tool === 'words'
        ? strokes
        : [...strokes, drawn(drag.from, drag.to)]
    : strokes;
  const perPixel = size && shown.width > 0 ? size.width / shown.width : 0;
  const handles = preview[chosen] && (!drag?.hasMoved || drag.handle >= 0) ? handlesOf(preview[chosen]) : [];
  const nudge = (dx: number, dy: number) => {
    if (!held) return;
    const which = Math.min(end, handlesOf(held).length - 1);
    void moved(which, (from) => ({ x: from.x + dx, y: from.y + dy }));
  };
  return (
    <section class="markup" aria-label="Mark the photo">
      <div class="choices choices-three" role="group" aria-label="What to draw">
        {TOOLS.map((item) => (
          <button
            key={item.shape}
            type="button"
            class="choice"
            aria-pressed={tool === item.shape}
            onClick={() => {
              setTool(item.shape);
              setWriting(null);
              setSaid(null);
            }}
          >
            <span class="choice-words">{item.label}</span>
          </button>
        ))}
      </div>
      <p class="field-notes">{TOOLS.find((item) => item.shape === tool)!.how}</p>
      <div ref={place} class="markup-picture">
        {typeof url === 'string' && (
          <img
            src={url}
            alt=""
            onLoad={(event) =>
              setSize({ width: event.currentTarget.naturalWidth, height: event.currentTarget.naturalHeight })
            }
          />
        )}
        {url === null && <p>The picture is not on this phone. It can be marked when the office answers and has it.</p>}
        {size && (
          <svg
            ref={surface}
            class="markup-surface"
            viewBox={`0 0 ${size.width} ${size.height}`}
            role="img"
            aria-label="The picture, to draw on"
            onPointerDown={down}
            onPointerMove={move}
            onPointerUp={up}
            onPointerCancel={() => setDrag(null)}
          >
            <Marks strokes={preview} width={size.width} height={size.height} />
            {writing && (
              <circle
                cx={writing.x * size.width}
                cy={writing.y * size.height}
                r={8 * perPixel}
                class="markup-handle"
                stroke-width={2 * perPixel}
              />
            )}
            {handles.map((handle, number) => (
              <g key={number}>
                <circle cx={handle.x * size.width} cy={handle.y * size.height} r={22 * perPixel} class="markup-reach" />
                <circle
                  cx={handle.x * size.width}
                  cy={handle.y * size.height}
                  r={9 * perPixel}
                  class="markup-handle"
                  stroke-width={3 * perPixel}
                />
              </g>
            ))}
          </svg>
        )}
      </div>
      {writing && (
        <form class="field" onSubmit={write}>
          <label class="field-label" for="markup-words">
            Words on the picture
          </label>
          <input
            ref={input}
            id="markup-words"
            class="input"
            type="text"
            maxLength={MOST_CHARACTERS}
            autocomplete="off"
          />
          <div class="buttons">
            <button type="submit" class="button button-main">
              Put them there
            </button>
            <button type="button" class="button button-quiet" onClick={() => setWriting(null)}>
              Leave it
            </button>
          </div>
        </form>
      )}
      {held && (
        <div class="markup-held" role="group" aria-label="The chosen mark">
          {handlesOf(held).length > 1 && (
            <div class="choices choices-two" role="group" aria-label="Which end to move">
              {ENDS[held.shape].map((label, number) => (
                <button
                  key={label}
                  type="button"
                  class="choice"
                  aria-pressed={end === number}
                  onClick={() => setEnd(number)}
                >
                  <span class="choice-words">{label}</span>
                </button>
              ))}
            </div>
          )}
          <div class="buttons">
            {MOVES.map(([way, path, dx, dy]) => (
              <button
                key={way}
                type="button"
                class="button"
                aria-label={`Move it ${way}`}
                onClick={() => nudge(dx, dy)}
              >
                <svg viewBox="0 0 24 24" width="22" height="22" aria-hidden="true">
                  <path d={path} class="line" />
                </svg>
              </button>
            ))}
            <button
              type="button"
              class="button"
              onClick={() =>
                void put(
                  (present) => present.filter((_stroke, number) => number !== chosen),
                  () => -1,
                )
              }
            >
              Rub it out
            </button>
          </div>
        </div>
      )}
      <div class="buttons">
        <button type="button" class="button button-main" onClick={onDone}>
          Done
        </button>
        <button
          type="button"
          class="button"
          disabled={before.length === 0}
          onClick={() =>
            void put(
              () => before.at(-1)!,
              () => -1,
              true,
            )
          }
        >
          Undo
        </button>
        <button type="button" class="button" onClick={inTheMiddle}>
          Put one in the middle
        </button>
      </div>
      <p class={said === SAVED_HERE ? 'field-saved' : 'field-notes'} role="status">
        {said}
      </p>
    </section>
  );
}
