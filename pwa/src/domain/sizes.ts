/**
 * How large a side of a room is: as its room's box, until somebody says otherwise.
 *
 * The twin of `survey/box.py`, for what must answer before the engine is there; `tests/golden/sizes.json` holds both to the same answers.
 * Which size follows which comes with the survey model.
 */
import { model, numberOf, type Values } from './model.ts';
import { ROOM_AREA, shapeOf, type Whole } from './shape.ts';
import type { Edit, Survey, SurveyRecord } from './survey.ts';

// Asked for when they are needed: the model comes as a file beside the scripts, and may not be there yet when this one is read.
const follows = () => model.follows;

/** The sizes that a surface may store. */
export const SIZES: readonly string[] = ['width_m', 'height_m', 'area_m2'];
const EDGES = SIZES.slice(0, 2);
const SIDE_AREA = 'area_m2';

const isKnown = (values: Values, name: string): boolean => values[name] !== undefined && values[name] !== null;

/** The side of the box that a surface follows where it says no size of its own. */
function sideOf(surface: Values): string | null {
  const { side, element } = surface;
  return typeof side === 'string' &&
    Object.hasOwn(follows().sides, side) &&
    !(typeof element === 'string' && follows().openings.includes(element))
    ? side
    : null;
}

/** The area of a size, as far as it is known. */
export function areaOf(values: Values): number | null {
  const [area, width, height] = [
    numberOf(values, 'area_m2'),
    numberOf(values, 'width_m'),
    numberOf(values, 'height_m'),
  ];
  return area ?? (width !== null && height !== null ? width * height : null);
}

const edgesOf = (side: string, room: Values): Whole =>
  Object.fromEntries(Object.entries(follows().sides[side]!).map(([name, source]) => [name, numberOf(room, source)]));
const measuredOf = (sizes: Whole): Whole =>
  Object.fromEntries(Object.entries(sizes).filter(([, size]) => size !== null));

/** The sizes of a whole side of a room; what is not among them is no matter of the room's, and is asked of the side. */
export function whole(side: string, room: Values): Whole {
  const shape = shapeOf(room);
  if (shape) return { ...shape.sides[side]! };
  const edges = edgesOf(side, room);
  const area = numberOf(room, ROOM_AREA);
  if (area === null) return edges;
  if (follows().flat.includes(side)) return { [SIDE_AREA]: area };
  // A room given by its area may have walls as long as it was measured; where it was not, they ask for themselves.
  return Object.fromEntries(Object.entries(edges).filter(([name, size]) => name !== 'width_m' || size !== null));
}

/** Whether a whole side of a room goes by its area: a part of it is then said by both its edges, or by an area. */
export const goesByArea = (side: string, room: Values): boolean => SIDE_AREA in whole(side, room);

/** What a surface says that is a part of a side only: its edges, or its area and no edges. */
export const asPart = (size: Values): Values =>
  Object.fromEntries(
    SIZES.filter((name) => isKnown(size, name) || (name === SIDE_AREA) !== isKnown(size, SIDE_AREA)).map((name) => [
      name,
      size[name] ?? null,
    ]),
  );

/** The sizes of a surface that follow its room now, null where the room does not say them. */
export function followed(surface: Values, room: Values): Whole {
  const side = sideOf(surface);
  if (side === null || isKnown(surface, SIDE_AREA)) return {};
  let sizes = whole(side, room);
  // A part said by its own edges. Of a floor that says one, the other is the room's as far as that was measured.
  if (SIDE_AREA in sizes && EDGES.some((name) => isKnown(surface, name)))
    sizes = follows().flat.includes(side) ? measuredOf(edgesOf(side, room)) : {};
  return Object.fromEntries(Object.entries(sizes).filter(([name]) => !isKnown(surface, name)));
}

/** The width, height and area that a surface has, its own before its room's, as far as they are known. */
export function sizeOf(surface: Values, room: Values | undefined): Values {
  const size: Values = {};
  for (const name of SIZES) if (isKnown(surface, name)) size[name] = surface[name]!;
  for (const [name, value] of Object.entries(room ? followed(surface, room) : {}))
    if (value !== null) size[name] = value;
  return size;
}

/** The size of a surface as it stands in its survey. One between two rooms is as large as the room says that it was told from. */
export const sizeIn = (survey: Survey, surface: SurveyRecord): Values =>
  sizeOf(surface.values, survey.find('room', surface.values['room'])?.values);

/** Whether a size of a surface follows its room: where it is not known, the gap is the room's. */
export function isFollowed(name: string, surface: Values, room: Values): boolean {
  const sizes = followed(surface, room);
  return name in sizes || (EDGES.includes(name) && SIDE_AREA in sizes);
}

/** Far less than anybody measures, in m or m². */
const DUST = 1e-6;
const isSame = (one: unknown, other: unknown): boolean =>
  typeof one === 'number' && typeof other === 'number' && Math.abs(one - other) < DUST;

/** The sizes of a surface that say no more than its room's box. A floor's two are looked at together too: they may stand either way round. */
export function saidAgain(surface: Values, room: Values): string[] {
  const found = SIZES.filter(
    (name) => isKnown(surface, name) && isSame(surface[name], followed({ ...surface, [name]: null }, room)[name]),
  );
  const side = sideOf(surface);
  // Each goes without saying beside the other; without both it would be the whole floor, which is no box.
  if (side !== null && follows().flat.includes(side) && found.length === EDGES.length && SIDE_AREA in whole(side, room))
    return [];
  if (found.length > 0 || side === null || !follows().flat.includes(side) || isKnown(surface, SIDE_AREA)) return found;
  const { width_m: width, height_m: height } = whole(side, room);
  return isSame(surface['width_m'], height) && isSame(surface['height_m'], width) ? [...EDGES] : [];
}

/**
 * An edit of a surface with what it says of its size; a size that says no more than the room's box is said by saying none.
 *
 * @param stored what the surface holds already; undefined for a new one
 */
export function withoutSaidAgain(edit: Edit, stored: Values | undefined, room: Values | undefined): Edit {
  const again = room ? saidAgain({ ...stored, ...edit.values }, room).filter((name) => isKnown(edit.values, name)) : [];
  if (again.length === 0) return edit;
  const values = { ...edit.values };
  for (const name of again) {
    if (stored) values[name] = null;
    else delete values[name];
  }
  return { ...edit, values };
}
