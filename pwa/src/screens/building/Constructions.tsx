/** Usual constructions: two minutes that fill the whole house. */
import { looksOf, setLook, SLOTS, usualOf, type Slot } from '../../domain/fast_start.ts';
import { newId, singleId } from '../../domain/ids.ts';
import { choiceLabel, fieldOf, kindOf } from '../../domain/model.ts';
import { Field } from '../../forms/Field.tsx';
import { shortWords } from '../../forms/names.ts';
import { RecordForm } from '../../forms/RecordForm.tsx';
import type { OpenSurvey } from '../../store/live.ts';
import { saveEdits } from '../../store/surveys.ts';
import { Page } from '../../ui/Page.tsx';
import { recordLink, surveyLink } from '../../ui/router.ts';
import { KindSection } from '../Stage.tsx';
import type { StageScreenProps } from '../props.ts';

export function ConstructionsScreen({ open, query }: StageScreenProps) {
  const { survey } = open;
  const head = survey.single('survey') ?? { kind: 'survey', id: singleId(survey.id, 'survey'), values: {} };
  return (
    <Page title="Usual constructions" over={survey.name()} back={surveyLink(survey.id)} backWords="the walk">
      <p>{kindOf('construction').help} Each answer goes into every surface of its kind that has none yet.</p>
      <section class="group" aria-label="Age of the house">
        <h2>Age of the house</h2>
        <RecordForm open={open} record={head} only={['age_band']} isPlain focus={query.get('field')} />
      </section>
      {SLOTS.map((slot) => (
        <LookSlot key={slot.key} open={open} slot={slot} />
      ))}
      <KindSection open={open} kind={kindOf('construction')} />
      <KindSection open={open} kind={kindOf('unheated_space')} />
    </Page>
  );
}

function LookSlot({ open, slot }: { open: OpenSurvey; slot: Slot }) {
  const { survey } = open;
  const present = usualOf(survey, slot);
  const chosen = present?.values['known_by'] === 'look' ? present.values['look'] : undefined;
  // Before the first answer there is no record; this one is only what the form points at.
  const record = present ?? { kind: 'construction', id: `new-${slot.key}`, values: {} };
  return (
    <section class="group" aria-label={slot.label}>
      <h2>{slot.label}</h2>
      {present && chosen === undefined && (
        <p>
          {present.values['known_by']
            ? choiceLabel(fieldOf('construction', 'known_by'), present.values['known_by'])
            : 'Known by name only so far'}
          : {shortWords(present)}.
        </p>
      )}
      <Field
        key={slot.key}
        open={open}
        record={record}
        value={chosen}
        choices={looksOf(slot)}
        field={{ ...fieldOf('construction', 'look'), help: slot.ask }}
        onSave={(look) =>
          saveEdits(survey.id, (present) => setLook(present, slot, typeof look === 'string' ? look : null, newId))
        }
      />
      {present && chosen !== undefined && slot.measured.length > 0 && (
        <RecordForm open={open} record={present} only={slot.measured} isPlain />
      )}
      {present && (
        <a class="more" href={recordLink(survey.id, 'construction', present.id)}>
          More about it
        </a>
      )}
    </section>
  );
}
