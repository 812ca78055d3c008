/** The form of any record, drawn from the survey model: groups as one sees them from one standing point. */
import type { ComponentChildren } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { valueWords } from '../domain/check.ts';
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
import { recordWords } from './names.ts';

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
  /** A group that was answered before the form came is folded to a line that says its answers. */
  folds?: boolean;
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
        const all = fields.map((field) => (
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
        if (props.folds) {
          return (
            <Folding key={`${record.id}/${group.name}`} {...props} label={group.label} fields={fields}>
              {all}
            </Folding>
          );
        }
        return (
          <section
            key={group.name}
            {...(isPlain
              ? { class: 'group-plain group-form' }
              : { class: 'group group-form', 'aria-label': group.label })}
          >
            {!isPlain && <h2>{group.label}</h2>}
            {all}
          </section>
        );
      })}
    </>
  );
}

interface FoldingProps {
  open: OpenSurvey;
  record: SurveyRecord;
  label: string;
  fields: FieldSpec[];
  children: ComponentChildren;
}

/** A group that folds. It never does so under the thumb: only as it was when the form came, then as a person leaves it. What is missing, disputed or warns is said while it is folded, too. */
function Folding({ open, record, label, fields, children }: FoldingProps) {
  const isOf = (item: { record: string | null; field?: string | null }) =>
    item.record === record.id && fields.some((field) => field.name === item.field);
  const missing = open.gaps.filter((gap) => isOf(gap)).length;
  const disputed = [...open.row.contested, ...open.refused].filter(isOf).length;
  const said = fields.filter((field) => !isEmpty(record.values[field.name]));
  const [isOpen, setOpen] = useState(said.length === 0 || missing + disputed > 0);
  const left = fields.length - said.length;
  return (
    <section class="group group-folds" aria-label={label}>
      <details open={isOpen} onToggle={(event) => setOpen(event.currentTarget.open)}>
        <summary>
          <h2>{label}</h2>
          {missing > 0 && <span class="field-wanted">{missing} needed</span>}
          {missing === 0 && !isOpen && left > 0 && <small>{left} not answered</small>}
          {disputed > 0 && <span class="field-wanted">{disputed} to settle</span>}
        </summary>
        <div class="group-plain group-form">{children}</div>
      </details>
      {!isOpen && (
        <>
          <p class="group-said">{said.map((field) => saidWords(open, field, record.values[field.name])).join(' · ')}</p>
          {fields.map(
            (field) =>
              field.is_caution && (
                <p key={field.name} class="field-notes">
                  {field.help}
                </p>
              ),
          )}
        </>
      )}
    </section>
  );
}

/** An answer in a line with others: what says by itself what it is, or with its words before it. */
function saidWords(open: OpenSurvey, field: FieldSpec, value: Value | undefined): string {
  const named = (field.refers_to ?? []).map((kind) => open.survey.find(kind, value)).find(Boolean);
  const words = named ? recordWords(open.survey, named) : valueWords(field, value);
  return ['choice', 'text', 'long_text'].includes(field.type) ? words : `${field.label} ${words}`;
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
