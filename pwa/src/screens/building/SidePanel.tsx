/** One side of a room: what is beyond it, in which construction, with which windows and doors. */
import { useEffect, useRef, useState } from 'preact/hooks';
import {
  type Beyond,
  beyondChoices,
  type Facing,
  isFlat,
  setBeyond,
  type Side,
  SIDE_WORDS,
  sideOf,
  storeyOf,
  usualConstruction,
} from '../../domain/box.ts';
import {
  alikeFor,
  constructionsFor,
  likeTheOtherSide,
  newRoom,
  newOpening,
  restOfSide,
  roomsBeyond,
  storeyBeside,
} from '../../domain/entry.ts';
import { surfaceUValueWords, uValueWords } from '../../domain/assessment.ts';
import { plainNumber } from '../../domain/check.ts';
import { newId } from '../../domain/ids.ts';
import { choiceLabel, fieldOf, type Values } from '../../domain/model.ts';
import { areaOf, asPart, goesByArea, isFollowed, sizeIn } from '../../domain/sizes.ts';
import type { Edit, Survey, SurveyRecord } from '../../domain/survey.ts';
import { shortWords } from '../../forms/names.ts';
import { RecordForm } from '../../forms/RecordForm.tsx';
import { keep } from '../../forms/saving.tsx';
import { SizesInput } from '../../forms/Sizes.tsx';
import { offerBack } from '../../forms/taking.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { changeRecord, saveEdits } from '../../store/surveys.ts';
import { bring } from '../../ui/reach.ts';
import { recordLink, stageLink } from '../../ui/router.ts';
import { beyondWords } from './beyond.ts';
import { UsePicker } from './UsePicker.tsx';

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
  typeof rest['area_m2'] === 'number' ? `${plainNumber(rest['area_m2'], 1)} m²` : sizeWords(rest);

