/**
 * How large a side of a room is: as its room's box, until somebody says otherwise.
 *
 * The twin of `survey/box.py`, for what must answer before the engine is there; `tests/golden/sizes.json` holds both to the same answers.
 * Which size follows which comes with the survey model.
 */
import { model, type Values } from './model.ts';
import type { Edit, Survey, SurveyRecord } from './survey.ts';

// Asked for when they are needed: the model comes as a file beside the scripts, and may not be there yet when this one is read.
const follows = () => model.follows;

/** The sizes that a surface may store. */
export const SIZES: readonly string[] = ['width_m', 'height_m', 'area_m2'];
const EDGES = SIZES.slice(0, 2);
const [SIDE_AREA, ROOM_AREA] = ['area_m2', 'floor_area_m2'];

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

function sourcesOf(surface: Values, room: Values): Record<string, string> {
  const side = sideOf(surface);
  if (side === null) return {};
  if (!isKnown(room, ROOM_AREA)) return follows().sides[side]!;
  // The walls of a room that is no box have no known length.
  return follows().flat.includes(side) ? { [SIDE_AREA]: ROOM_AREA } : { height_m: follows().sides[side]!['height_m']! };
}

/** Which sizes of a surface follow its room now, each with the field of the room that it follows. */
export function followed(surface: Values, room: Values): Record<string, string> {
  const sources = sourcesOf(surface, room);
  if (isKnown(surface, SIDE_AREA)) return {};
  // A part of a floor, said by its own edges.
  if (SIDE_AREA in sources && EDGES.some((name) => isKnown(surface, name))) return {};
  return Object.fromEntries(Object.entries(sources).filter(([name]) => !isKnown(surface, name)));
}

/** The width, height and area that a surface has, its own before its room's, as far as they are known. */
export function sizeOf(surface: Values, room: Values | undefined): Values {
  const size: Values = {};
  for (const name of SIZES) if (isKnown(surface, name)) size[name] = surface[name]!;
  for (const [name, source] of Object.entries(room ? followed(surface, room) : {}))
    if (isKnown(room!, source)) size[name] = room![source]!;
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

/** The sizes of a surface that say no more than its room's box. A floor's two are looked at together too: they may stand either way round. */
export function saidAgain(surface: Values, room: Values): string[] {
  const found = SIZES.filter((name) => {
    const source = isKnown(surface, name) ? followed({ ...surface, [name]: null }, room)[name] : undefined;
    return source !== undefined && room[source] === surface[name];
  });
  const side = sideOf(surface);
  if (
    found.length > 0 ||
    side === null ||
    !follows().flat.includes(side) ||
    isKnown(surface, SIDE_AREA) ||
    isKnown(room, ROOM_AREA)
  )
    return found;
  const isTurned =
    isKnown(room, 'length_m') &&
    isKnown(room, 'width_m') &&
    surface['width_m'] === room['length_m'] &&
    surface['height_m'] === room['width_m'];
  return isTurned ? [...EDGES] : [];
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
