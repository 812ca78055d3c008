/** Usual constructions: two minutes that fill the whole house. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { anotherLook, looksOf, setLook, SLOTS, usualOf, type Slot } from '../../domain/fast_start.ts';
import { newId, singleId } from '../../domain/ids.ts';
import { uValueWords } from '../../domain/assessment.ts';
import { choiceLabel, fieldOf, isEmpty, kindOf, type Value } from '../../domain/model.ts';
import { inverseOf, stillAs } from '../../domain/taken.ts';
import type { Edit, SurveyRecord } from '../../domain/survey.ts';
import { Field } from '../../forms/Field.tsx';
import { shortWords } from '../../forms/names.ts';
import { RecordForm } from '../../forms/RecordForm.tsx';
import { keep, useOneAtATime } from '../../forms/saving.tsx';
import type { OpenSurvey } from '../../store/live.ts';
import { newRecord, saveEdits } from '../../store/surveys.ts';
import { offer } from '../../ui/offer.ts';
import { Page } from '../../ui/Page.tsx';
import { bring } from '../../ui/reach.ts';
import { go, recordLink, surveyLink } from '../../ui/router.ts';
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
      {survey.ofKind('extension').map((extension) => (
        <InExtension key={extension.id} open={open} extension={extension} focus={query.get('field')} />
      ))}
      <KindSection open={open} kind={kindOf('extension')} />
      <KindSection
        open={open}
        kind={kindOf('construction')}
        more={(item) => uValueWords(open.assessment, item.id)}
        help="All that stand above, and those known by their layers or papers."
      />
      <KindSection open={open} kind={kindOf('unheated_space')} />
    </Page>
  );
}

/** An extension's own age and usual constructions; where it has none of a kind, the main house's serve. */
function InExtension({ open, extension, focus }: { open: OpenSurvey; extension: SurveyRecord; focus: string | null }) {
  const own = open.survey.linked('construction', 'extension', extension.id);
  const add = useOneAtATime(async () => {
    const edit = newRecord(open.survey.id, 'construction', { is_usual: true, extension: extension.id });
    if (await keep(() => saveEdits(open.survey.id, [edit]))) go(recordLink(open.survey.id, 'construction', edit.id));
  });
  return (
    <section class="group" aria-label={shortWords(extension)}>
      <h2>{shortWords(extension)}</h2>
      <RecordForm open={open} record={extension} only={['age_band']} isPlain focus={focus} />
      {own.length > 0 && (
        <ul class="list">
          {own.map((item) => (
            <li key={item.id}>
              <a class="row" href={recordLink(open.survey.id, 'construction', item.id)}>
                <span class="row-words">
                  <span>{shortWords(item)}</span>
                  <small>{uValueWords(open.assessment, item.id)}</small>
                </span>
              </a>
            </li>
          ))}
        </ul>
      )}
      <button type="button" class="button" onClick={() => add()}>
        Add a usual construction of {shortWords(extension)}
      </button>
    </section>
  );
}

/** Give a slot its look: it goes into every surface that waits for one, and can be taken back at once, where nobody has said otherwise since. */
async function fillHouse(survey: string, slot: Slot, look: string | null): Promise<void> {
  let edits: Edit[] = [];
  let inverse: Edit[] = [];
  await saveEdits(survey, (present) => {
    edits = setLook(present, slot, look, newId);
    inverse = inverseOf(present, edits);
    return edits;
  });
  const filled = edits.filter((edit) => edit.kind === 'surface').length;
  if (edits.length === 0) return;
  offer({
    survey,
    words: `${slot.label}: ${filled === 0 ? 'answered' : filled === 1 ? 'filled one surface' : `filled ${filled} surfaces`}.`,
    way: 'Take it back',
    undo: () => keep(() => saveEdits(survey, (present) => stillAs(present, edits, inverse)), false),
  });
}

