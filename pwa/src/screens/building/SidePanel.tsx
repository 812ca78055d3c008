/** One side of a room: what is beyond it, in which construction, with which windows and doors. */
import { useEffect, useRef, useState } from 'preact/hooks';
import {
  type Beyond,
  type Facing,
  isFlat,
  type Side,
  SIDE_WORDS,
  sideOf,
  usualConstruction,
} from '../../domain/box.ts';
import { constructionsFor, restOfSide } from '../../domain/entry.ts';
import { surfaceUValueWords, uValueWords } from '../../domain/assessment.ts';
import { NBSP, plainNumber } from '../../domain/check.ts';
import { choiceLabel, fieldOf, type Values } from '../../domain/model.ts';
import { areaOf, asPart, goesByArea, isFollowed, sizeIn } from '../../domain/sizes.ts';
import type { Survey, SurveyRecord } from '../../domain/survey.ts';
import { shortWords } from '../../forms/names.ts';
import { RecordForm } from '../../forms/RecordForm.tsx';
import { keep } from '../../forms/saving.tsx';
import { SizesInput } from '../../forms/Sizes.tsx';
import type { OpenSurvey } from '../../store/live.ts';
import { saveEdits } from '../../store/surveys.ts';
import { bring } from '../../ui/reach.ts';
import { recordLink, stageLink } from '../../ui/router.ts';
import { beyondWords } from './beyond.ts';
import { BeyondChooser } from './BeyondChooser.tsx';
import { Openings, sizeWords } from './Openings.tsx';

export interface SidePanelProps {
  open: OpenSurvey;
  room: SurveyRecord;
  side: Side;
  /** The side that was said just before, and gave way to this one. */
  before?: Side | null;
  onDone: () => void;
}

export function SidePanel({ open, room, side, before, onDone }: SidePanelProps) {
  const { survey } = open;
  const { walls, openings } = sideOf(survey, room.id, side);
  const [isAdding, setAdding] = useState(false);
  const rest = restOfSide(
    room.values,
    side,
    walls.map((item) => sizeIn(survey, item.record)),
  );
  // What is left of a side is asked for by itself; a side that is said in one tap gives way to the next.
  const isAsked = walls.length === 0 || rest !== null || isAdding;
  const sheet = useRef<HTMLElement>(null);
  const ways = useRef<HTMLDivElement>(null);
  const isFirst = useRef(true);
  const said = walls.length;
  // What was just said is shown with all that it asks; then the way on, which is never farther away than it must be.
  useEffect(() => {
    if (!isFirst.current && !isAsked) {
      bring(() => sheet.current?.querySelector<HTMLElement>(':scope > .part:last-of-type'), { takesFocus: false });
      bring(() => ways.current);
    } else if (!isAsked) bring(() => sheet.current);
    isFirst.current = false;
  }, [said, isAsked]);
  const onSet = (beyond: Beyond) => {
    setAdding(false);
    if (walls.length === 0 && (isFlat(side) || beyond === 'neighbour' || beyond === 'ground' || beyond === 'nothing'))
      onDone();
  };
  return (
    <section class="sheet" aria-label={SIDE_WORDS[side]} ref={sheet}>
      {before && before !== side && <JustSaid open={open} room={room} side={before} />}
      <h3>{SIDE_WORDS[side]}</h3>
      {walls.map((item) => (
        <Part
          key={item.record.id}
          open={open}
          room={room}
          side={side}
          part={item}
          openings={openings.filter((opening) => opening.record.values['opening_in'] === item.record.id)}
        />
      ))}
      {rest !== null && (
        <p>
          <b>{restWords(rest)} of this side is left.</b>
        </p>
      )}
      {isAsked && <BeyondChooser open={open} room={room} side={side} {...(rest ? { size: rest } : {})} onSet={onSet} />}
      <div class="buttons" ref={ways}>
        {!isAsked && (
          <button type="button" class="button" onClick={() => setAdding(true)}>
            Another part of this side
          </button>
        )}
        <button type="button" class="button" onClick={onDone}>
          Next side
        </button>
      </div>
    </section>
  );
}

const restWords = (rest: Values): string =>
  typeof rest['area_m2'] === 'number' ? `${plainNumber(rest['area_m2'], 1)}${NBSP}m²` : sizeWords(rest);

