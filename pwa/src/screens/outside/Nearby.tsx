/** Things near an outdoor position: the list that goes with the plan, adding one, and what is done about those in the zone. */
import { DANGER_WORDS, WAY_WORDS } from '../../generated/answers.ts';
import { useEffect, useRef, useState } from 'preact/hooks';
import { problemWith } from '../../domain/check.ts';
import { choiceLabel, fieldOf, titleOf, kindOf, type Values } from '../../domain/model.ts';
import { readUpTo } from '../../domain/parse.ts';
import { dangerOf, placeWords, standingOf, standingWords, type Zone } from '../../domain/siting.ts';
import type { SurveyRecord } from '../../domain/survey.ts';
import { SAVED_HERE } from '../../domain/words.ts';
import { RecordForm } from '../../forms/RecordForm.tsx';
import { Echo } from '../../forms/Sizes.tsx';
import { keep, useOneAtATime } from '../../forms/saving.tsx';
import type { OpenSurvey } from '../../store/live.ts';
import { newRecord, saveEdits } from '../../store/surveys.ts';
import { recordLink } from '../../ui/router.ts';
import { ListMarker } from './Plan.tsx';

function objectWords(object: Values): string {
  const name = typeof object['name'] === 'string' ? object['name'] : '';
  return name || titleOf(kindOf('nearby_object'), object);
}

export interface AddNearbyProps {
  open: OpenSurvey;
  position: string;
  /** Where the plan was tapped; null: the place is asked for. */
  place: { along_m: number; out_m: number } | null;
  onDone: (id: string | null) => void;
}

type Way = 'left' | 'front' | 'right';

/** What is there? One tap on the answer puts it on the plan. */
export function AddNearby({ open, position, place, onDone }: AddNearbyProps) {
  const heading = useRef<HTMLHeadingElement>(null);
  const line = useRef<HTMLInputElement>(null);
  const [way, setWay] = useState<Way | null>(null);
  const [text, setText] = useState('');
  const [problem, setProblem] = useState<string | null>(null);
  const [added, setAdded] = useState<string | null>(null);
  const type = fieldOf('nearby_object', 'type');
  useEffect(() => {
    heading.current?.focus({ preventScroll: true });
    heading.current?.scrollIntoView({ block: 'start', behavior: 'auto' });
  }, [place]);

  const add = useOneAtATime(async (choice: string | null) => {
    const values: Values = { position, ...(choice ? { type: choice } : {}) };
    if (place) Object.assign(values, place);
    else {
      // Left is minus: the sign comes from the way, never from the person.
      const read = readPlace(way, text);
      setProblem(typeof read === 'string' ? read : null);
      if (typeof read === 'string') return;
      Object.assign(values, read);
    }
    const edit = newRecord(open.survey.id, 'nearby_object', values);
    if (!(await keep(() => saveEdits(open.survey.id, [edit])))) return;
    if (place) return onDone(edit.id);
    // What is near is said one after the other: the question stands for the next.
    setAdded(`${SAVED_HERE}: ${objectWords(values)}, ${placeWords(values)}`);
    setWay(null);
    setText('');
  });
  const choose = (next: Way) => {
    setWay(next);
    setAdded(null);
    // In the same moment as the tap: only then does a phone bring its keyboard.
    line.current?.focus();
  };
  const echo = way !== null && text.trim() !== '' ? readPlace(way, text) : null;
  return (
    <section class="group" aria-label="Add something nearby">
      <h2 ref={heading} tabIndex={-1}>
        {place
          ? `What is there, ${placeWords({ ...place, up_m: 0 }).replace(', at the ground', '')}?`
          : 'What is nearby?'}
      </h2>
      {!place && (
        <>
          <div class="field" role="group" aria-labelledby="nearby-way">
            <p class="field-label" id="nearby-way">
              Which way, with your back to the wall
            </p>
            <div class="choices choices-three">
              {(
                [
                  ['left', 'Left'],
                  ['front', 'In front'],
                  ['right', 'Right'],
                ] as const
              ).map(([value, words]) => (
                <button
                  key={value}
                  type="button"
                  class="choice"
                  aria-pressed={way === value}
                  onClick={() => choose(value)}
                >
                  <span class="choice-words">{words}</span>
                </button>
              ))}
            </div>
          </div>
          <div class="field">
            <label class="field-label" for="nearby-place">
              {way === 'front' ? 'Out from the wall, and up' : 'Along the wall from the unit, out from it, and up'}
              <span class="field-unit"> m</span>
            </label>
            <input
              ref={line}
              id="nearby-place"
              class={problem ? 'input input-problem' : 'input'}
              autocomplete="off"
              autocapitalize="off"
              placeholder={way === 'front' ? '2.2 0.5' : '1.9 0 1.1'}
              value={text}
              aria-invalid={problem ? true : undefined}
              aria-describedby="nearby-notes nearby-problem"
              onInput={(event) => {
                setText(event.currentTarget.value);
                setProblem(null);
              }}
              onKeyDown={(event) => {
                if (event.key !== 'Enter') return;
                const read = readPlace(way, text);
                setProblem(typeof read === 'string' ? read : null);
                if (typeof read !== 'string') event.currentTarget.blur();
              }}
            />
            <Echo words={echo && typeof echo !== 'string' ? `= ${placeWords(echo)}` : null} />
            <p class="field-notes" id="nearby-notes">
              On the wall itself: 0. What is not known may be left out.
            </p>
          </div>
          <p class="field-problem" id="nearby-problem" role="alert">
            {problem}
          </p>
        </>
      )}
      <div class="field" role="group" aria-labelledby="nearby-type">
        <p class="field-label" id="nearby-type">
          Tap what it is
        </p>
        <div class="choices">
          {(type.choices ?? []).map((choice) => (
            <button key={choice.value} type="button" class="choice choice-act" onClick={() => add(choice.value)}>
              <span class="choice-words">{choice.label}</span>
            </button>
          ))}
        </div>
      </div>
      <p class="field-saved" role="status">
        {added}
      </p>
      <div class="buttons">
        <button type="button" class="button" onClick={() => onDone(null)}>
          {added ? 'Nothing more' : 'Add nothing'}
        </button>
      </div>
    </section>
  );
}

