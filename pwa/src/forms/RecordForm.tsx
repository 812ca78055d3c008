/** The form of any record, drawn from the survey model: groups as one sees them from one standing point. */
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
import { Field } from './Field.tsx';

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
}

/** Whether there is a record that a reference could name. */
const canChoose = (open: OpenSurvey, field: FieldSpec): boolean =>
  (field.refers_to ?? []).some((kind) => open.survey.ofKind(kind).length > 0);

/** The fields that a form asks, in the model's order. */
function fieldsOf({ open, record, groups, without, only, answered = 'site' }: RecordFormProps): FieldSpec[] {
  const kind = kindOf(record.kind);
  const values = withDefaults(kind, record.values);
  return kind.fields.filter((field) => {
    if (without?.includes(field.name) || (only && !only.includes(field.name))) return false;
    if (groups && !groups.includes(field.group)) return false;
    if (field.by_program || (answered !== 'both' && answered !== (field.answered ?? 'site'))) return false;
    if (field.empty_means && isEmpty(record.values[field.name]) && !canChoose(open, field)) return false;
    // An answer whose question no longer applies stays where it can be seen and cleared.
    return isAsked(field, values) || !isEmpty(record.values[field.name]);
  });
}

export function RecordForm(props: RecordFormProps) {
  const { open, record, focus, choicesFor, onSave, isPlain } = props;
  const asked = fieldsOf(props);
  return (
    <>
      {kindOf(record.kind).groups.map((group) => {
        const fields = asked.filter((field) => field.group === group.name);
        if (fields.length === 0) return null;
        return (
          <section
            key={group.name}
            {...(isPlain
              ? { class: 'group-plain group-form' }
              : { class: 'group group-form', 'aria-label': group.label })}
          >
            {!isPlain && <h2>{group.label}</h2>}
            {fields.map((field) => (
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
            ))}
          </section>
        );
      })}
    </>
  );
}

/** What the office answers of a record, behind one tap: methods, makers' papers, decisions. Nothing on site waits for it. */
export function ForOffice(props: Omit<RecordFormProps, 'answered' | 'isPlain'>) {
  const fields = fieldsOf({ ...props, answered: 'office' });
  const isSought = fields.some((field) => field.name === props.focus);
  const [isOpen, setOpen] = useState(isSought);
  useEffect(() => {
    if (isSought) setOpen(true);
  }, [props.focus, isSought]);
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
        onClick={() => setOpen(!isOpen)}
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
