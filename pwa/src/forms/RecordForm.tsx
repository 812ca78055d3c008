/** The form of any record, drawn from the survey model: groups as one sees them from one standing point. */
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
  /** Office screens show the office's own fields too. */
  isOffice?: boolean;
  /** Leave the headings of the groups out. */
  isPlain?: boolean;
}

/** Whether there is a record that a reference could name. */
const canChoose = (open: OpenSurvey, field: FieldSpec): boolean =>
  (field.refers_to ?? []).some((kind) => open.survey.ofKind(kind).length > 0);

export function RecordForm({
  open,
  record,
  groups,
  without,
  only,
  focus,
  choicesFor,
  onSave,
  isOffice,
  isPlain,
}: RecordFormProps) {
  const kind = kindOf(record.kind);
  const values = withDefaults(kind, record.values);
  const isShown = (field: FieldSpec): boolean => {
    if (without?.includes(field.name) || (only && !only.includes(field.name))) return false;
    if (field.by_program || (field.office_only && !isOffice)) return false;
    if (field.empty_means && isEmpty(record.values[field.name]) && !canChoose(open, field)) return false;
    // An answer whose question no longer applies stays where it can be seen and cleared.
    return isAsked(field, values) || !isEmpty(record.values[field.name]);
  };
  return (
    <>
      {kind.groups
        .filter((group) => !groups || groups.includes(group.name))
        .map((group) => {
          const fields = kind.fields.filter((field) => field.group === group.name && isShown(field));
          if (fields.length === 0) return null;
          return (
            <section
              key={group.name}
              {...(isPlain ? { class: 'group-plain' } : { class: 'group', 'aria-label': group.label })}
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
