/** One side of a room: what is beyond it, in which construction, with which windows and doors. */
import { useState } from 'preact/hooks';
import { beyondChoices, setBeyond, sideOf, SIDE_WORDS, usualConstruction, type Beyond, type Facing, type Side } from '../../domain/box.ts';
import { plainNumber } from '../../domain/check.ts';
import { newId } from '../../domain/ids.ts';
import { choiceLabel, fieldOf, type Values } from '../../domain/model.ts';
import type { SurveyRecord } from '../../domain/survey.ts';
import { shortWords } from '../../forms/names.ts';
import { RecordForm } from '../../forms/RecordForm.tsx';
import { keep } from '../../forms/saving.tsx';
import { SizesInput } from '../../forms/Sizes.tsx';
import type { OpenSurvey } from '../../store/live.ts';
import { saveEdits } from '../../store/surveys.ts';
import { recordLink, stopLink } from '../../ui/router.ts';
import { beyondWords } from './Room.tsx';

export interface SidePanelProps {
  open: OpenSurvey;
  room: SurveyRecord;
  side: Side;
  onDone: () => void;
}

export function SidePanel({ open, room, side, onDone }: SidePanelProps) {
  const { survey } = open;
  const { walls, openings } = sideOf(survey, room.id, side);
  const [isAdding, setAdding] = useState(false);
  return (
    <section class="sheet" aria-label={SIDE_WORDS[side]}>
      <h3>{SIDE_WORDS[side]}</h3>
      {walls.map((item) => <Part key={item.record.id} open={open} room={room} side={side} part={item} openings={openings.filter((opening) => opening.record.values['opening_in'] === item.record.id)} />)}
      {(walls.length === 0 || isAdding) && <BeyondChooser open={open} room={room} side={side} onSet={() => setAdding(false)} />}
      <div class="buttons">
        {walls.length > 0 && !isAdding && <button type="button" class="button" onClick={() => setAdding(true)}>Another part of this side</button>}
        <button type="button" class="button" onClick={onDone}>Next side</button>
      </div>
    </section>
  );
}

/** What is beyond: one tap, or two where it must be said which room or what space. */
function BeyondChooser({ open, room, side, existing, onSet }: { open: OpenSurvey; room: SurveyRecord; side: Side; existing?: SurveyRecord; onSet?: () => void }) {
  const { survey } = open;
  const present = existing?.values['other_side'] as Beyond | undefined;
  const [asked, setAsked] = useState<Beyond | null>(null);
  const others = survey.ofKind('room').filter((item) => item.id !== room.id);
  const spaces = fieldOf('surface', 'unheated_space').choices ?? [];
  const set = async (beyond: Beyond, more: { otherRoom?: string; space?: string } = {}) => {
    const edit = setBeyond(survey, room, side, beyond, { id: newId(), ...more, ...(existing ? { existing } : {}) });
    if (await keep(() => saveEdits(survey.id, Object.keys(edit.values).length > 0 ? [edit] : []))) {
      setAsked(null);
      onSet?.();
    }
  };
  return (
    <div class="field" role="group" aria-label="What is beyond it">
      <p class="field-label">What is beyond it?</p>
      <div class="choices">
        {beyondChoices(side).map((item) => (
          <button
            key={item.beyond} type="button" class="choice" aria-pressed={(asked ?? present) === item.beyond}
            onClick={() => (item.beyond === 'room' || item.beyond === 'unheated' ? setAsked(item.beyond) : void set(item.beyond))}
          >
            <span class="choice-words">{item.label}</span>
          </button>
        ))}
      </div>
      {asked === 'room' && (
        <>
          <p class="field-label">Which room?</p>
          <div class="choices">
            {others.map((other) => <button key={other.id} type="button" class="choice" aria-pressed={existing?.values['other_room'] === other.id} onClick={() => void set('room', { otherRoom: other.id })}><span class="choice-words">{shortWords(other)}</span></button>)}
            <button type="button" class="choice" aria-pressed={false} onClick={() => void set('room')}><span class="choice-words">One not entered yet<small>stays as a gap</small></span></button>
          </div>
        </>
      )}
      {asked === 'unheated' && (
        <>
          <p class="field-label">What kind of space?</p>
          <div class="choices">
            {spaces.map((space) => <button key={space.value} type="button" class="choice" aria-pressed={existing?.values['unheated_space'] === space.value} onClick={() => void set('unheated', { space: space.value })}><span class="choice-words"><span>{space.label}</span>{space.hint && <small>{space.hint}</small>}</span></button>)}
          </div>
        </>
      )}
    </div>
  );
}

