/** The marks of a photo, drawn over it: each line over a wider light one, so that it shows on any picture. */
import { LINE_HEIGHT, placed, widths, type Stroke } from '../domain/marks.ts';

export interface MarksProps {
  strokes: readonly Stroke[];
  /** The upright picture's own size. */
  width: number;
  height: number;
  /** Thickens the marks where the picture is shown small. */
  weight?: number;
}

export function Marks({ strokes, width, height, weight = 1 }: MarksProps) {
  return (
    <>
      {strokes.map((stroke, place) => (
        <Mark key={place} stroke={stroke} width={width} height={height} weight={weight} />
      ))}
    </>
  );
}

function Mark({ stroke, width, height, weight }: { stroke: Stroke; width: number; height: number; weight: number }) {
  const mark = placed(stroke, width, height, weight);
  const { line, outline } = widths(width, height, weight);
  if (!mark) return null;
  if (mark.shape === 'arrow') {
    const shaft = `M${mark.tail.x} ${mark.tail.y} L${mark.neck.x} ${mark.neck.y}`;
    const head = `${mark.head.map((point, place) => `${place ? 'L' : 'M'}${point.x} ${point.y}`).join(' ')} Z`;
    return (
      <g class="photo-mark">
        <path d={shaft} class="photo-mark-light" stroke-width={outline} />
        <path d={head} class="photo-mark-light photo-mark-filled" stroke-width={outline - line} />
        <path d={shaft} class="photo-mark-line" stroke-width={line} />
        <path d={head} class="photo-mark-head" />
      </g>
    );
  }
  if (mark.shape === 'ring') {
    const at = { cx: mark.middle.x, cy: mark.middle.y, rx: mark.across, ry: mark.down };
    return (
      <g class="photo-mark">
        <ellipse {...at} class="photo-mark-light" stroke-width={outline} />
        <ellipse {...at} class="photo-mark-line" stroke-width={line} />
      </g>
    );
  }
  return (
    <text
      class="photo-mark photo-mark-words"
      font-size={mark.size}
      text-anchor={mark.anchor}
      stroke-width={0.28 * mark.size}
    >
      {mark.lines.map((words, place) => (
        <tspan key={place} x={mark.x} y={mark.top + (place * LINE_HEIGHT + 0.9) * mark.size}>
          {words}
        </tspan>
      ))}
    </text>
  );
}
