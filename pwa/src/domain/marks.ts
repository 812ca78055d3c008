/**
 * Marks over a photo: arrows, rings and words, kept as shares of the picture's width and height.
 *
 * The twin of `office/marks.py`, which draws them on paper: `tests/golden/marks.json` holds both to the same places.
 */
import type { Row, Value } from './model.ts';

export type Shape = 'arrow' | 'ring' | 'words';
export interface Stroke {
  shape: Shape;
  x1: number;
  y1: number;
  x2?: number;
  y2?: number;
  words?: string;
}
export interface Point {
  x: number;
  y: number;
}

export const MOST_STROKES = 60;
export const MOST_CHARACTERS = 120;
/** Characters of words in one line, and the height of a line in letters' sizes. */
const LINE_CHARACTERS = 24;
export const LINE_HEIGHT = 1.2;

const isShare = (value: unknown): value is number => typeof value === 'number' && value >= 0 && value <= 1;

/** The whole marks of a photo's field; whatever else a newer office may put there is left out of the drawing only. */
export function readStrokes(value: Value | undefined): Stroke[] {
  if (!Array.isArray(value)) return [];
  return value.flatMap((row: Row): Stroke[] => {
    const { shape, x1, y1, x2, y2, words } = row;
    if (!isShare(x1) || !isShare(y1)) return [];
    if (shape === 'words') return typeof words === 'string' && words.trim() !== '' ? [{ shape, x1, y1, words }] : [];
    return (shape === 'arrow' || shape === 'ring') && isShare(x2) && isShare(y2) ? [{ shape, x1, y1, x2, y2 }] : [];
  });
}

export const strokeRows = (strokes: readonly Stroke[]): Row[] | null =>
  strokes.length === 0 ? null : strokes.map((stroke) => ({ ...stroke }));

export type Placed =
  | { shape: 'arrow'; tail: Point; neck: Point; head: [Point, Point, Point] }
  | { shape: 'ring'; middle: Point; across: number; down: number }
  | { shape: 'words'; lines: string[]; x: number; top: number; anchor: 'start' | 'middle' | 'end'; size: number };

/** How thick the marks of a picture of this size are; `weight` thickens them where the picture is shown small. */
export function widths(width: number, height: number, weight = 1): { line: number; outline: number; head: number } {
  const longest = Math.max(width, height) * weight;
  return { line: 0.008 * longest, outline: 0.016 * longest, head: 0.04 * longest };
}

/** Where a mark lies in a picture of this size; null for one that cannot be seen. */
export function placed(stroke: Stroke, width: number, height: number, weight = 1): Placed | null {
  const start = { x: stroke.x1 * width, y: stroke.y1 * height };
  if (stroke.shape === 'words') return placedWords(stroke, start, width, height, weight);
  if (stroke.x2 === undefined || stroke.y2 === undefined) return null;
  const end = { x: stroke.x2 * width, y: stroke.y2 * height };
  if (stroke.shape === 'ring')
    return {
      shape: 'ring',
      middle: { x: (start.x + end.x) / 2, y: (start.y + end.y) / 2 },
      across: Math.abs(end.x - start.x) / 2,
      down: Math.abs(end.y - start.y) / 2,
    };
  const reach = Math.hypot(end.x - start.x, end.y - start.y);
  if (reach < 1) return null;
  const across = (end.x - start.x) / reach;
  const down = (end.y - start.y) / reach;
  // A short arrow still shows some of its line.
  const long = Math.min(widths(width, height, weight).head, 0.6 * reach);
  const neck = { x: end.x - long * across, y: end.y - long * down };
  const half = 0.5 * long;
  return {
    shape: 'arrow',
    tail: start,
    neck,
    head: [
      end,
      { x: neck.x - half * down, y: neck.y + half * across },
      { x: neck.x + half * down, y: neck.y - half * across },
    ],
  };
}

/** Words in lines of at most so many characters; a longer word is cut. */
export function wrapped(words: string, most = LINE_CHARACTERS): string[] {
  const lines: string[] = [];
  for (const given of words.split(/\s+/).filter(Boolean)) {
    let word = [...given];
    while (word.length > most) {
      lines.push(word.slice(0, most).join(''));
      word = word.slice(most);
    }
    if (word.length === 0) continue;
    const last = lines.at(-1);
    if (last !== undefined && [...last].length + 1 + word.length <= most)
      lines[lines.length - 1] = `${last} ${word.join('')}`;
    else lines.push(word.join(''));
  }
  return lines;
}

function placedWords(stroke: Stroke, at: Point, width: number, height: number, weight: number): Placed | null {
  const lines = wrapped(stroke.words ?? '', Math.floor(LINE_CHARACTERS / weight));
  if (lines.length === 0) return null;
  const size = weight * Math.min(0.045 * width, 0.08 * height);
  // Words near an edge run away from it, so that they stay on the picture.
  const anchor = stroke.x1 < 1 / 3 ? 'start' : stroke.x1 > 2 / 3 ? 'end' : 'middle';
  const top = Math.max(0.2 * size, Math.min(at.y - 0.6 * size, height - lines.length * LINE_HEIGHT * size));
  return { shape: 'words', lines, x: at.x, top, anchor, size };
}

