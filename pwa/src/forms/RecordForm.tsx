/** The form of any record, drawn from the survey model: groups as one sees them from one standing point. */
import type { ComponentChildren } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import {
  isAsked,
  isEmpty,
  kindOf,
  withDefaults,
  type Choice,
  type Field as FieldSpec,
  type Value,
} from '../domain/model.ts';
import type { SurveyRecord } from '../domain/survey.ts';
import type { OpenSurvey } from '../store/live.ts';
import { bring } from '../ui/reach.ts';
import { Field } from './Field.tsx';
import { Folds } from './Folds.tsx';
import { heldBy, isHeld, staying, type AskedGroup } from './folds.ts';
import { useOneAtATime } from './saving.tsx';

export interface RecordFormProps {
  open: OpenSurvey;
  /** A record that is not there yet (no values) is made by the first answer. */
  record: SurveyRecord;
  /** Only these groups; all when not given. */
  groups?: string[];
  /** Leave these fields out: another part of the screen asks them. */
  without?: string[];
  /** Only these fields. */
  only?: string[];
  focus?: string | null;
  choicesFor?: (field: FieldSpec) => Choice[] | undefined;
  /** How to save a field whose answer brings other edits with it; undefined for the usual way. */
  onSave?: (field: FieldSpec) => ((value: Value) => Promise<unknown>) | undefined;
  /** What is answered in the house, at the office, or both; in the house when not given. */
  answered?: 'site' | 'office' | 'both';
  /** Leave the headings of the groups out. */
  isPlain?: boolean;
  /** A group is folded to its head unless it is the one that is being answered, where there are several. */
  folds?: boolean;
  /** What stands in a group beside its questions. */
  within?: (group: string, questions: ComponentChildren) => ComponentChildren;
  /** What its head says of a group that folds, beside its name and whether it is open or not. */
  beside?: (group: string) => string;
}

/** Whether there is a record that a reference could name. */
const canChoose = (open: OpenSurvey, field: FieldSpec): boolean =>
  (field.refers_to ?? []).some((kind) => open.survey.ofKind(kind).length > 0);

/** The fields that a form may ask, in the model's order. */
function fieldsOf({ record, groups, without, only, answered = 'site' }: RecordFormProps): FieldSpec[] {
  return kindOf(record.kind).fields.filter((field) => {
    if (without?.includes(field.name) || (only && !only.includes(field.name))) return false;
    if (groups && !groups.includes(field.group)) return false;
    return !field.by_program && (answered === 'both' || answered === (field.answered ?? 'site'));
  });
}

/** Those of them that apply to what was answered so far. */
function askedOf(props: RecordFormProps): FieldSpec[] {
  const { open, record } = props;
  const values = withDefaults(kindOf(record.kind), record.values);
  return fieldsOf(props).filter((field) => {
    if (field.empty_means && isEmpty(record.values[field.name]) && !canChoose(open, field)) return false;
    // An answer whose question no longer applies stays where it can be seen and cleared.
    return isAsked(field, values) || !isEmpty(record.values[field.name]);
  });
}

export function RecordForm(props: RecordFormProps) {
  const { open, record, focus, choicesFor, onSave, isPlain, within, beside } = props;
  const asked = askedOf(props);
  const groups = kindOf(record.kind)
    .groups.map((group) => ({ ...group, fields: asked.filter((field) => field.group === group.name) }))
    .filter((group) => group.fields.length > 0);
  const draw = ({ name, fields }: AskedGroup) => {
    const questions = fields.map((field) => (
      <Field
        key={`${record.id}/${field.name}`}
        open={open}
        record={record}
        field={field}
        value={record.values[field.name]}
        choices={choicesFor?.(field)}
        isFocused={focus === field.name}
        onSave={onSave?.(field)}
      />
    ));
    return within ? within(name, questions) : questions;
  };
  // By what the form may ask at all: an answer that brings a second group along changes nothing of the first.
  if (props.folds && new Set(fieldsOf(props).map((field) => field.group)).size > 1)
    return (
      <Folds
        key={record.id}
        open={open}
        record={record}
        groups={groups.map((group) => ({ ...group, beside: beside?.(group.name) }))}
        focus={focus}
        draw={draw}
      />
    );
  return (
    <>
      {groups.map((group) => (
        <section
          key={group.name}
          {...(isPlain
            ? { class: 'group-plain group-form' }
            : { class: 'group group-form', 'aria-label': group.label })}
        >
          {!isPlain && <h2>{group.label}</h2>}
          {draw(group)}
        </section>
      ))}
    </>
  );
}

/** What the office answers of a record, behind one tap: methods, makers' papers, decisions. Nothing on site waits for it. */
export function ForOffice(props: Omit<RecordFormProps, 'answered' | 'isPlain'>) {
  const fields = askedOf({ ...props, answered: 'office' });
  const isSought = fields.some((field) => field.name === props.focus);
  const isStaying = fields.some((field) => isHeld(props, field));
  const [isOpen, setOpen] = useState(isSought || isStaying);
  useEffect(() => {
    if (isSought || isStaying) setOpen(true);
  }, [props.focus, isSought, isStaying]);
  const toggle = useOneAtATime(async () => {
    if (!isOpen) return setOpen(true);
    const { isKept, by } = await heldBy(props, fields);
    if (by) bring(() => document.getElementById(`field-${by.name}`));
    else if (isKept) setOpen(false);
  });
  if (fields.length === 0) return null;
  const missing = props.open.gaps.filter(
    (gap) => gap.record === props.record.id && fields.some((field) => field.name === gap.field),
  ).length;
  return (
    <section class="for-office" aria-label="For the office">
      <button
        type="button"
        class="button button-wide for-office-way"
        aria-expanded={isOpen}
        {...staying}
        onClick={() => toggle()}
      >
        <span>
          For the office: {fields.length === 1 ? '1 question' : `${fields.length} questions`}
          {missing > 0 && <span class="field-wanted"> {missing} needed</span>}
        </span>
        <small>Methods, makers’ papers and decisions. Nothing here needs you to be in the house.</small>
      </button>
      {isOpen && <RecordForm {...props} answered="office" />}
    </section>
  );
}