/** One surface of the side. One that belongs to the room beyond is shown here and changed there. */
function Part({ open, room, side, part, openings }: { open: OpenSurvey; room: SurveyRecord; side: Side; part: Facing; openings: Facing[] }) {
  const { survey } = open;
  const surface = part.record;
  const [isChanging, setChanging] = useState(false);
  const construction = survey.find('construction', surface.values['construction']);
  const size = ['width_m', 'height_m'].map((name) => surface.values[name]).filter((value): value is number => typeof value === 'number');
  const area = typeof surface.values['area_m2'] === 'number' ? surface.values['area_m2'] : size.length === 2 ? size[0]! * size[1]! : null;
  const words = beyondWords(open, surface.values, part.isShared);
  const element = String(surface.values['element'] ?? '');
  return (
    <div class="part">
      <p><b>{words[0]!.toUpperCase() + words.slice(1)}</b>{area !== null ? ` · ${plainNumber(area, 1)} m²` : ' · size not known'} · {construction ? shortWords(construction) : <span class="field-wanted">construction needed</span>}</p>
      {part.isShared && <p class="field-notes">One record with the room beyond: it counts in both, and is changed <a href={recordLink(survey.id, 'surface', surface.id)}>there</a>.</p>}
      {!part.isShared && !construction && !usualConstruction(survey, element) && (
        <p class="field-notes">There is no usual {choiceLabel(fieldOf('surface', 'element'), element).toLowerCase()} yet: <a href={stopLink(survey.id, 'constructions')}>say it once</a> and this fills in.</p>
      )}
      {!part.isShared && (
        <>
          {isChanging ? (
            <>
              <BeyondChooser open={open} room={room} side={side} existing={surface} onSet={() => setChanging(false)} />
              <RecordForm open={open} record={surface} only={['width_m', 'height_m', 'area_m2', 'construction', 'space', 'depth_below_ground_m']} isPlain />
            </>
          ) : null}
          <div class="buttons">
            <button type="button" class="button button-quiet" aria-expanded={isChanging} onClick={() => setChanging(!isChanging)}>{isChanging ? 'Done' : 'Change'}</button>
            <a class="button button-quiet" href={recordLink(survey.id, 'surface', surface.id)}>All about it</a>
          </div>
          {(element === 'wall' || element === 'roof') && <Openings open={open} room={room} wall={surface} side={side} openings={openings} />}
        </>
      )}
    </div>
  );
}

function Openings({ open, room, wall, side, openings }: { open: OpenSurvey; room: SurveyRecord; wall: SurveyRecord; side: Side; openings: Facing[] }) {
  const kinds = wall.values['element'] === 'roof' ? (['rooflight'] as const) : (['window', 'door'] as const);
  return (
    <div class="openings">
      {openings.map(({ record }) => <OpeningRow key={record.id} open={open} opening={record} />)}
      {kinds.map((element) => <NewOpening key={element} open={open} room={room} wall={wall} side={side} element={element} />)}
    </div>
  );
}

const OPENING_WORDS = { window: 'window', door: 'door', rooflight: 'roof window' } as const;

function sizeWords(values: Values): string {
  const [width, height] = [values['width_m'], values['height_m']];
  return typeof width === 'number' && typeof height === 'number' ? `${plainNumber(width, 2)} × ${plainNumber(height, 2)} m` : 'size not known';
}

function OpeningRow({ open, opening }: { open: OpenSurvey; opening: SurveyRecord }) {
  const count = typeof opening.values['count'] === 'number' ? opening.values['count'] : 1;
  const setCount = (next: number) => keep(() => saveEdits(open.survey.id, [{ kind: 'surface', id: opening.id, values: next === 0 ? { deleted: true } : { count: next } }]));
  const words = OPENING_WORDS[opening.values['element'] as keyof typeof OPENING_WORDS] ?? 'opening';
  return (
    <div class="opening">
      <a class="more" href={recordLink(open.survey.id, 'surface', opening.id)}>{count} × {words}, {sizeWords(opening.values)}</a>
      <div class="buttons">
        <button type="button" class="button" aria-label={count === 1 ? `Take this ${words} away` : `One ${words} less`} onClick={() => void setCount(count - 1)}>−</button>
        <button type="button" class="button" aria-label={`One ${words} more`} disabled={count >= 50} onClick={() => void setCount(count + 1)}>+</button>
      </div>
    </div>
  );
}

/** A window or a door: its size in one line, or the same as the last one of the survey. */
function NewOpening({ open, room, wall, side, element }: { open: OpenSurvey; room: SurveyRecord; wall: SurveyRecord; side: Side; element: keyof typeof OPENING_WORDS }) {
  const { survey } = open;
  const [isOpen, setOpen] = useState(false);
  const last = survey.ofKind('surface').filter((item) => item.values['element'] === element && typeof item.values['width_m'] === 'number' && typeof item.values['height_m'] === 'number').at(-1);
  const save = async (size: Values) => {
    const values: Values = { room: room.id, element, side, opening_in: wall.id, ...size };
    const construction = usualConstruction(survey, element);
    if (construction) values['construction'] = construction.id;
    await saveEdits(survey.id, [{ kind: 'surface', id: newId(), values }]);
    setOpen(false);
  };
  const words = OPENING_WORDS[element];
  return (
    <>
      <div class="buttons">
        <button type="button" class="button" aria-expanded={isOpen} onClick={() => setOpen(!isOpen)}>Add a {words}</button>
        {last && <button type="button" class="button" onClick={() => void keep(() => save({ width_m: last.values['width_m']!, height_m: last.values['height_m']! }))}>Same as the last {words}: {sizeWords(last.values)}</button>}
      </div>
      {isOpen && (
        <SizesInput
          label={`Width × height of the ${words}`} unit="m" kind="surface" names={['width_m', 'height_m']} values={{}} example="1.2 x 1.05" isFocused
          path={`${survey.id}/surface/new-${wall.id}-${element}`} onSave={save}
        />
      )}
    </>
  );
}