function LookSlot({ open, slot }: { open: OpenSurvey; slot: Slot }) {
  const { survey } = open;
  const present = usualOf(survey, slot);
  const isSeen = present?.values['known_by'] === 'look';
  // Before the first answer there is no record; this one is only what the form points at.
  const record = present ?? { kind: 'construction', id: `new-${slot.key}`, values: {} };
  return (
    <section class="group" aria-label={slot.label}>
      <h2>{slot.label}</h2>
      {present && !isSeen && (
        <p>
          {present.values['known_by']
            ? choiceLabel(fieldOf('construction', 'known_by'), present.values['known_by'])
            : 'Known by name only so far'}
          : {shortWords(present)}.
        </p>
      )}
      <Look
        open={open}
        slot={slot}
        record={record}
        onSave={(look) => fillHouse(survey.id, slot, typeof look === 'string' ? look : null)}
      />
      {present && <Another open={open} slot={slot} />}
    </section>
  );
}

interface LookProps {
  open: OpenSurvey;
  slot: Slot;
  record: SurveyRecord;
  /** Its name is asked here too. */
  isNamed?: boolean;
  onSave?: (look: Value) => Promise<unknown>;
}

/** A construction by its look: what it was taken for and its U-value, what was measured of it, and the way to all else. */
function Look({ open, slot, record, isNamed, onSave }: LookProps) {
  const chosen = record.values['known_by'] === 'look' ? record.values['look'] : undefined;
  const [first] = slot.measured;
  const value = uValueWords(open.assessment, record.id);
  return (
    <>
      <Field
        key={slot.key}
        open={open}
        record={record}
        value={chosen}
        choices={looksOf(slot)}
        field={{ ...fieldOf('construction', 'look'), help: chosen === undefined ? slot.ask : '' }}
        folds
        typesOn={first !== undefined && isEmpty(record.values[first])}
        onSave={onSave}
      />
      {value && <p class="u-value">{value}</p>}
      {isNamed && (
        <Field open={open} record={record} value={record.values['name']} field={fieldOf('construction', 'name')} />
      )}
      {chosen !== undefined &&
        slot.measured.map((name) => (
          <Field
            key={name}
            open={open}
            record={record}
            value={record.values[name]}
            field={fieldOf('construction', name)}
          />
        ))}
      {open.survey.find('construction', record.id) && (
        <a class="more" href={recordLink(open.survey.id, 'construction', record.id)}>
          More about it
        </a>
      )}
    </>
  );
}

/** One more of the same kind, for the places that differ: seen, named and measured without leaving the page. */
function Another({ open, slot }: { open: OpenSurvey; slot: Slot }) {
  const { survey } = open;
  const [isAsking, setAsking] = useState(false);
  const [made, setMade] = useState<string | null>(null);
  const box = useRef<HTMLDivElement>(null);
  const record = made === null ? undefined : survey.find('construction', made);
  useEffect(() => {
    if (isAsking) bring(() => box.current?.querySelector<HTMLElement>('.asked'));
  }, [isAsking]);
  // It is called by its look; whoever calls it otherwise types that at once.
  useEffect(() => {
    const name = record && box.current?.querySelector<HTMLInputElement>('#field-name input');
    if (!name) return;
    bring(() => name, { answered: box.current });
    name.select();
  }, [record?.id]);
  const add = async (value: Value) => {
    const look = looksOf(slot).find((item) => item.value === value);
    if (!look) return;
    const id = newId();
    await saveEdits(survey.id, (present) => [anotherLook(present, slot, look, id)]);
    setAsking(false);
    setMade(id);
  };
  return (
    <div class="group-plain" ref={box}>
      {record && (
        <div class="group-plain another" role="group" aria-label={shortWords(record)}>
          <Look key={record.id} open={open} slot={slot} record={record} isNamed />
        </div>
      )}
      {isAsking ? (
        <div class="asked">
          <Field
            open={open}
            record={{ kind: 'construction', id: `another-${slot.key}` }}
            value={undefined}
            choices={looksOf(slot)}
            field={{ ...fieldOf('construction', 'look'), label: 'What does the other one look like?', help: slot.ask }}
            folds
            onSave={add}
          />
        </div>
      ) : (
        <button type="button" class="button" onClick={() => setAsking(true)}>
          Add another kind
        </button>
      )}
    </div>
  );
}