/** What is beyond: one tap, or two where it must be said which room or what space. */
function BeyondChooser({
  open,
  room,
  side,
  existing,
  size,
  onSet,
}: {
  open: OpenSurvey;
  room: SurveyRecord;
  side: Side;
  existing?: SurveyRecord;
  size?: Values;
  onSet?: (beyond: Beyond) => void;
}) {
  const { survey } = open;
  const present = existing?.values['other_side'] as Beyond | undefined;
  const [asked, setAsked] = useState<'unheated' | 'new_room' | 'far_room' | null>(null);
  const [isInLoft, setInLoft] = useState(false);
  const question = useRef<HTMLDivElement>(null);
  useEffect(() => {
    bring(() => question.current);
  }, []);
  useEffect(() => {
    if (asked) bring(() => question.current?.querySelector<HTMLElement>(':scope > :last-child'));
  }, [asked]);
  const beside = storeyBeside(storeyOf(room), side);
  const storey = isInLoft ? 'loft' : beside;
  const others = survey.ofKind('room').filter((item) => item.id !== room.id);
  const { near, far } = roomsBeyond(others, room, side);
  const described = survey.ofKind('unheated_space');
  const spaces = fieldOf('surface', 'unheated_space').choices ?? [];
  const shown = sideOf(survey, room.id, side).walls.length;
  // By the sizes as they are stored, which may be newer than those on the screen; and a second tap of the same thumb adds no second wall.
  const put = async (beyond: Beyond, build: (present: Survey, stored: SurveyRecord) => Edit[]) => {
    const done = await keep(() =>
      saveEdits(survey.id, (present) => {
        const stored = present.find('room', room.id);
        return !stored || (!existing && sideOf(present, room.id, side).walls.length > shown)
          ? []
          : build(present, stored);
      }),
    );
    if (!done) return;
    setAsked(null);
    onSet?.(beyond);
  };
  interface More {
    otherRoom?: string;
    space?: string;
    described?: string;
  }
  const said = (present: Survey, stored: SurveyRecord, beyond: Beyond, more: More) => {
    const before = present.find('surface', existing?.id);
    return setBeyond(present, stored, side, beyond, {
      id: newId(),
      ...more,
      ...(size ? { size } : {}),
      ...(before ? { existing: before } : {}),
    });
  };
  const set = (beyond: Beyond, more: More = {}) =>
    put(beyond, (present, stored) => [said(present, stored, beyond, more)]);
  const setAlike = (beyond: Beyond, words: string) =>
    put(beyond, (present, stored) =>
      alikeFor(present, stored, side, newId, size)
        .filter((item) => item.words === words)
        .map((item) => item.edit),
    );
  const setNewRoom = (use: string) =>
    put('room', (present, stored) => {
      const made = newRoom(present, use, storey, newId());
      return [made, said(present, stored, 'room', { otherRoom: made.id })];
    });
  const alike = existing ? [] : alikeFor(survey, room, side, newId, size);
  const across = existing || size ? null : likeTheOtherSide(survey, room, side, newId);
  const choices = beyondChoices(side);
  const toRoom = choices.find((item) => item.beyond === 'room');
  return (
    <div class="field" role="group" aria-label="What is beyond it" ref={question}>
      <p class="field-label">What is beyond it?</p>
      {across && (
        <button
          type="button"
          class="button button-wide"
          onClick={() =>
            void put('outside', (present, stored) => likeTheOtherSide(present, stored, side, newId)?.edits ?? [])
          }
        >
          {across.words}
        </button>
      )}
      {alike.map((item) => (
        <button
          key={item.words}
          type="button"
          class="button button-wide"
          onClick={() => void setAlike(item.edit.values['other_side'] as Beyond, item.words)}
        >
          {item.words}
        </button>
      ))}
      <div class="choices">
        {choices
          .filter((item) => item.beyond !== 'room')
          .map((item) => (
            <button
              key={item.beyond}
              type="button"
              class="choice"
              aria-pressed={(asked === 'unheated' ? asked : present) === item.beyond}
              onClick={() => (item.beyond === 'unheated' ? setAsked(item.beyond) : void set(item.beyond))}
            >
              <span class="choice-words">{item.label}</span>
            </button>
          ))}
      </div>
      {toRoom && (
        <>
          <p class="field-label">Or {toRoom.label.toLowerCase()}</p>
          <div class="choices">
            {(asked === 'far_room' ? [...near, ...far] : near).map((other) => (
              <button
                key={other.id}
                type="button"
                class="choice"
                aria-pressed={existing?.values['other_room'] === other.id}
                onClick={() => void set('room', { otherRoom: other.id })}
              >
                <span class="choice-words">{shortWords(other)}</span>
              </button>
            ))}
            <button
              type="button"
              class="choice"
              aria-pressed={asked === 'new_room'}
              onClick={() => setAsked('new_room')}
            >
              <span class="choice-words">One not entered yet</span>
            </button>
            {far.length > 0 && asked !== 'far_room' && (
              <button type="button" class="choice" aria-pressed={false} onClick={() => setAsked('far_room')}>
                <span class="choice-words">On another storey</span>
              </button>
            )}
          </div>
        </>
      )}
      {asked === 'new_room' && (
        <div>
          {side === 'ceiling' && beside !== 'loft' && (
            <div class="choices choices-two" role="group" aria-label="On which storey?">
              {[beside, 'loft'].map((value) => (
                <button
                  key={value}
                  type="button"
                  class="choice"
                  aria-pressed={storey === value}
                  onClick={() => setInLoft(value === 'loft')}
                >
                  <span class="choice-words">{choiceLabel(fieldOf('room', 'storey'), value)}</span>
                </button>
              ))}
            </div>
          )}
          <UsePicker label="What is that room?" onPick={(use) => void setNewRoom(use)} />
        </div>
      )}
      {asked === 'unheated' && (
        <>
          <p class="field-label">What kind of space?</p>
          <div class="choices">
            {described.map((space) => (
              <button
                key={space.id}
                type="button"
                class="choice"
                aria-pressed={existing?.values['space'] === space.id}
                onClick={() => void set('unheated', { described: space.id })}
              >
                <span class="choice-words">
                  <span>{shortWords(space)}</span>
                  <small>described with this house</small>
                </span>
              </button>
            ))}
            {spaces.map((space) => (
              <button
                key={space.value}
                type="button"
                class="choice"
                aria-pressed={!existing?.values['space'] && existing?.values['unheated_space'] === space.value}
                onClick={() => void set('unheated', { space: space.value })}
              >
                <span class="choice-words">
                  <span>{space.label}</span>
                  {space.hint && <small>{space.hint}</small>}
                </span>
              </button>
            ))}
          </div>
        </>
      )}
    </div>
  );
}

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
        {area !== null ? ` · ${plainNumber(area, 1)} m²` : ' · size not known'} ·{' '}
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

