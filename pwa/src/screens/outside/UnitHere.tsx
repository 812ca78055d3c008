/** Which unit stands at a place, with the way to its own page; or that none is chosen yet, and the way to enter one. */
import { kindOf, titleOf } from '../../domain/model.ts';
import { chosenUnit } from '../../domain/standing.ts';
import type { SurveyRecord } from '../../domain/survey.ts';
import { keep, useOneAtATime } from '../../forms/saving.tsx';
import type { OpenSurvey } from '../../store/live.ts';
import { newRecord, saveEdits } from '../../store/surveys.ts';
import { Notice } from '../../ui/Notice.tsx';
import { go, recordLink } from '../../ui/router.ts';

export interface UnitHereProps {
  open: OpenSurvey;
  place: SurveyRecord;
  unit: SurveyRecord | undefined;
}

export function UnitHere({ open, place, unit }: UnitHereProps) {
  const { survey } = open;
  const title = (record: SurveyRecord) => titleOf(kindOf('unit'), record.values);
  const enter = useOneAtATime(async () => {
    const made = newRecord(survey.id, 'unit', {});
    const named = { kind: place.kind, id: place.id, values: { unit: made.id } };
    if (await keep(() => saveEdits(survey.id, [made, named]))) go(recordLink(survey.id, 'unit', made.id));
  });
  if (!unit) {
    return (
      <section class="sheet" aria-label="The unit">
        <Notice tone="plain">
          <p>
            <b>No unit chosen yet.</b> Its size, mass, feet, sound and zone come with the unit that the design chooses.
            {survey.ofKind('unit').length > 0 &&
              ' Until then one of those in question can be named for this place below.'}
          </p>
        </Notice>
        <button type="button" class="button" onClick={() => enter()}>
          Enter a unit for this place
        </button>
      </section>
    );
  }
  const chosen = chosenUnit(survey);
  const own = survey.find('unit', place.values['unit']);
  return (
    <section aria-label="The unit">
      <ul class="list">
        <li>
          <a class="row" href={recordLink(survey.id, 'unit', unit.id)}>
            <span class="row-words">
              <span>The unit: {title(unit)}</span>
              <small>{unit === chosen ? 'Chosen in the design' : 'Named for this place'}</small>
            </span>
          </a>
        </li>
      </ul>
      {own && own !== unit && (
        <Notice tone="warning">
          <p>
            For this place {title(own)} was named. The design has chosen {title(unit)}: every check here takes that one.
          </p>
        </Notice>
      )}
    </section>
  );
}
