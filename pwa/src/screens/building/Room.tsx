/** A room: its box, what is beyond each side, its emitters; at the foot what it loses and what they give. */
import { useState } from 'preact/hooks';
import {
  copyRoom,
  heightBeside,
  isFlat,
  nextRoom,
  resize,
  sideOf,
  sidesOf,
  surfacesOf,
  type Beyond,
  type Side,
} from '../../domain/box.ts';
import { plainNumber } from '../../domain/check.ts';
import { newId } from '../../domain/ids.ts';
import { asNumber, choiceLabel, fieldOf, kindOf, type Values, withDefaults } from '../../domain/model.ts';
import { tryOut } from '../../engine/live.ts';
import { recordWords, shortWords } from '../../forms/names.ts';
import { ForOffice, RecordForm } from '../../forms/RecordForm.tsx';
import { keep, useOneAtATime } from '../../forms/saving.tsx';
import { SizesInput } from '../../forms/Sizes.tsx';
import { Box, type DrawnSide, type DrawnSides } from '../../pictures/Box.tsx';
import { outlineOf } from '../../pictures/outline.ts';
import type { Edit, Survey, SurveyRecord } from '../../domain/survey.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { changeRecord, saveEdits } from '../../store/surveys.ts';
import { Page } from '../../ui/Page.tsx';
import { bring } from '../../ui/reach.ts';
import { go, recordLink, stageLink } from '../../ui/router.ts';
import { later } from '../../ui/later.tsx';
import { PhotoStrip } from '../photos/PhotoStrip.tsx';
import { Findings } from '../results/Findings.tsx';
import { RoomFoot } from '../results/Foot.tsx';
import { ItsHistory, RemoveButton } from '../Record.tsx';
import type { RecordScreenProps } from '../props.ts';
import { Emitters } from './Emitters.tsx';
import { beyondWords } from './beyond.ts';
import { ShapePanel } from './ShapePanel.tsx';
import type { SidePanelProps } from './SidePanel.tsx';

const SidePanel = later<SidePanelProps>(async () => (await import('./SidePanel.tsx')).SidePanel);

