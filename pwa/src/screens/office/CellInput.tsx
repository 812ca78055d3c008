/** One answer of a record inside a table: the same reading, limits and saving as in a form, in less room. */
import { pathOf } from '../../domain/changes.ts';
import { isEmpty, type Field, type Value, type Values } from '../../domain/model.ts';
import { asTyped, readTyped } from '../../forms/typed.ts';
import { useLine } from '../../forms/line.ts';
import { keep, useStored } from '../../forms/saving.tsx';
import type { SurveyRecord } from '../../domain/survey.ts';
import { saveEdits } from '../../store/surveys.ts';

export interface CellInputProps {
  survey: string;
  record: SurveyRecord;
  field: Field;
  /** What a screen reader calls it: the field and which line. */
  label: string;
  /** Where the words about a problem stand. */
  describedBy: string;
  onProblem: (words: string | null) => void;
  /** How it is saved, where not as the record's own answer. */
  onSave?: (values: Values) => Promise<unknown>;
}

export function CellInput({ survey, record, field, label, describedBy, onProblem, onSave }: CellInputProps) {
  const value = record.values[field.name];
  const path = pathOf({ survey, kind: record.kind, record: record.id, field: field.name });
  const stored = useStored<Value>(value ?? null);
  const save = async (next: Value): Promise<boolean> => {
    if (stored.isStored(next)) return true;
    const values = { [field.name]: next };
    const done = await keep(() =>
      onSave ? onSave(values) : saveEdits(survey, [{ kind: record.kind, id: record.id, values }]),
    );
    if (done) stored.written();
    return done;
  };
  const line = useLine<Value>({
    path,
    read: (text) => readTyped(field, text),
    save,
    show: asTyped,
    onProblem: (why) => onProblem(why === null ? null : `${field.label}: ${why}`),
  });
  const wanted = (field.needed_for?.length ?? 0) > 0 && isEmpty(value);
  if (field.type === 'choice') {
    const present = typeof value === 'string' ? value : typeof field.default === 'string' ? field.default : '';
    return (
      <select
        class={wanted ? 'input cell-wanted' : 'input'}
        aria-label={label}
        value={present}
        onChange={(event) => void save(event.currentTarget.value || null)}
      >
        {present === '' && <option value="">{wanted ? 'needed' : 'not chosen'}</option>}
        {(field.choices ?? []).map((choice) => (
          <option key={choice.value} value={choice.value}>
            {choice.label}
          </option>
        ))}
      </select>
    );
  }
  const isNumber = field.type !== 'text';
  const common = {
    class: [line.problem ? 'input input-problem' : 'input', isNumber ? 'number' : '', wanted ? 'cell-wanted' : '']
      .filter(Boolean)
      .join(' '),
    'aria-label': label,
    'aria-describedby': describedBy,
    'aria-invalid': line.problem ? true : undefined,
    autocomplete: 'off' as const,
    placeholder: wanted ? 'needed' : '',
    value: line.shown(asTyped(value)),
    onInput: (event: Event) => line.type((event.currentTarget as HTMLInputElement).value),
    onBlur: () => void line.leave(),
    onKeyDown: (event: KeyboardEvent) => {
      if (event.key !== 'Enter') return;
      event.preventDefault();
      (event.currentTarget as HTMLElement).blur();
    },
  };
  // One line of text, shown on as many lines as it takes.
  return isNumber ? <input {...common} inputMode="decimal" /> : <textarea {...common} rows={1} />;
}
