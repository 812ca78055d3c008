/** Rooms, storey by storey. */
import { VERDICT_WORDS, watts } from '../../domain/assessment.ts';
import { copyRoom } from '../../domain/box.ts';
import { newId } from '../../domain/ids.ts';
import { choiceLabel, fieldOf, kindOf, withDefaults } from '../../domain/model.ts';
import { shortWords } from '../../forms/names.ts';
import { keep } from '../../forms/saving.tsx';
import { newRecord, saveEdits } from '../../store/surveys.ts';
import { Page } from '../../ui/Page.tsx';
import { go, recordLink, surveyLink } from '../../ui/router.ts';
import { ProgressShape } from '../../ui/shapes.tsx';
import type { StopScreenProps } from '../registry.tsx';
import { gapWords } from '../Stop.tsx';

export function RoomsScreen({ open }: StopScreenProps) {
  const { survey } = open;
  const storeys = fieldOf('room', 'storey').choices ?? [];
  const rooms = survey.ofKind('room').map((room) => ({ room, storey: String(withDefaults(kindOf('room'), room.values)['storey']) }));
  const results = new Map((open.assessment?.assessment.rooms ?? []).map((room) => [room.id, room]));
  const add = async (storey: string) => {
    const edit = newRecord(survey.id, 'room', { storey });
    if (await keep(() => saveEdits(survey.id, [edit]))) go(recordLink(survey.id, 'room', edit.id, 'name'));
  };
  const last = rooms.at(-1);
  const copy = async () => {
    if (!last) return;
    const edits = copyRoom(survey, last.room, newId);
    if (await keep(() => saveEdits(survey.id, edits))) go(recordLink(survey.id, 'room', edits[0]!.id));
  };
  const gapsOf = (id: string): number => {
    const own = new Set([id, ...survey.children('surface', id).map((item) => item.id), ...survey.children('emitter', id).map((item) => item.id)]);
    return open.gaps.filter((gap) => (gap.record !== null && own.has(gap.record)) || gap.parent === id).length;
  };
  return (
    <Page
      title="Rooms" over={survey.title()} back={surveyLink(survey.id)} backWords="the walk"
      foot={
        <div class="buttons">
          <button type="button" class="button button-main" onClick={() => void add(last?.storey ?? 'ground')}>New room</button>
          {last && <button type="button" class="button" onClick={() => void copy()}>Another like {shortWords(last.room)}</button>}
        </div>
      }
    >
      {rooms.length === 0 && <p>A room is a box: measure it, then say what is beyond each side.</p>}
      {storeys.map((storey) => {
        const here = rooms.filter((item) => item.storey === storey.value);
        if (here.length === 0) return null;
        return (
          <section key={storey.value} aria-label={storey.label}>
            <h2>{storey.label}</h2>
            <ul class="list">
              {here.map(({ room }) => {
                const gaps = gapsOf(room.id);
                const found = results.get(room.id);
                return (
                  <li key={room.id}>
                    <a class="row" href={recordLink(survey.id, 'room', room.id)}>
                      <ProgressShape progress={gaps > 0 ? { state: 'gaps', count: gaps } : { state: 'complete' }} />
                      <span class="row-words">
                        <span>{shortWords(room)}</span>
                        {room.values['use'] !== undefined && <small>{choiceLabel(fieldOf('room', 'use'), room.values['use'])}</small>}
                        {found && <small>loses {watts(found.total_w)}, emitters give {watts(found.output_w)}: {VERDICT_WORDS[found.verdict].toLowerCase()}</small>}
                      </span>
                      <span class="row-side">{gapWords(gaps)}</span>
                    </a>
                  </li>
                );
              })}
            </ul>
          </section>
        );
      })}
    </Page>
  );
}