function Openings({
  open,
  room,
  wall,
  side,
  openings,
}: {
  open: OpenSurvey;
  room: SurveyRecord;
  wall: SurveyRecord;
  side: Side;
  openings: Facing[];
}) {
  const kinds =
    wall.values['element'] === 'roof'
      ? (['rooflight'] as const)
      : wall.values['element'] === 'partition'
        ? (['door'] as const)
        : (['window', 'door'] as const);
  return (
    <div class="openings">
      {openings.map(({ record }) => (
        <OpeningRow key={record.id} open={open} opening={record} />
      ))}
      {kinds.map((element) => (
        <NewOpening key={element} open={open} room={room} wall={wall} side={side} element={element} />
      ))}
    </div>
  );
}

/** Of one opening, counted in one record. */
const MOST_ALIKE = 50;
const OPENING_WORDS = { window: 'window', door: 'door', rooflight: 'roof window' } as const;

function sizeWords(values: Values): string {
  const [width, height] = [values['width_m'], values['height_m']];
  return typeof width === 'number' && typeof height === 'number'
    ? `${plainNumber(width, 2)} × ${plainNumber(height, 2)} m`
    : 'size not known';
}

function OpeningRow({ open, opening }: { open: OpenSurvey; opening: SurveyRecord }) {
  const count = typeof opening.values['count'] === 'number' ? opening.values['count'] : 1;
  // Tapped on faster than it is stored, each tap still counts.
  const countOn = async (step: number) => {
    let isLast = false;
    const done = await keep(() =>
      changeRecord(open.survey.id, 'surface', opening.id, (present): Values => {
        const next = Math.min((typeof present['count'] === 'number' ? present['count'] : 1) + step, MOST_ALIKE);
        isLast = next <= 0;
        return isLast ? { deleted: true } : { count: next };
      }),
    );
    if (done && isLast) offerBack(open.survey, 'surface', opening.id);
  };
  const words = OPENING_WORDS[opening.values['element'] as keyof typeof OPENING_WORDS] ?? 'opening';
  return (
    <div class="opening">
      <a class="more" href={recordLink(open.survey.id, 'surface', opening.id)}>
        {count} × {words}, {sizeWords(opening.values)}
      </a>
      <div class="buttons">
        <button
          type="button"
          class="button"
          aria-label={count === 1 ? `Take this ${words} away` : `One ${words} less`}
          onClick={() => void countOn(-1)}
        >
          −
        </button>
        <button
          type="button"
          class="button"
          aria-label={`One ${words} more`}
          disabled={count >= MOST_ALIKE}
          onClick={() => void countOn(1)}
        >
          +
        </button>
      </div>
    </div>
  );
}

/** A window or a door: its size in one line, or the same as the last one of the survey. */
function NewOpening({
  open,
  room,
  wall,
  side,
  element,
}: {
  open: OpenSurvey;
  room: SurveyRecord;
  wall: SurveyRecord;
  side: Side;
  element: keyof typeof OPENING_WORDS;
}) {
  const { survey } = open;
  const [isOpen, setOpen] = useState(false);
  const box = useRef<HTMLDivElement>(null);
  const isInside = wall.values['element'] === 'partition';
  const isAlike = (item: SurveyRecord) =>
    item.values['element'] === element &&
    (survey.find('surface', item.values['opening_in'])?.values['element'] === 'partition') === isInside;
  const last = survey
    .ofKind('surface')
    .filter(
      (item) =>
        isAlike(item) && typeof item.values['width_m'] === 'number' && typeof item.values['height_m'] === 'number',
    )
    .at(-1);
  const save = async (size: Values) => {
    await saveEdits(survey.id, newOpening(survey, wall, { room: room.id, element, side, ...size }, newId));
    setOpen(false);
    bring(() => box.current?.closest('.sheet')?.querySelector<HTMLElement>(':scope > .buttons'));
  };
  const words = OPENING_WORDS[element];
  return (
    <>
      <div class="buttons" ref={box}>
        <button type="button" class="button" aria-expanded={isOpen} onClick={() => setOpen(!isOpen)}>
          Add a {words}
        </button>
        {last && (
          <button
            type="button"
            class="button"
            onClick={() =>
              void keep(() => save({ width_m: last.values['width_m']!, height_m: last.values['height_m']! }))
            }
          >
            Same as the last {words}: {sizeWords(last.values)}
          </button>
        )}
      </div>
      {isOpen && (
        <SizesInput
          label={`Width × height of the ${words}`}
          unit="m"
          kind="surface"
          names={['width_m', 'height_m']}
          values={{}}
          example="1.2 x 1.05"
          isFocused
          isCounted
          help="Several alike: their number first, such as 2 x 1.2 x 1.05."
          path={`${survey.id}/surface/new-${wall.id}-${element}`}
          onSave={save}
        />
      )}
    </>
  );
}
