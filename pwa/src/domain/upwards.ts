/** A storey copied upwards: the rooms over the rooms, as large as those below them, with what lies beyond their walls. */
import { isFlat, setBeyond, type Side, SIDES, sideOf, storeyOf } from './box.ts';
import { newRoom, storeyBeside } from './entry.ts';
import { asNumber, type Values } from './model.ts';
import { sizeIn } from './sizes.ts';
import { Survey, type Edit, type SurveyRecord } from './survey.ts';

/** What a room is copied with; a slope, a volume or a part of the house may be another one up there. */
const SHAPE = ['length_m', 'width_m', 'height_m', 'floor_area_m2', 'perimeter_m', 'floor_parts', 'extension'];
/** What is beyond a wall on every storey alike. */
const GOES_UP = ['outside', 'neighbour', 'nothing'];

/** The rooms of a storey that can be copied upwards: measured ones, while nobody has entered a room on the storey above. */
export function copiedUpwards(survey: Survey, storey: string): { above: string; rooms: SurveyRecord[] } | null {
  const above = storeyBeside(storey, 'ceiling');
  const all = survey.ofKind('room');
  const rooms = all.filter(
    (room) =>
      storeyOf(room) === storey &&
      (asNumber(room.values['length_m']) ?? asNumber(room.values['floor_area_m2'])) !== null,
  );
  const isTaken = all.some((room) => storeyOf(room) === above && asNumber(room.values['length_m']) !== null);
  return above === storey || rooms.length === 0 || isTaken ? null : { above, rooms };
}

/** What most often lies over a room of this use: a landing over a hall, else a bedroom. */
export const usualAbove = (use: unknown): string => (use === 'hall' ? 'hall' : 'bedroom');

/**
 * The edits that copy the rooms of a storey upwards.
 *
 * Outside walls and walls to neighbours stand over those below; a partition stands over one between two rooms that are both copied;
 * floor and ceiling between a room and its copy are one record, told from the lower room. What lies over the copies is asked of them.
 * Windows, doors, emitters and constructions chosen by hand stay below. A room over which one was named already is left out.
 *
 * @param uses what each room's copy is used as, by the id of the room below; a room that is not in it has none above
 */
export function copyUpwards(
  survey: Survey,
  storey: string,
  uses: ReadonlyMap<string, string>,
  makeId: () => string,
): Edit[] {
  const copied = copiedUpwards(survey, storey);
  if (!copied) return [];
  const edits: Edit[] = [];
  let present = survey;
  const put = (edit: Edit) => {
    edits.push(edit);
    const before = present.find(edit.kind, edit.id);
    const made = { kind: edit.kind, id: edit.id, values: { ...before?.values, ...edit.values } };
    present = new Survey(survey.id, [...[...present.all()].filter((item) => item !== before), made]);
  };
  const copies = new Map<string, string>();
  for (const room of copied.rooms) {
    const use = uses.get(room.id);
    const named = sideOf(survey, room.id, 'ceiling').walls.length > 0;
    if (!use || named) continue;
    const made = newRoom(present, use, copied.above, makeId());
    const shape = Object.fromEntries(
      SHAPE.flatMap((name) =>
        room.values[name] === undefined || room.values[name] === null ? [] : [[name, room.values[name]]],
      ),
    ) as Values;
    put({ ...made, values: { ...made.values, ...shape } });
    copies.set(room.id, made.id);
  }
  for (const [below, above] of copies) {
    put(setBeyond(present, present.find('room', below)!, 'ceiling', 'room', { id: makeId(), otherRoom: above }));
    for (const side of SIDES.filter((item) => !isFlat(item)))
      goUp(present, below, above, side, copies, makeId).forEach(put);
  }
  return edits;
}

function goUp(
  survey: Survey,
  below: string,
  above: string,
  side: Side,
  copies: ReadonlyMap<string, string>,
  makeId: () => string,
): Edit[] {
  const room = survey.find('room', above)!;
  const { walls } = sideOf(survey, below, side);
  return walls.flatMap(({ record, isShared }) => {
    const beyond = record.values['other_side'];
    // Told from one of its two rooms, here as there.
    if (isShared) return [];
    const other = beyond === 'room' ? copies.get(String(record.values['other_room'])) : undefined;
    if (!other && !GOES_UP.includes(String(beyond))) return [];
    const said = Object.fromEntries(
      Object.entries(sizeIn(survey, record)).filter(([name]) => record.values[name] !== undefined),
    ) as Values;
    return [
      setBeyond(survey, room, side, beyond as 'outside' | 'neighbour' | 'nothing' | 'room', {
        id: makeId(),
        ...(other ? { otherRoom: other } : {}),
        ...(Object.keys(said).length > 0 ? { size: said } : {}),
      }),
    ];
  });
}