/** Read a place beside the unit: how far along, out and up, of which any at the end may be left out. Left is minus: the sign comes from the way. */
function readPlace(way: Way | null, text: string): Values | string {
  const values: Values = way === 'front' ? { along_m: 0 } : {};
  if (text.trim() === '') return values;
  if (way === null) return 'Say first whether it is to the left, in front or to the right.';
  const names = way === 'front' ? ['out_m', 'up_m'] : ['along_m', 'out_m', 'up_m'];
  const read = readUpTo(text, names.length, 'm', 0);
  if (!read.ok) return read.why;
  for (const [place, length] of read.value.entries()) {
    const field = fieldOf('nearby_object', names[place]!);
    const value = field.name === 'along_m' && way === 'left' && length !== 0 ? -length : length;
    const problem = problemWith(field, value);
    if (problem) return `${field.label}: ${problem}`;
    values[field.name] = value;
  }
  return values;
}

export interface NearbyListProps {
  open: OpenSurvey;
  zone: Zone | null;
  objects: readonly SurveyRecord[];
  selected: string | null;
  onSelect: (id: string | null) => void;
}

export function NearbyList({ open, zone, objects, selected, onSelect }: NearbyListProps) {
  if (objects.length === 0) {
    return (
      <p>
        Nothing nearby yet. Look left, right, ahead, low and high: air bricks, windows, doors, drains, sockets, the
        boundary. Tap the plan where each is, or use the button.
      </p>
    );
  }
  return (
    <ol class="list nearby">
      {objects.map((object, place) => (
        <NearbyItem
          key={object.id}
          open={open}
          zone={zone}
          object={object}
          number={place + 1}
          isSelected={object.id === selected}
          onSelect={onSelect}
        />
      ))}
    </ol>
  );
}

interface NearbyItemProps {
  open: OpenSurvey;
  zone: Zone | null;
  object: SurveyRecord;
  number: number;
  isSelected: boolean;
  onSelect: (id: string | null) => void;
}

