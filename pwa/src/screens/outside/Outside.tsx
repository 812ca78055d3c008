/** The stage outside: the places where the unit could stand, and what belongs to none of them. */
import { kindOf, model, ownerKindOf } from '../../domain/model.ts';
import { progressOfRecords, type Progress } from '../../domain/progress.ts';
import { planOf, standingOf, zoneOf } from '../../domain/siting.ts';
import { unitAt } from '../../domain/standing.ts';
import { recordWords } from '../../forms/names.ts';
import { keep, useOneAtATime } from '../../forms/saving.tsx';
import { newRecord, saveEdits } from '../../store/surveys.ts';
import { Page } from '../../ui/Page.tsx';
import { go, recordLink, surveyLink } from '../../ui/router.ts';
import { ProgressShape, ProgressSide } from '../../ui/shapes.tsx';
import type { StageScreenProps } from '../props.ts';

export function OutsideScreen({ open }: StageScreenProps) {
  const { survey } = open;
  const stage = model.stages.find((item) => item.name === 'outside')!;
  const positions = survey.ofKind('outdoor_position');
  const lost = Object.values(model.kinds).flatMap((kind) => {
    const owner = kind.stage === stage.name ? ownerKindOf(kind) : null;
    return owner ? survey.ofKind(kind.name).filter((record) => !survey.find(owner, record.values[kind.parent!])) : [];
  });
  const add = useOneAtATime(async () => {
    const edit = newRecord(survey.id, 'outdoor_position', {});
    if (await keep(() => saveEdits(survey.id, [edit]))) go(recordLink(survey.id, 'outdoor_position', edit.id));
  });
  return (
    <Page title={stage.label} over={survey.name()} back={surveyLink(survey.id)} backWords="the walk">
      <p>{stage.help}</p>
      {positions.length === 0 ? (
        <p>No place for the unit yet. Go to where it would stand, and add it.</p>
      ) : (
        <ul class="list">
          {positions.map((position) => {
            const zone = zoneOf(position.values, unitAt(survey, position)?.values, planOf(open, position.id));
            const objects = survey.children('nearby_object', position.id);
            const inside = zone
              ? objects.filter((object) => standingOf(zone, object.values, object.id) === 'inside').length
              : 0;
            const bases = survey.children('base', position.id);
            const own = new Set([
              position.id,
              ...objects.map((item) => item.id),
              ...bases.flatMap((base) => [
                base.id,
                ...survey.children('level_reading', base.id).map((item) => item.id),
              ]),
            ]);
            const found = progressOfRecords(open, own);
            // The plan knows what lies in the zone before anything was worked out.
            const progress: Progress =
              inside > 0 && !open.isCurrent && found.state !== 'stop'
                ? { checks: 0, gaps: 0, ...found, state: 'stop', stops: inside }
                : found;
            return (
              <li key={position.id}>
                <a class="row" href={recordLink(survey.id, 'outdoor_position', position.id)}>
                  <ProgressShape progress={progress} />
                  <span class="row-words">
                    <span>{recordWords(survey, position)}</span>
                    <small>
                      {objects.length === 0 ? 'Nothing nearby written down' : `${objects.length} nearby`},{' '}
                      {bases.length === 0 ? 'no base yet' : bases.length === 1 ? 'one base' : `${bases.length} bases`}
                    </small>
                    {inside > 0 && (
                      <small class="outside-inside">
                        {inside === 1 ? 'One thing is' : `${inside} things are`} inside{' '}
                        {zone?.planning ? 'the planning shape' : 'the zone'}
                      </small>
                    )}
                  </span>
                  <ProgressSide progress={progress} />
                </a>
              </li>
            );
          })}
        </ul>
      )}
      <button type="button" class="button button-main" onClick={() => add()}>
        {positions.length === 0 ? 'Add a place for the unit' : 'Add another place'}
      </button>
      {lost.length > 0 && (
        <section class="group" aria-label="Belongs to nothing">
          <h2>Belongs to nothing</h2>
          <p class="field-notes">What these belonged to is gone. Say what they belong to now, or take them away.</p>
          <ul class="list">
            {lost.map((record) => (
              <li key={record.id}>
                <a class="row" href={recordLink(survey.id, record.kind, record.id)}>
                  <span class="row-words">
                    <span>{recordWords(survey, record)}</span>
                    <small>{kindOf(record.kind).label}</small>
                  </span>
                </a>
              </li>
            ))}
          </ul>
        </section>
      )}
    </Page>
  );
}
