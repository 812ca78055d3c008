/** Usual constructions: two minutes that fill the whole house. */
import { INSIDE_BUILDS, LOOK_SLOTS, looksFor, lookValues, setUsual, usualOf, type InsideBuild, type Slot } from '../../domain/fast_start.ts';
import { newId, singleId } from '../../domain/ids.ts';
import { fieldOf, kindOf, type Values } from '../../domain/model.ts';
import { Field } from '../../forms/Field.tsx';
import { RecordForm } from '../../forms/RecordForm.tsx';
import { keep } from '../../forms/saving.tsx';
import type { OpenSurvey } from '../../store/live.ts';
import { saveEdits } from '../../store/surveys.ts';
import { Page } from '../../ui/Page.tsx';
import { recordLink, surveyLink } from '../../ui/router.ts';
import { KindSection } from '../Stop.tsx';
import type { StopScreenProps } from '../registry.tsx';

export function ConstructionsScreen({ open, query }: StopScreenProps) {
  const { survey } = open;
  const head = survey.single('survey') ?? { kind: 'survey', id: singleId(survey.id, 'survey'), values: {} };
  return (
    <Page title="Usual constructions" over={survey.title()} back={surveyLink(survey.id)} backWords="the walk">
      <p>{kindOf('construction').help} Each answer goes into every surface of its kind that has none yet.</p>
      <section class="group" aria-label="Age of the house">
        <h2>Age of the house</h2>
        <RecordForm open={open} record={head} only={['age_band']} isPlain focus={query.get('field')} />
      </section>
      {LOOK_SLOTS.map((slot) => <LookSlot key={slot.element} open={open} slot={slot} />)}
      <InsideSlot open={open} element="partition" label="Walls between rooms" />
      <InsideSlot open={open} element="floor" label="Floors between storeys" />
      <KindSection open={open} kind={kindOf('construction')} />
    </Page>
  );
}

function LookSlot({ open, slot }: { open: OpenSurvey; slot: Slot }) {
  const { survey } = open;
  const present = usualOf(survey, slot.element);
  const save = (values: Values) => saveEdits(survey.id, setUsual(survey, slot.element, values, newId));
  const chosen = present?.values['known_by'] === 'look' ? present.values['look'] : undefined;
  // Before the first answer there is no record; this one is only what the form points at.
  const record = present ?? { kind: 'construction', id: `new-${slot.element}`, values: {} };
  const extra = slot.element === 'roof' ? ['insulation_mm'] : slot.element === 'wall' ? ['thickness_mm', 'insulation_mm'] : slot.element === 'ground_floor' ? ['insulation_mm', 'thickness_mm'] : [];
  return (
    <section class="group" aria-label={slot.label}>
      <h2>{slot.label}</h2>
      {present && chosen === undefined && (
        <p>Known from its {present.values['known_by'] === 'declared' ? 'papers' : 'layers'}: <a href={recordLink(survey.id, 'construction', present.id)}>{String(present.values['name'] ?? 'see')}</a></p>
      )}
      <Field
        key={record.id} open={open} record={record} value={chosen} choices={looksFor(slot.element)}
        field={{ ...fieldOf('construction', 'look'), help: slot.ask }}
        onSave={(look) => {
          const choice = looksFor(slot.element).find((item) => item.value === look);
          return save(choice ? lookValues(present, choice) : { look: null });
        }}
      />
      {present && chosen !== undefined && extra.length > 0 && <RecordForm open={open} record={present} only={extra} isPlain groups={['value']} />}
      {present && <a class="more" href={recordLink(survey.id, 'construction', present.id)}>More about it</a>}
    </section>
  );
}

function InsideSlot({ open, element, label }: { open: OpenSurvey; element: string; label: string }) {
  const { survey } = open;
  const present = usualOf(survey, element);
  const choose = (build: InsideBuild) => keep(() => saveEdits(survey.id, setUsual(survey, element, { name: build.label, known_by: 'layers', layers: build.layers.map((layer) => ({ ...layer })) }, newId)));
  return (
    <section class="group" aria-label={label}>
      <h2>{label}</h2>
      <div class="choices">
        {INSIDE_BUILDS.filter((build) => build.element === element).map((build) => (
          <button key={build.key} type="button" class="choice" aria-pressed={present?.values['name'] === build.label} onClick={() => void choose(build)}>
            <span class="choice-words"><span>{build.label}</span><small>{build.hint}</small></span>
          </button>
        ))}
      </div>
      {present && <a class="more" href={recordLink(survey.id, 'construction', present.id)}>Its layers, and where they come from</a>}
    </section>
  );
}
