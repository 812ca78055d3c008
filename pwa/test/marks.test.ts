/** A photo's marks: placed as paper places them, taken hold of by a thumb, kept as shares of the picture. */
import fc from 'fast-check';
import { expect, test } from 'vitest';
import golden from '../../tests/golden/marks.json';
import type { Row } from '../src/domain/model.ts';
import {
  handleAt,
  handlesOf,
  marksInWords,
  placed,
  readStrokes,
  share,
  strokeAt,
  strokeRows,
  widths,
  withHandle,
  wrapped,
  type Stroke,
} from '../src/domain/marks.ts';

const point = ([x, y]: [number, number]) => ({ x, y });
/** The golden file writes points as pairs and rounds to three places. */
function asHere(kept: unknown): unknown {
  if (kept === null) return null;
  const { tail, neck, head, middle, ...rest } = kept as {
    tail?: [number, number];
    neck?: [number, number];
    head?: [number, number][];
    middle?: [number, number];
  };
  return {
    ...rest,
    ...(tail ? { tail: point(tail), neck: point(neck!), head: head!.map(point) } : {}),
    ...(middle ? { middle: point(middle) } : {}),
  };
}
const rounded = (value: unknown): unknown =>
  JSON.parse(
    JSON.stringify(value, (_name, item: unknown) => (typeof item === 'number' ? Math.round(item * 100) / 100 : item)),
  );

test.each(golden.cases.map((item, place) => [place, item] as const))(
  'mark %i lies where paper has it',
  (_place, item) => {
    const [stroke] = readStrokes([item.stroke as Row]);
    const mark = stroke ? placed(stroke, item.width_px, item.height_px) : null;
    expect(rounded(mark)).toEqual(rounded(asHere(item.placed)));
  },
);

test('lines and widths are those of paper', () => {
  for (const item of golden.widths)
    expect(rounded(widths(item.width_px, item.height_px))).toEqual(
      rounded({ line: item.line, outline: item.outline, head: item.head }),
    );
  for (const item of golden.lines) expect(wrapped(item.words)).toEqual(item.lines);
  expect(golden.cases.filter((item) => item.placed === null).length).toBeGreaterThan(3);
});

const arrow: Stroke = { shape: 'arrow', x1: 0.1, y1: 0.5, x2: 0.9, y2: 0.5 };
const ring: Stroke = { shape: 'ring', x1: 0.2, y1: 0.2, x2: 0.4, y2: 0.4 };
const words: Stroke = { shape: 'words', x1: 0.8, y1: 0.1, words: 'Fuse' };
const shown = { width: 300, height: 200 };

test('what is no whole mark is not drawn, and what is drawn is kept as it is', () => {
  expect(
    readStrokes([
      { shape: 'arrow', x1: 0, y1: 0 },
      { shape: 'star', x1: 0, y1: 0, x2: 1, y2: 1 },
      { shape: 'words', x1: 0.5, y1: 0.5, words: ' ' },
      { shape: 'ring', x1: 0, y1: 0, x2: 1.2, y2: 1 },
    ]),
  ).toEqual([]);
  expect(readStrokes(null)).toEqual([]);
  const rows = strokeRows([arrow, ring, words]);
  expect(readStrokes(rows)).toEqual([arrow, ring, words]);
  expect(strokeRows([])).toBeNull();
});

test('a thumb takes hold of the end that is nearer, within reach only', () => {
  expect(handleAt(arrow, { x: 0.16, y: 0.55 }, shown, 22)).toBe(0);
  expect(handleAt(arrow, { x: 0.85, y: 0.5 }, shown, 22)).toBe(1);
  expect(handleAt(arrow, { x: 0.5, y: 0.5 }, shown, 22)).toBe(-1);
  // Both ends under the thumb: the tip.
  expect(handleAt({ ...arrow, x2: 0.1 }, { x: 0.1, y: 0.5 }, shown, 22)).toBe(1);
});

test('a tap means the mark under it', () => {
  const all = [arrow, ring, words];
  expect(strokeAt(all, { x: 0.5, y: 0.53 }, shown, 22)).toBe(0);
  expect(strokeAt(all, { x: 0.2, y: 0.3 }, shown, 12)).toBe(1);
  expect(strokeAt(all, { x: 0.78, y: 0.1 }, shown, 22)).toBe(2);
  expect(strokeAt(all, { x: 0.6, y: 0.95 }, shown, 22)).toBe(-1);
  expect(strokeAt([arrow, arrow], { x: 0.5, y: 0.5 }, shown, 22)).toBe(1);
});

test('a handle stays on the picture, to four places', () => {
  fc.assert(
    fc.property(
      fc.double({ min: -3, max: 3, noNaN: true }),
      fc.double({ min: -3, max: 3, noNaN: true }),
      fc.constantFrom(0, 1),
      (x, y, handle) => {
        const moved = withHandle(arrow, handle, { x, y });
        const at = handlesOf(moved)[handle]!;
        expect(at).toEqual({ x: share(x), y: share(y) });
        expect(readStrokes(strokeRows([moved]))).toEqual([moved]);
        expect(handlesOf(moved)[1 - handle]).toEqual(handlesOf(arrow)[1 - handle]);
      },
    ),
    { seed: 5, numRuns: 200 },
  );
});

test('marks are told to whoever cannot see them', () => {
  expect(marksInWords([])).toBe('');
  expect(marksInWords([arrow])).toBe('Marked with an arrow');
  expect(marksInWords([arrow, ring, arrow, words])).toBe('Marked with 2 arrows, a ring and the words “Fuse”');
});
