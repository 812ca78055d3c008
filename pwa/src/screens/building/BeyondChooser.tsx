/** What is beyond a side of a room. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { type Beyond, beyondChoices, setBeyond, type Side, sideOf, storeyOf } from '../../domain/box.ts';
import { alikeFor, likeTheOtherSide, newRoom, roomsBeyond, storeyBeside } from '../../domain/entry.ts';
import { newId } from '../../domain/ids.ts';
import { choiceLabel, fieldOf, type Values } from '../../domain/model.ts';
import type { Edit, Survey, SurveyRecord } from '../../domain/survey.ts';
import { shortWords } from '../../forms/names.ts';
import { keep } from '../../forms/saving.tsx';
import type { OpenSurvey } from '../../store/live.ts';
import { saveEdits } from '../../store/surveys.ts';
import { bring } from '../../ui/reach.ts';
import { UsePicker } from './UsePicker.tsx';

/** What is beyond: one tap, or two where it must be said which room or what space. */
export function BeyondChooser({
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
