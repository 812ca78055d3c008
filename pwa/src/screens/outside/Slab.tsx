/**
 * The slab from above as one sees it with one's back to the wall, like the place's plan and the engine's drawing of both, to scale:
 * points to read, readings, how high each is above the lowest.
 */
import { useRef } from 'preact/hooks';
import { NBSP, plainNumber } from '../../domain/check.ts';
import { PLACE_VIEW } from '../../generated/answers.ts';
import { Sideways } from '../../pictures/letters.tsx';
import { readingAt, type Levels, type Point, type Reading } from '../../domain/levels.ts';

const WIDE = 344;
const SIDE = 34;
const TOP = 26;
const REACH = 30;

export interface SlabProps {
  slab: { length_mm: number; width_mm: number };
  points: readonly Point[];
  readings: readonly Reading[];
  levels: Levels | null;
  chosen: Point | null;
  onChoose: (point: Point) => void;
}

export function Slab({ slab, points, readings, levels, chosen, onChoose }: SlabProps) {
  const drawing = useRef<SVGSVGElement>(null);
  const scale = Math.min((WIDE - 2 * SIDE) / slab.length_mm, 300 / slab.width_mm);
  const [wide, deep] = [slab.length_mm * scale, slab.width_mm * scale];
  const left = (WIDE - wide) / 2;
  const tall = TOP + deep + 62;
  const x = (mm: number): number => round(left + wide - mm * scale);
  const y = (mm: number): number => round(TOP + deep - mm * scale);
  const open = points.filter((point) => !readingAt(readings, point));
  const marks: Point[] = [...readings, ...open];

  const tap = (event: MouseEvent) => {
    const matrix = drawing.current?.getScreenCTM();
    if (!matrix) return;
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
    const far = (point: Point): number => Math.hypot(x(point.x_mm) - at.x, y(point.y_mm) - at.y);
    const nearest = [...marks].sort((a, b) => far(a) - far(b))[0];
    if (nearest && far(nearest) <= REACH) onChoose({ x_mm: nearest.x_mm, y_mm: nearest.y_mm });
    else
      onChoose({
        x_mm: onSlab((left + wide - at.x) / scale, slab.length_mm),
        y_mm: onSlab((TOP + deep - at.y) / scale, slab.width_mm),
      });
  };
  /** For the keyboard and for whoever hears the page: each known point is a button of its own. */
  const act = (point: Point) => ({
    role: 'button' as const,
    // As SVG spells it, see `pictures/Box.tsx`.
    tabindex: 0,
    'aria-pressed': isSame(chosen, point),
    onKeyDown: (event: KeyboardEvent) => {
      if (event.key !== 'Enter' && event.key !== ' ') return;
      event.preventDefault();
      onChoose({ x_mm: point.x_mm, y_mm: point.y_mm });
    },
    onClick: (event: MouseEvent) => {
      // A click without a pointer has no place; one with a pointer is judged by the slab, which knows the nearest point.
      if (event.detail !== 0) return;
      event.stopPropagation();
      onChoose({ x_mm: point.x_mm, y_mm: point.y_mm });
    },
  });
  const words = `The slab from above, ${plainNumber(slab.length_mm)} by ${plainNumber(slab.width_mm)} mm. ${PLACE_VIEW}`;
  return (
    <Sideways words={words}>
      <svg
        ref={drawing}
        class="plan slab"
        viewBox={`0 0 ${WIDE} ${round(tall)}`}
        role="group"
        aria-label={words}
        onClick={tap}
      >
        <defs>
          <pattern id="slab-wall" width="8" height="8" patternUnits="userSpaceOnUse">
            <path d="M-2 10 L10 -2 M-2 2 L2 -2 M6 10 L10 6" class="hatch" />
          </pattern>
        </defs>
        <rect x="0" y={round(TOP + deep + 16)} width={WIDE} height="24" class="slab-wall" />
        <text x={WIDE / 2} y={round(TOP + deep + 33)} class="plan-label plan-label-middle" aria-hidden="true">
          the wall, behind your back
        </text>
        <rect x={round(left)} y={TOP} width={round(wide)} height={round(deep)} class="slab-ground" />
        <text x={WIDE / 2} y={round(TOP + deep + 56)} class="plan-label plan-label-middle" aria-hidden="true">
          {plainNumber(slab.length_mm)} × {plainNumber(slab.width_mm)}
          {NBSP}mm
        </text>
        {open.map((point) => (
          <g
            key={`${point.x_mm}/${point.y_mm}`}
            {...act(point)}
            class={isSame(chosen, point) ? 'point point-chosen' : 'point'}
            transform={`translate(${x(point.x_mm)} ${y(point.y_mm)})`}
            aria-label={`Point ${placeOnSlab(point)}, not read yet`}
          >
            <circle r="24" class="point-reach" />
            <circle r="13" class="point-open" />
            <path d="M-6 0 h12 M0 -6 v12" class="point-cross" />
          </g>
        ))}
        {readings.map((item, place) => {
          const { height, isLowest, isHighest } = rank(levels, item);
          const words = `Point ${place + 1}, ${placeOnSlab(item)}, reads ${plainNumber(item.reading_mm, 1)} mm${height === undefined ? '' : isLowest ? ', the lowest' : `, ${plainNumber(height, 1)} mm above the lowest`}`;
          return (
            <g
              key={item.id}
              {...act(item)}
              class={isSame(chosen, item) ? 'point point-chosen' : 'point'}
              transform={`translate(${x(item.x_mm)} ${y(item.y_mm)})`}
              aria-label={words}
            >
              <circle r="24" class="point-reach" />
              {isLowest && <path d="M-17 -13 h34 l-17 30 z" class="point-read" />}
              {isHighest && <path d="M-17 13 h34 l-17 -30 z" class="point-read" />}
              {!isLowest && !isHighest && <circle r="13" class="point-read" />}
            </g>
          );
        })}
        {readings.map((item, place) => {
          // The words stand apart from the buttons: what is heard of a point is its label, which says more than fits here.
          const { height, isLowest, isHighest } = rank(levels, item);
          return (
            <g
              key={`${item.id}/words`}
              transform={`translate(${x(item.x_mm)} ${y(item.y_mm)})`}
              class="point"
              aria-hidden="true"
            >
              <text y={isLowest ? -4 : isHighest ? 5 : 0.5} class="point-number">
                {place + 1}
              </text>
              <text y={item.y_mm < slab.width_mm * 0.3 ? -20 : 27} class="point-words">
                {height === undefined
                  ? plainNumber(item.reading_mm, 1)
                  : isLowest
                    ? 'lowest'
                    : `+${plainNumber(height, 1)}`}
              </text>
            </g>
          );
        })}
        {chosen && !marks.some((point) => isSame(chosen, point)) && (
          <g transform={`translate(${x(chosen.x_mm)} ${y(chosen.y_mm)})`} class="point point-chosen" aria-hidden="true">
            <circle r="13" class="point-open" />
            <path d="M-6 0 h12 M0 -6 v12" class="point-cross" />
          </g>
        )}
      </svg>
    </Sideways>
  );
}

/** What a reading is among the others: its height above the lowest, undefined while nothing is compared. */
function rank(
  levels: Levels | null,
  item: Reading,
): { height: number | undefined; isLowest: boolean; isHighest: boolean } {
  const differ = levels !== null && levels.difference_mm > 0;
  return {
    height: levels?.heights.get(item.id),
    isLowest: differ && levels.lowest.id === item.id,
    isHighest: differ && levels.highest.id === item.id,
  };
}

const round = (value: number): number => Math.round(value * 100) / 100;
/** A finger does not hit a millimetre: in steps of a centimetre, never beside the slab. */
const onSlab = (mm: number, size: number): number => Math.min(size, Math.max(0, Math.round(mm / 10) * 10));
export const isSame = (a: Point | null, b: Point): boolean => a !== null && a.x_mm === b.x_mm && a.y_mm === b.y_mm;
export const placeOnSlab = (point: Point): string =>
  `${plainNumber(point.x_mm)} mm from the right, ${plainNumber(point.y_mm)} mm out`;
