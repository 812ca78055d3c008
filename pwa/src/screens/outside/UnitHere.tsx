/** Which unit stands at a place, and what it brings with it; while the design has chosen none, one is picked here, from the firm's list too. */
import { useState } from 'preact/hooks';
import { valueWords } from '../../domain/check.ts';
import { isEmpty, kindOf, titleOf } from '../../domain/model.ts';
import { chosenUnit } from '../../domain/standing.ts';
import type { SurveyRecord } from '../../domain/survey.ts';
import { RecordForm } from '../../forms/RecordForm.tsx';
import { keep, useOneAtATime } from '../../forms/saving.tsx';
import type { OpenSurvey } from '../../store/live.ts';
import { newRecord, saveEdits } from '../../store/surveys.ts';
import { Notice } from '../../ui/Notice.tsx';
import { fromRecord } from '../../ui/lists.ts';
import { go, recordLink } from '../../ui/router.ts';

export interface UnitHereProps {
  open: OpenSurvey;
  place: SurveyRecord;
  unit: SurveyRecord | undefined;
  focus?: string | null;
}

/** More than these are picked from a list. */
const MOST_CHIPS = 6;
const title = (record: SurveyRecord) => titleOf(kindOf('unit'), record.values);

export function UnitHere({ open, place, unit, focus = null }: UnitHereProps) {
  const { survey } = open;
  const chosen = chosenUnit(survey);
  const own = survey.find('unit', place.values['unit']);
  const units = survey.ofKind('unit').filter((item) => item.values['deleted'] !== true);
  // Nobody has to choose on site: what can be picked is one tap away until something was.
  const isFew = !chosen && units.length > 0 && units.length <= MOST_CHIPS;
  const [isPicking, setPicking] = useState(own !== undefined || focus === 'unit');
  const enter = useOneAtATime(async () => {
    const made = newRecord(survey.id, 'unit', {});
    const named = { kind: place.kind, id: place.id, values: { unit: made.id } };
    if (await keep(() => saveEdits(survey.id, [made, named])))
      go(fromRecord(recordLink(survey.id, 'unit', made.id), place));
  });
  return (
    <section class="sheet" aria-label="The unit">
      {unit ? (
        <>
          <ul class="list">
            <li>
              <a class="row" href={fromRecord(recordLink(survey.id, 'unit', unit.id), place)}>
                <span class="row-words">
                  <span>The unit: {title(unit)}</span>
                  <small>{unit === chosen ? 'Chosen in the design' : 'Named for this place'}</small>
                </span>
              </a>
            </li>
          </ul>
          <Brings unit={unit} />
        </>
      ) : (
        <Notice tone="plain">
          <p>
            <b>No unit chosen yet.</b> Its size, mass, feet, sound and zone come with it.
          </p>
        </Notice>
      )}
      {own && own !== unit && (
        <Notice tone="warning">
          <p>
            For this place {title(own)} was named. The design has chosen {title(unit!)}: every check here takes that
            one.
          </p>
        </Notice>
      )}
      {isFew && !isPicking && (
        <button type="button" class="button" onClick={() => setPicking(true)}>
          Pick one for this place
        </button>
      )}
      {isFew && isPicking && (
        <div class="choices choices-long" role="group" aria-label="Pick the unit">
          {units.map((item) => (
            <button
              key={item.id}
              type="button"
              class="choice"
              aria-pressed={own?.id === item.id}
              onClick={() =>
                void keep(() =>
                  saveEdits(survey.id, [
                    { kind: place.kind, id: place.id, values: { unit: own?.id === item.id ? null : item.id } },
                  ]),
                )
              }
            >
              <span class="choice-words">
                <span>{title(item)}</span>
                <small>
                  {[survey.isLent(item) ? "the firm's list" : '', inShort(item)].filter(Boolean).join('; ')}
                </small>
              </span>
            </button>
          ))}
        </div>
      )}
      {units.length > 0 && (chosen || units.length > MOST_CHIPS || focus === 'unit') && (
        <RecordForm open={open} record={place} only={['unit']} focus={focus} isPlain />
      )}
      {!unit && (
        <button type="button" class="button" onClick={() => enter()}>
          Enter a unit for this place
        </button>
      )}
    </section>
  );
}

/** What tells two units apart where they would stand: how large, how heavy, how loud. */
const TELLING: readonly [name: string, after: string][] = [
  ['width_mm', ' wide'],
  ['depth_mm', ' deep'],
  ['height_mm', ' high'],
  ['mass_kg', ''],
  ['sound_power_dba', ''],
];

const wordsOf = (unit: SurveyRecord, name: string): string => {
  const field = kindOf('unit').fields.find((item) => item.name === name)!;
  const value = unit.values[name];
  return isEmpty(value) || value === undefined ? '' : valueWords(field, value);
};

const inShort = (unit: SurveyRecord): string =>
  TELLING.map(([name, after]) => [wordsOf(unit, name), after] as const)
    .filter(([words]) => words !== '')
    .map(([words, after]) => `${words}${after}`)
    .join(', ');

/** All that is written down of a unit, by what it is for: it comes with the unit, and is asked of nobody on site. */
function Brings({ unit }: { unit: SurveyRecord }) {
  const [isOpen, setOpen] = useState(false);
  const kind = kindOf('unit');
  const groups = kind.groups
    .map((group) => ({
      group,
      fields: kind.fields.filter(
        (field) =>
          field.group === group.name && field.type !== 'rows' && field.type !== 'long_text' && !field.by_program,
      ),
    }))
    .map(({ group, fields }) => ({
      group,
      said: fields.filter((field) => !isEmpty(unit.values[field.name])),
      unsaid: fields.filter((field) => isEmpty(unit.values[field.name]) && field.default === undefined),
    }))
    .filter(({ group, said }) => group.name !== 'what' && said.length > 0);
  if (groups.length === 0) return null;
  return (
    <>
      <p class="field-notes">{inShort(unit)}</p>
      <button type="button" class="button button-quiet" aria-expanded={isOpen} onClick={() => setOpen(!isOpen)}>
        {isOpen ? 'Less' : 'What it brings with it'}
      </button>
      {isOpen &&
        groups.map(({ group, said, unsaid }) => (
          <div key={group.name}>
            <h2>{group.label}</h2>
            <dl class="facts" aria-label={group.label}>
              {said.map((field) => (
                <div key={field.name}>
                  <dt>{field.label}</dt>
                  <dd>{wordsOf(unit, field.name)}</dd>
                </div>
              ))}
            </dl>
            {unsaid.length > 0 && (
              <p class="field-notes">
                Not in its papers here: {unsaid.map((field) => field.label.toLowerCase()).join(', ')}.
              </p>
            )}
          </div>
        ))}
    </>
  );
}