/** One surface of the side. One that belongs to the room beyond is shown here and changed there. */
function Part({
  open,
  room,
  side,
  part,
  openings,
}: {
  open: OpenSurvey;
  room: SurveyRecord;
  side: Side;
  part: Facing;
  openings: Facing[];
}) {
  const { survey } = open;
  const surface = part.record;
  const [isChanging, setChanging] = useState(false);
  const [isCutting, setCutting] = useState(false);
  const construction = survey.find('construction', surface.values['construction']);
  const area = areaOf(sizeIn(survey, surface));
  const words = beyondWords(open, surface.values, part.isShared);
  const element = String(surface.values['element'] ?? '');
  const [flat, byArea] = [isFlat(side), goesByArea(side, room.values)];
  return (
    <div class="part">
      <p>
        <b>{words[0]!.toUpperCase() + words.slice(1)}</b>
        {area !== null ? ` · ${plainNumber(area, 1)}${NBSP}m²` : ' · size not known'} ·{' '}
        <ConstructionWords open={open} surface={surface} />
      </p>
      {part.isShared && (
        <p class="field-notes">
          One record with the room beyond: it counts in both. {followsWords(survey, surface)}It is changed{' '}
          <a href={recordLink(survey.id, 'surface', surface.id)}>there</a>.
        </p>
      )}
      {!part.isShared && surface.values['other_side'] === 'room' && followsWords(survey, surface) && (
        <p class="field-notes">It counts in both rooms. {followsWords(survey, surface)}</p>
      )}
      {!part.isShared &&
        !construction &&
        !usualConstruction(survey, element, room, side, surface.values['other_side'] as Beyond) && (
          <p class="field-notes">
            There is no usual{' '}
            {side === 'slope' ? 'sloping ceiling' : choiceLabel(fieldOf('surface', 'element'), element).toLowerCase()}{' '}
            yet: <a href={stageLink(survey.id, 'constructions')}>say it once</a> and this fills in.
          </p>
        )}
      {!part.isShared && (
        <>
          {isChanging ? (
            <>
              <BeyondChooser open={open} room={room} side={side} existing={surface} onSet={() => setChanging(false)} />
              <RecordForm
                open={open}
                record={surface}
                only={['width_m', 'height_m', 'area_m2', 'construction', 'space', 'depth_below_ground_m']}
                isPlain
              />
            </>
          ) : null}
          {element === 'ground_floor' && construction && construction.values['known_by'] !== 'look' && (
            <RecordForm open={open} record={surface} only={['below']} isPlain />
          )}
          {isCutting && (
            <SizesInput
              label={
                flat ? 'Width × length of this part' : byArea ? 'Width × height of this part' : 'Width of this part'
              }
              unit="m"
              kind="surface"
              names={byArea || flat ? ['width_m', 'height_m'] : ['width_m']}
              area="area_m2"
              values={{}}
              example={flat ? '3 x 2.4' : byArea ? '3.1 x 2' : '3.1'}
              help={`Or its area, such as ${flat || byArea ? '7.2' : '7.2 m²'}. The rest of the side is asked next.`}
              isFocused
              path={`${survey.id}/surface/${surface.id}/part`}
              onSave={async (part) => {
                await saveEdits(survey.id, [{ kind: 'surface', id: surface.id, values: asPart(part) }]);
                setCutting(false);
              }}
            />
          )}
          {!isChanging && <ConstructionChips open={open} surface={surface} />}
          <div class="buttons">
            <button
              type="button"
              class="button button-quiet"
              aria-expanded={isCutting}
              onClick={() => setCutting(!isCutting)}
            >
              Only a part of this side
            </button>
            <button
              type="button"
              class="button button-quiet"
              aria-expanded={isChanging}
              onClick={() => setChanging(!isChanging)}
            >
              {isChanging ? 'Done' : 'Change'}
            </button>
            <a class="button button-quiet" href={recordLink(survey.id, 'surface', surface.id)}>
              All about it
            </a>
          </div>
          {['outside', 'unheated', 'room'].includes(String(surface.values['other_side'])) &&
            ['wall', 'partition', 'roof'].includes(element) && (
              <Openings open={open} room={room} wall={surface} side={side} openings={openings} />
            )}
        </>
      )}
    </div>
  );
}

/** What a surface is made of, with its U-value as it counts there. */
function ConstructionWords({ open, surface }: { open: OpenSurvey; surface: SurveyRecord }) {
  if (surface.values['other_side'] === 'nothing') return <>not counted</>;
  const construction = open.survey.find('construction', surface.values['construction']);
  if (!construction) return <span class="field-wanted">construction needed</span>;
  const value = surfaceUValueWords(open.assessment, surface.id, construction.id);
  return (
    <>
      {shortWords(construction)}
      {value && <span class="u-value"> {value}</span>}
    </>
  );
}

/** The constructions that it may be of, each with its U-value, one tap away. */
function ConstructionChips({ open, surface }: { open: OpenSurvey; surface: SurveyRecord }) {
  const { survey } = open;
  const made = surface.values['other_side'] === 'nothing' ? [] : constructionsFor(survey, surface.values);
  if (made.length === 0) return null;
  return (
    <div class="choices" role="group" aria-label="Construction">
      {made.map((item) => (
        <button
          key={item.id}
          type="button"
          class="choice"
          aria-pressed={surface.values['construction'] === item.id}
          onClick={() =>
            void keep(() =>
              saveEdits(survey.id, [{ kind: 'surface', id: surface.id, values: { construction: item.id } }]),
            )
          }
        >
          <span class="choice-words">
            <span>{shortWords(item)}</span>
            {uValueWords(open.assessment, item.id) && <small>{uValueWords(open.assessment, item.id)}</small>}
          </span>
        </button>
      ))}
    </div>
  );
}

/** The side that was just said, as it now counts: it gave way to the next one before anybody saw what it is made of. */
function JustSaid({ open, room, side }: { open: OpenSurvey; room: SurveyRecord; side: Side }) {
  const said = sideOf(open.survey, room.id, side).walls.filter((item) => !item.isShared);
  return (
    <>
      {said.map(({ record }) => (
        <div key={record.id} class="just-said" role="group" aria-label={`${SIDE_WORDS[side]}, as said`}>
          <p>
            <b>{SIDE_WORDS[side]}</b>: {beyondWords(open, record.values, false)} ·{' '}
            <ConstructionWords open={open} surface={record} />
          </p>
          <ConstructionChips open={open} surface={record} />
        </div>
      ))}
    </>
  );
}

/** Whose size a wall between two rooms has, where it is not said by itself. */
function followsWords(survey: Survey, surface: SurveyRecord): string {
  const told = survey.find('room', surface.values['room']);
  return told && isFollowed('width_m', surface.values, told.values)
    ? `Its size is that of ${shortWords(told)}, where it was entered. `
    : '';
}