function NearbyItem({ open, zone, object, number, isSelected, onSelect }: NearbyItemProps) {
  const item = useRef<HTMLLIElement>(null);
  useEffect(() => {
    if (isSelected) item.current?.scrollIntoView({ block: 'nearest' });
  }, [isSelected]);
  const standing = zone ? standingOf(zone, object.values, object.id) : null;
  const danger = dangerOf(object.values);
  return (
    <li ref={item} class={`nearby-item nearby-${standing ?? 'none'}`}>
      <button
        type="button"
        class="row"
        aria-expanded={isSelected}
        onClick={() => onSelect(isSelected ? null : object.id)}
      >
        <ListMarker number={number} object={object.values} standing={standing} />
        <span class="row-words">
          <span>{objectWords(object.values)}</span>
          <small>{placeWords(object.values)}</small>
          {zone && standing && (
            <small class="nearby-standing">
              {standingWords(zone, object.values, object.id)}
              {standing === 'inside' && danger ? `: ${DANGER_WORDS[danger]}` : ''}
            </small>
          )}
        </span>
      </button>
      {(standing === 'inside' || standing === 'dealt_with') && <Remedy open={open} object={object} />}
      {isSelected && (
        <div class="nearby-more">
          <RecordForm
            open={open}
            record={object}
            groups={['where']}
            only={['along_m', 'out_m', 'up_m']}
            isPlain
            focus={object.values['up_m'] === undefined ? 'up_m' : null}
          />
          <a class="button" href={recordLink(open.survey.id, 'nearby_object', object.id)}>
            All about it: name, remedy, notes, photos
          </a>
        </div>
      )}
    </li>
  );
}

/** What is done about a thing in the zone: chosen, then ticked once somebody has seen it finished. */
function Remedy({ open, object }: { open: OpenSurvey; object: SurveyRecord }) {
  const [isSaved, setSaved] = useState(false);
  const field = fieldOf('nearby_object', 'remedy');
  const remedy = object.values['remedy'];
  const isDone = object.values['remedy_done'] === true;
  const save = async (values: Values) => {
    setSaved(false);
    setSaved(await keep(() => saveEdits(open.survey.id, [{ kind: 'nearby_object', id: object.id, values }])));
  };
  const label = objectWords(object.values);
  return (
    <div class="remedy">
      <div class="choices choices-three" role="group" aria-label={`Remedy for ${label}`}>
        {(['close_off', 'move', 'other'] as const).map((value) => (
          // Another remedy has not been seen finished: its tick is asked for again.
          <button
            key={value}
            type="button"
            class="choice"
            aria-pressed={remedy === value}
            onClick={() =>
              void save({ remedy: remedy === value ? null : value, ...(isDone ? { remedy_done: null } : {}) })
            }
          >
            <span class="choice-words">{choiceLabel(field, value)}</span>
          </button>
        ))}
      </div>
      {(remedy === 'close_off' || remedy === 'move') && (
        <button
          type="button"
          class="tick"
          role="checkbox"
          aria-checked={isDone}
          onClick={() => void save({ remedy_done: isDone ? null : true })}
        >
          <svg viewBox="0 0 28 28" width="28" height="28" aria-hidden="true">
            <rect x="3" y="3" width="22" height="22" rx="3" class="tick-box" />
            {isDone && <path d="M8 14.5 l4 4.5 l8 -10" class="tick-mark" />}
          </svg>
          <span>
            {remedy === 'move' ? 'Moved' : 'Closed off'}: done and seen
            <small>Tick only what you have seen finished, and take a photo.</small>
          </span>
        </button>
      )}
      {remedy === 'other' && (
        <p class="field-notes">
          Write the remedy in the notes; a competent person judges it against the unit maker's drawing.
        </p>
      )}
      {remedy === undefined && (
        <p class="field-notes">
          {(WAY_WORDS as Record<string, string>)[String(object.values['type'])]} The unit maker's drawing governs.
        </p>
      )}
      {isSaved && (
        <p class="field-saved" role="status">
          {SAVED_HERE}
        </p>
      )}
    </div>
  );
}
