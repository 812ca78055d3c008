/** Rooms, storey by storey. */
import { VERDICT_WORDS } from '../../generated/answers.ts';
import { useEffect, useRef, useState } from 'preact/hooks';
import { watts } from '../../domain/assessment.ts';
import { copyRoom, storeyOf } from '../../domain/box.ts';
import { newRoom } from '../../domain/entry.ts';
import { newId } from '../../domain/ids.ts';
import { choiceLabel, fieldOf, kindOf } from '../../domain/model.ts';
import { progressOfRecords, type Progress } from '../../domain/progress.ts';
import { shortWords } from '../../forms/names.ts';
import { keep, useOneAtATime } from '../../forms/saving.tsx';
import { saveEdits } from '../../store/surveys.ts';
import { Page } from '../../ui/Page.tsx';
import { bring } from '../../ui/reach.ts';
import { go, recordLink, surveyLink } from '../../ui/router.ts';
import { ProgressShape, ProgressSide } from '../../ui/shapes.tsx';
import { SoFar } from '../../ui/SoFar.tsx';
import type { StageScreenProps } from '../props.ts';
import { StoreyPlans } from '../results/StoreyPlans.tsx';
import { KindSection } from '../Stage.tsx';
import { Upwards } from './Upwards.tsx';
import { UsePicker } from './UsePicker.tsx';

export function RoomsScreen({ open, query }: StageScreenProps) {
  const { survey } = open;
  const storeys = fieldOf('room', 'storey').choices ?? [];
  const rooms = survey.ofKind('room').map((room) => ({ room, storey: storeyOf(room) }));
  const results = new Map((open.assessment?.assessment.rooms ?? []).map((room) => [room.id, room]));
  const last = rooms.at(-1);
  const [asked, setAsked] = useState<string | null>(query.get('add') === 'room' ? (last?.storey ?? 'ground') : null);
  const asking = useRef<HTMLElement>(null);
  const isAsking = asked !== null;
  useEffect(() => {
    if (isAsking) bring(() => asking.current);
  }, [isAsking]);
  const add = useOneAtATime(async (use: string) => {
    const edit = newRoom(survey, use, asked ?? 'ground', newId());
    // The first thing to do in a room is to measure it.
    if (await keep(() => saveEdits(survey.id, [edit]))) go(recordLink(survey.id, 'room', edit.id, 'length_m'));
  });
  const copy = useOneAtATime(async () => {
    if (!last) return;
    const edits = copyRoom(survey, last.room, newId);
    if (await keep(() => saveEdits(survey.id, edits))) go(recordLink(survey.id, 'room', edits[0]!.id));
  });
  const progressOf = (id: string): Progress =>
    progressOfRecords(
      open,
      new Set([
        id,
        ...survey.children('surface', id).map((item) => item.id),
        ...survey.children('emitter', id).map((item) => item.id),
      ]),
    );
  return (
    <Page
      title="Rooms"
      over={survey.name()}
      back={surveyLink(survey.id)}
      backWords="the walk"
      foot={
        <div class="buttons">
          <button
            type="button"
            class="button button-main"
            aria-expanded={asked !== null}
            onClick={() => setAsked(asked === null ? (last?.storey ?? 'ground') : null)}
          >
            New room
          </button>
          {last && (
            <button type="button" class="button button-named" onClick={() => copy()}>
              Another like {shortWords(last.room)}
            </button>
          )}
        </div>
      }
    >
      {asked !== null && (
        <section class="sheet" aria-label="New room" ref={asking}>
          <div class="choices">
            {storeys.map((storey) => (
              <button
                key={storey.value}
                type="button"
                class="choice"
                aria-pressed={asked === storey.value}
                onClick={() => setAsked(storey.value)}
              >
                <span class="choice-words">{storey.label}</span>
              </button>
            ))}
          </div>
          <UsePicker label="What is the new room?" onPick={(use) => add(use)} />
        </section>
      )}
      {rooms.length > 0 && <StoreyPlans open={open} isNarrow heading="h2" />}
      {rooms.length === 0 && <p>A room is a box: measure it, then say what is beyond each side.</p>}
      {storeys.map((storey) => {
        const here = rooms.filter((item) => item.storey === storey.value);
        if (here.length === 0) return null;
        return (
          <section key={storey.value} aria-label={storey.label}>
            <h2>{storey.label}</h2>
            <ul class="list">
              {here.map(({ room }) => {
                const progress = progressOf(room.id);
                const found = results.get(room.id);
                return (
                  <li key={room.id}>
                    <a
                      class="row"
                      href={recordLink(
                        survey.id,
                        'room',
                        room.id,
                        ...(room.values['length_m'] === undefined && room.values['floor_area_m2'] === undefined
                          ? ['length_m']
                          : []),
                      )}
                    >
                      <ProgressShape progress={progress} />
                      <span class="row-words">
                        <span>{shortWords(room)}</span>
                        {room.values['use'] !== undefined &&
                          !choiceLabel(fieldOf('room', 'use'), room.values['use']).startsWith(shortWords(room)) && (
                            <small>{choiceLabel(fieldOf('room', 'use'), room.values['use'])}</small>
                          )}
                        {survey.find('extension', room.values['extension']) && (
                          <small>{shortWords(survey.find('extension', room.values['extension'])!)}</small>
                        )}
                        {found && (
                          <small>
                            loses {watts(found.total_w)}
                            {found.so_far ? (
                              <>
                                {' '}
                                <SoFar words={found.so_far} />
                              </>
                            ) : null}
                            , emitters give {watts(found.output_w)}: {VERDICT_WORDS[found.verdict].toLowerCase()}
                          </small>
                        )}
                      </span>
                      <ProgressSide progress={progress} />
                    </a>
                  </li>
                );
              })}
            </ul>
            <Upwards open={open} storey={storey.value} />
          </section>
        );
      })}
      {rooms.length > 0 && <KindSection open={open} kind={kindOf('extension')} />}
    </Page>
  );
}
