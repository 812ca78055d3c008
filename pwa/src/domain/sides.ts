/**
 * Whether a room closes: each of its sides said, and as large as the room is there.
 *
 * The twin of `survey/sides.py`, for what must answer before the engine is there; the golden files of gaps hold both to the same answers.
 */
import { isFlat, isOpening, sideBeyond, SIDES, sidesOf, type Side } from './box.ts';
import { asNumber, model, type Values } from './model.ts';
import { areaOf, sizeIn, sizeOf } from './sizes.ts';
import type { Survey, SurveyRecord } from './survey.ts';

/** One place where a room does not close. `side` is null where it is about the walls as a whole, in a room that is no box. */
export interface Hole {
  code: 'side_not_said' | 'side_left' | 'edge_not_said' | 'walls_left';
  side: Side | null;
}

/** A surface as a room meets it; `side` is null for a wall of which nobody said where it is. */
interface Met {
  record: SurveyRecord;
  side: Side | null;
  isOwn: boolean;
}

function metByRoom(survey: Survey): Map<unknown, Met[]> {
  const { lies } = model.closing;
  const rooms = new Map<unknown, Values>(survey.ofKind('room').map((room) => [room.id, room.values]));
  const met = new Map<unknown, Met[]>(survey.ofKind('room').map((room) => [room.id, []]));
  for (const record of survey.ofKind('surface')) {
    if (isOpening(record)) continue;
    const { values } = record;
    const said = SIDES.find((side) => side === values['side']) ?? lies[String(values['element'])];
    const side = (said as Side | undefined) ?? null;
    met.get(values['room'])?.push({ record, side, isOwn: true });
    if (values['other_side'] === 'room' && values['other_room'] !== values['room'])
      met.get(values['other_room'])?.push({
        record,
        side: sideBeyond(side, rooms.get(values['room']), rooms.get(values['other_room'])),
        isOwn: false,
      });
  }
  return met;
}

/** Where each room of a survey does not close, side by side, by the room's id. */
export function holesByRoom(survey: Survey): Map<string, Hole[]> {
  const met = metByRoom(survey);
  return new Map(survey.ofKind('room').map((room) => [room.id, holesIn(survey, room, met.get(room.id) ?? [])]));
}

function holesIn(survey: Survey, room: SurveyRecord, met: Met[]): Hole[] {
  const isBox =
    asNumber(room.values['floor_area_m2']) === null ||
    SIDES.every((side) => isFlat(side) || sizeOf({ side }, room.values)['width_m'] !== undefined);
  const left = (side: Side, parts: Met[]) =>
    leftOfSide(
      room.values,
      side,
      parts.map((part) => sizeIn(survey, part.record)),
    );
  const loose = met.filter((item) => item.side === null);
  const on = new Map<Side, Met[]>();
  for (const side of sidesOf(room.values)) {
    if (!isBox && !isFlat(side)) continue;
    const here = met.filter((item) => item.side === side);
    const own = here.filter((item) => item.isOwn);
    // Told from the room beyond, where the place here is taken: it stands for another side.
    const isTaken = isBox && !isFlat(side) && own.length > 0 && own.length < here.length && !isLeft(left(side, own));
    if (isTaken) loose.push(...here.filter((item) => !item.isOwn));
    on.set(side, isTaken ? own : here);
  }
  let spare = loose.reduce((sum, item) => sum + (areaOf(sizeIn(survey, item.record)) ?? 0), 0);
  const found: Hole[] = isBox ? [] : wallsLeft(survey, room, met);
  for (const [side, parts] of on) {
    const open = left(side, parts);
    if (parts.length > 0 && !isLeft(open)) continue;
    const { least_left_m2, tolerance } = model.closing;
    if (open !== null && !isFlat(side) && spare > open - least_left_m2 + tolerance) {
      spare -= open;
      continue;
    }
    found.push({ code: parts.length > 0 ? 'side_left' : 'side_not_said', side });
  }
  return found;
}

/** What is not said of the walls of a room that is no box: they are as long together as the room is all round. */
function wallsLeft(survey: Survey, room: SurveyRecord, met: Met[]): Hole[] {
  const { edge, least_left_m, tolerance } = model.closing;
  const around = asNumber(room.values[edge]);
  if (around === null) return [{ code: 'edge_not_said', side: null }];
  const lengths = met
    .filter((item) => item.side === null || !isFlat(item.side))
    .map((item) => lengthOf(sizeIn(survey, item.record), room.values));
  const isMeasured = lengths.every((length) => length !== null);
  const open = lengths.reduce((sum: number, length) => sum - (length ?? 0), around);
  return isMeasured && open > least_left_m - tolerance ? [{ code: 'walls_left', side: null }] : [];
}

function lengthOf(size: Values, room: Values): number | null {
  const [width, area, height] = [asNumber(size['width_m']), asNumber(size['area_m2']), asNumber(room['height_m'])];
  return width ?? (area !== null && height ? area / height : null);
}

/** What parts of these sizes leave of a side of a room in m², or null where it cannot be known. */
export function leftOfSide(room: Values, side: Side, parts: readonly Values[]): number | null {
  let left = areaOf(sizeOf({ side }, room));
  for (const part of parts) {
    const area = areaOf(part);
    if (left === null || area === null) return null;
    left -= area;
  }
  return left;
}

/** Whether so much is another part: less than a hand's breadth is the measuring. */
export const isLeft = (open: number | null): open is number =>
  open !== null && open > model.closing.least_left_m2 - model.closing.tolerance;
