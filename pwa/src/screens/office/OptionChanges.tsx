/** What one option has otherwise than the survey, and the forms to change it: heating, unit, radiators, building, price. */
import type { OptionRow } from '../../domain/assessment.ts';
import { designOf, fieldsInOptions, mayDiffer, optionEdit, underOption } from '../../domain/options.ts';
import { fieldOf, kindOf, type Field, type Value, type Values } from '../../domain/model.ts';
import type { SurveyRecord } from '../../domain/survey.ts';
import { recordWords } from '../../forms/names.ts';
import { RecordForm } from '../../forms/RecordForm.tsx';
import { keep } from '../../forms/saving.tsx';
import type { OpenSurvey } from '../../store/live.ts';
import { saveEdits } from '../../store/surveys.ts';
import { ChangedLine } from './ChangedLine.tsx';

/** What an option is most often about; each part opens by itself. */
const PARTS: readonly { label: string; kind: string; only?: readonly string[] }[] = [
  {
    label: 'Radiators and floors',
    kind: 'emitter',
    only: ['type', 'plan', 'height_mm', 'length_mm', 'sections', 'rated_output_w'],
  },
  { label: 'Building: improvements', kind: 'construction' },
  { label: 'Price', kind: 'price_line', only: ['what', 'quantity', 'unit_price', 'vat_rate'] },
];

export function OptionChanges({
  open,
  option,
  row,
}: {
  open: OpenSurvey;
  option: SurveyRecord;
  row: OptionRow | null;
}) {
  const { survey } = open;
  const write = async (record: SurveyRecord, values: Values) => {
    const words = recordWords(survey, record);
    const edits = await Promise.all(
      Object.entries(values).map(([field, value]) => optionEdit(option.id, record, field, value, words)),
    );
    await saveEdits(survey.id, edits);
  };
  // Called by what it is under this option: a line taken over is of the new unit here, and of the old one in the survey.
  const called = (record: SurveyRecord): string => recordWords(survey, underOption(survey, option.id, record));
  const form = (record: SurveyRecord, only?: readonly string[], groups?: string[]) => (
    <RecordForm
      open={open}
      // Under an id of its own: what is typed for one option is no draft of the survey's, and no draft of another option's.
      record={{ ...underOption(survey, option.id, record), id: `${record.id}@${option.id}` }}
      {...(groups ? { groups } : {})}
      only={[...(only ?? fieldsInOptions(record.kind, groups))]}
      onSave={(field: Field) => (value: Value) => write(record, { [field.name]: value })}
      answered="both"
      isPlain
    />
  );
  const takeBack = (record: string, field: string) => {
    const items = survey
      .linked('option_value', 'option', option.id)
      .filter((item) => item.values['of'] === record && (field === 'deleted' || item.values['field'] === field));
    void keep(() =>
      saveEdits(
        survey.id,
        items.map((item) => ({ kind: 'option_value', id: item.id, values: { deleted: true } })),
      ),
    );
  };
  const lines = new Map((row?.changed ?? []).map((item) => [item.line, item]));
  return (
    <>
      {row && row.differences.length > 0 && (
        <section aria-label="What it has otherwise">
          <h3>Otherwise than the survey</h3>
          <ul class="list points">
            {row.differences.map((item) => (
              <li key={`${item.record}/${item.field}`}>
                <p>
                  <b>{[item.title, item.label].filter(Boolean).join(', ')}</b>:{' '}
                  {item.was && (
                    <>
                      was <s>{item.was}</s>, now{' '}
                    </>
                  )}
                  <b>{item.now}</b>
                </p>
                <button type="button" class="button button-quiet" onClick={() => takeBack(item.record, item.field)}>
                  As in the survey again
                  <span class="hidden-words">: {[item.title, item.label].filter(Boolean).join(', ')}</span>
                </button>
              </li>
            ))}
          </ul>
        </section>
      )}
      {[...lines.values()].map((item) => {
        const line = survey.find('price_line', item.line);
        return line ? (
          <section key={item.line} class="sheet" aria-label={item.title}>
            <h3>{item.title}</h3>
            <ChangedLine
              item={item}
              onSettle={(values) => void keep(() => write(line, values))}
              onRemove={() => void keep(() => write(line, { deleted: true }))}
            />
          </section>
        ) : null;
      })}
      <h3>Change this option</h3>
      <details open>
        <summary>Heating, unit and cylinder</summary>
        {form(designOf(survey), undefined, ['heat', 'unit', 'water'])}
      </details>
      {PARTS.map((part) => {
        const records = survey.ofKind(part.kind);
        if (records.length === 0) return null;
        const only =
          part.only ??
          kindOf(part.kind)
            .fields.filter(mayDiffer)
            .map((field) => field.name);
        return (
          <details key={part.kind}>
            <summary>{part.label}</summary>
            {records.map((record) => (
              <details key={record.id} class="option-record">
                <summary>{called(record)}</summary>
                {form(
                  record,
                  only.filter((name) => mayDiffer(fieldOf(part.kind, name))),
                )}
                {part.kind === 'construction' ? null : (
                  <button
                    type="button"
                    class="button button-quiet"
                    onClick={() => void keep(() => write(record, { deleted: true }))}
                  >
                    Not in this option<span class="hidden-words">: {called(record)}</span>
                  </button>
                )}
              </details>
            ))}
          </details>
        );
      })}
    </>
  );
}