/** A place as it is kept: a share of the picture, four places, never off it. */
export const share = (value: number): number => Math.round(Math.min(1, Math.max(0, value)) * 10_000) / 10_000;

/** The places by which a mark can be taken hold of: both ends of an arrow, two corners of a ring, where words stand. */
export function handlesOf(stroke: Stroke): Point[] {
  const first = { x: stroke.x1, y: stroke.y1 };
  return stroke.x2 === undefined || stroke.y2 === undefined ? [first] : [first, { x: stroke.x2, y: stroke.y2 }];
}

/** A mark with one of its handles somewhere else. */
export function withHandle(stroke: Stroke, handle: number, to: Point): Stroke {
  const at = { x: share(to.x), y: share(to.y) };
  return handle === 0 ? { ...stroke, x1: at.x, y1: at.y } : { ...stroke, x2: at.x, y2: at.y };
}

/** A picture as it is shown: how many of the screen's pixels it takes. */
export interface Shown {
  width: number;
  height: number;
}

const between = (from: Point, to: Point, shown: Shown): number =>
  Math.hypot((from.x - to.x) * shown.width, (from.y - to.y) * shown.height);

/** The handle of a mark within reach of a thumb, or -1. */
export function handleAt(stroke: Stroke, at: Point, shown: Shown, reach: number): number {
  let nearest = -1;
  let best = reach;
  handlesOf(stroke).forEach((handle, place) => {
    const distance = between(handle, at, shown);
    // Of two as near, the later one: the tip of an arrow is what one takes hold of.
    if (distance <= best) [nearest, best] = [place, distance];
  });
  return nearest;
}

/** How far a place is from a mark, in pixels of the screen. */
function distanceTo(stroke: Stroke, at: Point, shown: Shown): number {
  const toHandles = Math.min(...handlesOf(stroke).map((handle) => between(handle, at, shown)));
  if (stroke.shape === 'words') {
    const mark = placed(stroke, shown.width, shown.height);
    if (mark?.shape !== 'words') return toHandles;
    // About half a letter's size for each letter.
    const wide = 0.5 * mark.size * Math.max(...mark.lines.map((line) => line.length));
    const left = mark.anchor === 'start' ? mark.x : mark.anchor === 'end' ? mark.x - wide : mark.x - wide / 2;
    const [x, y] = [at.x * shown.width, at.y * shown.height];
    const [aside, over] = [
      Math.max(left - x, 0, x - left - wide),
      Math.max(mark.top - y, 0, y - mark.top - mark.lines.length * LINE_HEIGHT * mark.size),
    ];
    return Math.hypot(aside, over);
  }
  const mark = placed(stroke, shown.width, shown.height);
  const [x, y] = [at.x * shown.width, at.y * shown.height];
  if (mark?.shape === 'ring') {
    const [aside, over] = [x - mark.middle.x, y - mark.middle.y];
    const scale = Math.hypot(aside / Math.max(mark.across, 1), over / Math.max(mark.down, 1));
    return scale === 0
      ? Math.min(mark.across, mark.down)
      : Math.min(toHandles, Math.hypot(aside, over) * Math.abs(1 - 1 / scale));
  }
  if (mark?.shape !== 'arrow') return toHandles;
  const tip = mark.head[0];
  const [dx, dy] = [tip.x - mark.tail.x, tip.y - mark.tail.y];
  const along = Math.min(1, Math.max(0, ((x - mark.tail.x) * dx + (y - mark.tail.y) * dy) / (dx * dx + dy * dy)));
  return Math.hypot(x - mark.tail.x - along * dx, y - mark.tail.y - along * dy);
}

/** The mark that a tap means: the nearest within reach, the newest of those as near; or -1. */
export function strokeAt(strokes: readonly Stroke[], at: Point, shown: Shown, reach: number): number {
  let nearest = -1;
  let best = reach;
  strokes.forEach((stroke, place) => {
    const distance = distanceTo(stroke, at, shown);
    if (distance <= best) [nearest, best] = [place, distance];
  });
  return nearest;
}

/** What is drawn, for whoever cannot see it; '' when nothing is. The report says the same. */
export function marksInWords(strokes: readonly Stroke[]): string {
  const parts: string[] = [];
  for (const [shape, one, many] of [
    ['arrow', 'an arrow', 'arrows'],
    ['ring', 'a ring', 'rings'],
  ] as const) {
    const count = strokes.filter((stroke) => stroke.shape === shape).length;
    if (count > 0) parts.push(count === 1 ? one : `${count} ${many}`);
  }
  for (const stroke of strokes) if (stroke.shape === 'words') parts.push(`the words “${stroke.words}”`);
  if (parts.length === 0) return '';
  return `Marked with ${parts.length === 1 ? parts[0] : `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}`}`;
}