export function RoomScreen({ open, record: room, query }: RecordScreenProps) {
  const { survey } = open;
  const [chosen, setChosen] = useState<Side | null>((query.get('side') as Side | null) ?? null);
  const [before, setBefore] = useState<Side | null>(null);
  const focus = query.get('field');
  // The one line asks for all three; folded away they stand one by one.
  const isBoxAsked = focus === 'length_m' || focus === 'width_m' || focus === 'height_m';
  const values = room.values;
  const [length, width, height] = [
    asNumber(values['length_m']),
    asNumber(values['width_m']),
    asNumber(values['height_m']),
  ];
  const beside = heightBeside(survey, room);
  const name = typeof values['name'] === 'string' ? values['name'] : '';
  const storey = choiceLabel(fieldOf('room', 'storey'), withDefaults(kindOf('room'), values)['storey'] ?? '');
  const sides = sidesOf(values);
  // A hole in the walls of a room that is no box may be any side of which nothing is said.
  // On the first drawing of a start only what stands above the box is drawn.
  const holes = open.isAhead
    ? []
    : open.gaps.filter((gap) => gap.record === room.id && gap.side !== undefined && gap.code !== 'answer');
  const isSomewhere = holes.some((gap) => gap.side === null);
  const stillOpen: ReadonlySet<Side> = new Set(
    sides.filter(
      (side) =>
        holes.some((gap) => gap.side === side) ||
        (isSomewhere && !isFlat(side) && sideOf(survey, room.id, side).walls.length === 0),
    ),
  );
  const drawn: DrawnSides = Object.fromEntries(
    (open.isAhead ? [] : sides).map((side) => [side, drawSide(open, room.id, side, stillOpen.has(side))]),
  );
  const onSides = new Set(
    sides.flatMap((side) => sideOf(survey, room.id, side).openings.map((item) => item.record.id)),
  );
  // A window belongs to the side of the wall it sits in, whether or not it says so itself.
  const adrift = surfacesOf(survey, room.id).filter((item) => item.side === null && !onSides.has(item.record.id));
  const ids = [
    room.id,
    ...survey.children('surface', room.id).map((item) => item.id),
    ...survey.children('emitter', room.id).map((item) => item.id),
  ];
  const findings = (open.assessment?.assessment.findings ?? []).filter((finding) =>
    ids.some((id) => finding.record.endsWith(`/${id}`)),
  );
  const copy = useOneAtATime(async () => {
    let copied = '';
    const build = (present: Survey): Edit[] => {
      const edits = copyRoom(present, present.find('room', room.id) ?? room, newId);
      copied = edits[0]!.id;
      return edits;
    };
    if (await keep(() => saveEdits(survey.id, build))) go(recordLink(survey.id, 'room', copied, 'name'));
  });
  // By what is stored: two sizes may be typed faster than one is drawn.
  const saveSize = (size: Values) =>
    changeRecord(survey.id, 'room', room.id, (present) => resize({ ...room, values: present }, size).values);
  return (
    <Page
      title={name || 'Room'}
      over={storey}
      back={stageLink(survey.id, 'rooms')}
      backWords="rooms"
      foot={open.isAhead ? <p class="foot-figures" /> : <RoomFoot open={open} room={room.id} />}
    >
      <section class="group" aria-label="What room">
        <RecordForm open={open} record={room} groups={['what']} without={['storey']} focus={focus} isPlain />
      </section>
      <section class="group" aria-label="The box">
        <h2>The box</h2>
        <SizesInput
          label="Length × width × height"
          unit="m"
          names={['length_m', 'width_m', 'height_m']}
          kind="room"
          values={values}
          example="4.2 x 3.6 x 2.4"
          path={`${survey.id}/room/${room.id}/box`}
          isFocused={isBoxAsked}
          isLastKnown={height !== null || beside !== null}
          help={`Length runs along the wall you face first.${height === null && beside !== null ? ` Left out, the height is that of the last room here: ${plainNumber(beside, 2)} m.` : ''}`}
          onSave={async (size) => {
            await saveSize({ ...(height === null && beside !== null ? { height_m: beside } : {}), ...size });
            // Once measured, the first side that nobody has spoken of is asked for.
            setChosen((present) => present ?? sides.find((side) => stillOpen.has(side)) ?? null);
          }}
          onType={(size) => tryOut(open, size && [resize(room, size)])}
        />
        {!open.isAhead && (
          <>
            <ShapePanel open={open} room={room} focus={isBoxAsked ? null : focus} />
            <Box
              name={name}
              length={length}
              width={width}
              height={height}
              sides={drawn}
              outline={outlineOf(values)}
              chosen={chosen}
              onChoose={(side) => setChosen(chosen === side ? null : side)}
            />
            {/* A side that is done gives way to the next, unless another one was tapped meanwhile. */}
            {chosen && sides.includes(chosen) ? (
              <SidePanel
                key={chosen}
                open={open}
                room={room}
                side={chosen}
                before={before}
                onDone={() => {
                  const next = nextOpen(sides, stillOpen, chosen);
                  setBefore(chosen);
                  setChosen((present) => (present === chosen ? next : present));
                  if (next === null) bring(() => document.getElementById('room-emitters'));
                }}
              />
            ) : (
              <p>Tap a side and say what is beyond it.</p>
            )}
            {adrift.length > 0 && (
              <div>
                <h3>Without a side</h3>
                <ul class="list">
                  {adrift.map((item) => (
                    <li key={item.record.id}>
                      <a class="row" href={recordLink(survey.id, 'surface', item.record.id)}>
                        <span class="row-words">{recordWords(survey, item.record)}</span>
                      </a>
                    </li>
                  ))}
                </ul>
              </div>
            )}
          </>
        )}
      </section>
      {!open.isAhead && (
        <>
          <Emitters open={open} room={room} />
          <NextRoom open={open} room={room} />
          <RecordForm open={open} record={room} groups={['air', 'seen']} focus={focus} />
          <ForOffice open={open} record={room} focus={focus} />
          <section class="group" aria-label="Storey">
            <RecordForm open={open} record={room} only={['storey']} focus={focus} isPlain />
          </section>
          {findings.length > 0 && (
            <section aria-label="Findings">
              <h2>Findings here</h2>
              <Findings open={open} findings={findings} />
            </section>
          )}
          <PhotoStrip open={open} record={room} />
          <button type="button" class="button button-wide" onClick={() => copy()}>
            Another like this
          </button>
          <ItsHistory open={open} record={room} />
          <RemoveButton open={open} record={room} back={stageLink(survey.id, 'rooms')} />
        </>
      )}
    </Page>
  );
}

/** On to the next room: one that was named as a neighbour and not measured yet, on this storey first; else a new one. */
function NextRoom({ open, room }: { open: OpenSurvey; room: SurveyRecord }) {
  const { survey } = open;
  const next = nextRoom(survey, room);
  return (
    <a
      class="button button-main button-wide"
      href={next ? recordLink(survey.id, 'room', next.id, 'length_m') : `${stageLink(survey.id, 'rooms')}?add=room`}
    >
      {next ? `Next room: ${shortWords(next)}` : 'New room'}
    </a>
  );
}

function drawSide(open: OpenSurvey, room: string, side: Side, isOpen: boolean): DrawnSide {
  const { walls, openings } = sideOf(open.survey, room, side);
  const count = (element: string[]) =>
    openings
      .filter((item) => element.includes(String(item.record.values['element'])))
      .reduce((sum, item) => sum + (asNumber(item.record.values['count']) ?? 1), 0);
  const windows = count(['window', 'rooflight']);
  const doors = count(['door']);
  if (walls.length === 0)
    return isOpen
      ? { beyond: null, words: 'not said yet', windows, doors }
      : { beyond: 'mixed', words: 'said elsewhere', windows, doors };
  const words = [...new Set(walls.map((item) => beyondWords(open, item.record.values, item.isShared)))];
  const kinds = new Set(walls.map((item) => String(item.record.values['other_side'] ?? '')));
  const beyond = kinds.size === 1 ? ((walls[0]!.record.values['other_side'] as Beyond | undefined) ?? null) : 'mixed';
  return { beyond, words: [...words, ...(isOpen ? ['rest open'] : [])].join(' + '), windows, doors };
}

/** After a side is answered, the next that is not, wholly: round the room, then floor and ceiling. */
function nextOpen(sides: readonly Side[], stillOpen: ReadonlySet<Side>, from: Side): Side | null {
  const start = sides.indexOf(from);
  const order = [...sides.slice(start + 1), ...sides.slice(0, start)];
  return order.find((side) => stillOpen.has(side)) ?? null;
}
