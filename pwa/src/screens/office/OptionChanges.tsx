/** What one option has otherwise than the survey, and the forms to change it: heating, unit, radiators, building, price. */
import { useState } from 'preact/hooks';
import type { OptionRow } from '../../domain/assessment.ts';
import { newId } from '../../domain/ids.ts';
import { drawnEdits } from '../../domain/lines.ts';
import {
  designOf,
  fieldsInOptions,
  mayDiffer,
  optionEdit,
  ownEdits,
  ownOf,
  saidBy,
  underOption,
  unsaid,
} from '../../domain/options.ts';
import { fieldOf, kindOf, type Field, type Value, type Values } from '../../domain/model.ts';
import type { Edit, SurveyRecord } from '../../domain/survey.ts';
import { recordWords, shortWords } from '../../forms/names.ts';
import { RecordForm } from '../../forms/RecordForm.tsx';
import { keep, useOneAtATime } from '../../forms/saving.tsx';
import type { OpenSurvey } from '../../store/live.ts';
import { saveEdits } from '../../store/surveys.ts';
import { ChangedLine } from './ChangedLine.tsx';
import { PriceSuggestions } from './PriceSuggestions.tsx';

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

/** What a floor of its own is asked as well: of the survey's own floors it is said in the house. */
const OF_A_FLOOR = [
  'heated_area_m2',
  'pipe_spacing_mm',
  'covering',
  'floor_system',
  'screed_over_pipe_mm',
  'plate_thickness_mm',
  'plate_width_mm',
  'board_thickness_mm',
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
  const own = new Map(
    PARTS.flatMap((part) => ownOf(survey, option.id, part.kind)).map((record) => [record.id, record] as const),
  );
  const write = async (record: SurveyRecord, values: Values) => {
    const words = called(record);
    // Of a record that this option alone has the survey says nothing.
    const found = own.has(record.id) ? { ...record, values: {} } : record;
    const edits = await Promise.all(
      Object.entries(values).map(([field, value]) => optionEdit(option.id, found, field, value, words)),
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
  const takeBack = (record: string, field: string) =>
    void keep(() => saveEdits(survey.id, unsaid(survey, option.id, record, field === 'deleted' ? undefined : field)));
  const [fresh, setFresh] = useState('');
  const makeOwn = useOneAtATime(async (record: SurveyRecord, before: readonly Edit[] = []) => {
    const edits = await ownEdits(option.id, record, recordWords(survey, record));
    if (await keep(() => saveEdits(survey.id, [...before, ...edits]))) setFresh(record.id);
  });
  /** A new emitter in the place of one of the survey's: that one is taken out here, or was only planned and is not here at all. */
  const putAnother = async (record: SurveyRecord) => {
    const { values } = underOption(survey, option.id, record);
    const alike = Object.fromEntries(
      ['room', 'type', 'height_mm', 'length_mm'].flatMap((name) =>
        values[name] == null ? [] : [[name, values[name]]],
      ),
    );
    const goes: Values = values['plan'] === 'new' ? { deleted: true } : { plan: 'replace' };
    const before = await Promise.all(
      Object.entries(goes).map(([field, value]) => optionEdit(option.id, record, field, value, called(record))),
    );
    makeOwn({ kind: 'emitter', id: newId(), values: { ...alike, plan: 'new' } }, before);
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
        const line = survey.find('price_line', item.line) ?? own.get(item.line);
        return line ? (
          <section key={item.line} class="sheet" aria-label={item.title}>
            <h3>{item.title}</h3>
            <ChangedLine
              item={item}
              onSettle={(values) => void keep(() => write(line, values))}
              onRemove={() =>
                own.has(line.id)
                  ? takeBack(`price_line/${line.id}`, 'deleted')
                  : void keep(() => write(line, { deleted: true }))
              }
            />
          </section>
        ) : null;
      })}
      {row && (
        <PriceSuggestions
          open={open}
          suggestions={row.asked ?? []}
          lines={[...own.values()].filter((record) => record.kind === 'price_line')}
          who="This option asks for"
          onAdd={(items) =>
            void keep(async () => saveEdits(survey.id, (await Promise.all(items.map(drawnEdits))).flat()))
          }
        />
      )}
      <h3>Change this option</h3>
      <details open>
        <summary>Heating, unit and cylinder</summary>
        {form(designOf(survey), undefined, ['heat', 'unit', 'water'])}
      </details>
      {PARTS.map((part) => {
        const alone = [...own.values()].filter((record) => record.kind === part.kind);
        const records = [...survey.ofKind(part.kind), ...alone];
        const isEmitters = part.kind === 'emitter';
        if (records.length === 0 && !isEmitters) return null;
        const only =
          part.only ??
          kindOf(part.kind)
            .fields.filter(mayDiffer)
            .map((field) => field.name);
        return (
          <details key={part.kind}>
            <summary>{part.label}</summary>
            {records.map((record) => {
              const isGone = saidBy(survey, option.id, record.kind, record.id)['deleted'] === true;
              const isOwn = own.has(record.id);
              return (
                <details key={record.id} class="option-record" open={record.id === fresh}>
                  <summary>
                    {called(record)}
                    {isOwn && ', only in this option'}
                    {isGone && ', not in this option'}
                  </summary>
                  {!isGone &&
                    form(
                      record,
                      [...only, ...(isOwn && isEmitters ? OF_A_FLOOR : [])].filter((name) =>
                        mayDiffer(fieldOf(part.kind, name)),
                      ),
                    )}
                  <div class="buttons">
                    {isEmitters && !isOwn && !isGone && (
                      <button type="button" class="button" onClick={() => void putAnother(record)}>
                        Put another in its place<span class="hidden-words">: {called(record)}</span>
                      </button>
                    )}
                    {part.kind !== 'construction' && (
                      <button
                        type="button"
                        class="button button-quiet"
                        onClick={() =>
                          isOwn || isGone
                            ? takeBack(`${record.kind}/${record.id}`, 'deleted')
                            : void keep(() => write(record, { deleted: true }))
                        }
                      >
                        {isGone ? 'In this option again' : isOwn ? 'Take it away again' : 'Not in this option'}
                        <span class="hidden-words">: {called(record)}</span>
                      </button>
                    )}
                  </div>
                </details>
              );
            })}
            {isEmitters && (
              <NewEmitter
                rooms={survey.ofKind('room')}
                onAdd={(room) => makeOwn({ kind: 'emitter', id: newId(), values: { room, plan: 'new' } })}
              />
            )}
          </details>
        );
      })}
    </>
  );
}

/** One more emitter in this option alone: the room, and then its form. */
function NewEmitter({ rooms, onAdd }: { rooms: readonly SurveyRecord[]; onAdd: (room: string) => void }) {
  const [room, setRoom] = useState('');
  if (rooms.length === 0) return null;
  return (
    <div class="option-new">
      <label>
        One more radiator or floor, in{' '}
        <select class="input" value={room} onChange={(event) => setRoom(event.currentTarget.value)}>
          <option value="">choose a room</option>
          {rooms.map((item) => (
            <option key={item.id} value={item.id}>
              {shortWords(item)}
            </option>
          ))}
        </select>
      </label>
      <button type="button" class="button" disabled={!room} onClick={() => onAdd(room)}>
        Add it to this option
      </button>
    </div>
  );
}
