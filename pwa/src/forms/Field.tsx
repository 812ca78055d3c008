/** One field of one record: any type the model can declare. Saves when it is left, says so when the write has resolved. */
import type { ComponentChildren } from 'preact';
import { useEffect, useId, useRef, useState } from 'preact/hooks';
import { plainNumber, rangeWords, valueWords } from '../domain/check.ts';
import {
  fieldOf,
  isEmpty,
  rowsIn,
  type Field as FieldSpec,
  type Row,
  type Value,
  type Values,
} from '../domain/model.ts';
import { sizeIn } from '../domain/sizes.ts';
import { pathOf } from '../domain/changes.ts';
import { momentWords, SAVED_HERE } from '../domain/words.ts';
import { tryOut } from '../engine/live.ts';
import type { OpenSurvey } from '../store/live.ts';
import { changeRecord, saveEdits } from '../store/surveys.ts';
import { later } from '../ui/later.tsx';
import { after, onward } from '../ui/onward.ts';
import { bring, unfold } from '../ui/reach.ts';
import type { ContestProps } from './Contest.tsx';
import type { FieldProps, InputProps } from './field_props.ts';
import { ChoiceInput, isListed, ReferenceInput, YesNo } from './Choices.tsx';
import { useLine } from './line.ts';
import { shortWords } from './names.ts';
import type { RowsProps } from './Rows.tsx';
import { keep, useStored } from './saving.tsx';
import { Echo } from './Sizes.tsx';
import { asTyped, readInto, understood } from './typed.ts';

const Contest = later<ContestProps>(async () => (await import('./Contest.tsx')).Contest);
const RowsEditor = later<RowsProps>(async () => (await import('./Rows.tsx')).RowsEditor);

/** What has no longer a label than this stands beside another one. */
const SHORT = 24;
/** No longer a text than this is looked for in half a line. */
const SHORT_TEXT = 40;

const isNumber = ({ type }: FieldSpec): boolean => type === 'number' || type === 'integer';

const isShort = (field: FieldSpec): boolean =>
  (isNumber(field) || field.type === 'date' || (field.type === 'text' && (field.max_length ?? 200) <= SHORT_TEXT)) &&
  field.help === undefined &&
  field.default === undefined &&
  field.label.length <= SHORT;

/** Where a field stands: half a line, its answer beside its words, or one below the other. */
const placeOf = (field: FieldSpec): string =>
  isShort(field) ? ' field-half' : isNumber(field) || field.type === 'yes_no' ? ' field-beside' : '';

export function Field(props: FieldProps) {
  const { open, record, field, value } = props;
  const id = useId();
  const [isSaved, setSaved] = useState(false);
  const box = useRef<HTMLDivElement>(null);
  const path = pathOf({ survey: open.survey.id, kind: record.kind, record: record.id, field: field.name });

  useEffect(() => {
    if (!props.isFocused) return;
    const target = box.current?.querySelector<HTMLElement>('input, select, textarea, button');
    unfold(box.current);
    target?.focus({ preventScroll: true });
    box.current?.scrollIntoView({ block: 'center' });
  }, [props.isFocused]);

  const stored = useStored<Value>(value ?? null);
  const write = async (work: () => Promise<unknown>): Promise<boolean> => {
    setSaved(false);
    const done = await keep(work);
    if (done) stored.written();
    setSaved(done);
    return done;
  };
  const save = async (next: Value): Promise<boolean> => {
    if (!stored.isStored(next))
      return write(() =>
        props.onSave
          ? props.onSave(next)
          : saveEdits(open.survey.id, [{ kind: record.kind, id: record.id, values: { [field.name]: next } }]),
      );
    setSaved(true);
    return true;
  };
  const saveAll = (values: Values): Promise<boolean> =>
    Object.keys(values).length === 1
      ? save(values[field.name] ?? null)
      : write(() => saveEdits(open.survey.id, [{ kind: record.kind, id: record.id, values }]));
  const change = (by: (rows: Row[]) => Row[]) =>
    write(() =>
      changeRecord(open.survey.id, record.kind, record.id, (present) => ({
        [field.name]: by(rowsIn(present, field.name)),
      })),
    );

  const refused = open.refused.find((item) => pathOf(item) === path);
  const contested = open.row.contested.find(
    (item) => item.kind === record.kind && item.record === record.id && item.field === field.name,
  );
  const isGap =
    isEmpty(value) && !open.isAhead && open.gaps.some((gap) => gap.record === record.id && gap.field === field.name);
  const describedBy = `${id}-help`;
  // What the words said of the last answer is not said of the one that is being typed.
  const unsay = () => setSaved(false);
  const [picked, setPicked] = useState<Value>(null);
  const pick = async (next: Value): Promise<void> => {
    setPicked((await save(next)) ? next : null);
  };
  // Once the answer is stored and drawn, what it asks for next is drawn too, and what it offers.
  useEffect(() => {
    if (picked === null || picked !== value) return;
    setPicked(null);
    bring(
      () => {
        const next = after(box.current!);
        return (props.typesOn && next?.querySelector('input')) || next;
      },
      { takesFocus: props.typesOn ?? false, answered: box.current },
    );
  }, [picked, value]);
  const shared = { ...props, id, path, save, saveAll, pick, change, unsay, describedBy };
  const isGroup =
    field.type === 'yes_no' ||
    field.type === 'rows' ||
    (field.type === 'choice' && (props.folds || !isListed(props.choices ?? field.choices ?? [])));
  const Label = (
    <>
      {field.label}
      {field.unit && field.unit !== '£' && <span class="hidden-words"> {field.unit}</span>}
      {isGap && <span class="field-wanted"> needed</span>}
    </>
  );
  return (
    <div
      class={`field${placeOf(field)}`}
      ref={box}
      id={`field-${field.name}`}
      role={isGroup ? 'group' : undefined}
      aria-labelledby={isGroup ? `${id}-label` : undefined}
    >
      {isGroup ? (
        <p class="field-label" id={`${id}-label`}>
          {Label}
        </p>
      ) : (
        <label class="field-label" for={id}>
          {Label}
        </label>
      )}
      <Input {...shared} />
      <div class="field-notes" id={describedBy}>
        {isEmpty(value) && field.default !== undefined && (
          <p>
            Taken as <b>{valueWords(field, field.default)}</b>
            {field.default_from ? `: ${field.default_from}.` : '.'}
          </p>
        )}
        {isEmpty(value) && record.kind === 'surface' && <SizeOfRoom open={open} surface={record.id} field={field} />}
        {field.help && <p>{field.help}</p>}
        {isSaved && (
          <p class="field-saved" role="status">
            {SAVED_HERE}
          </p>
        )}
        {refused && (
          <p class="field-problem">
            The office refused {valueWords(field, refused.value) || 'the empty answer'}: {refused.problem.message} It is
            still on this phone; answer again to replace it.
          </p>
        )}
        {contested && <Contest open={open} item={contested} isAtField />}
      </div>
    </div>
  );
}

/** What a side measures while it says no size of its own, and after which room. */
function SizeOfRoom({ open, surface, field }: { open: OpenSurvey; surface: string; field: FieldSpec }) {
  const record = open.survey.find('surface', surface);
  const size = record && sizeIn(open.survey, record)[field.name];
  const room = open.survey.find('room', record?.values['room']);
  return room && !isEmpty(size) ? (
    <p>
      Taken from {shortWords(room)}: <b>{valueWords(field, size)}</b>.
    </p>
  ) : null;
}

function Input(props: InputProps): ComponentChildren {
  switch (props.field.type) {
    case 'choice':
      return <ChoiceInput {...props} />;
    case 'yes_no':
      return <YesNo {...props} />;
    case 'reference':
      return <ReferenceInput {...props} />;
    case 'rows':
      return (
        <RowsEditor
          field={props.field}
          value={Array.isArray(props.value) ? props.value : []}
          change={props.change}
          unsay={props.unsay}
          path={props.path}
          isFocused={props.isFocused}
        />
      );
    case 'moment':
      return (
        <p class="field-fixed">{typeof props.value === 'string' ? momentWords(Date.parse(props.value)) : 'Not yet'}</p>
      );
    default:
      return <TextInput {...props} />;
  }
}

function TextInput({ open, record, field, value, id, path, describedBy, saveAll, unsay, onSave }: InputProps) {
  // An answer that brings other edits with it stands alone.
  const readHere = (text: string) => readInto(record.kind, field, text, onSave !== undefined);
  const line = useLine<Values>({
    path,
    read: readHere,
    save: saveAll,
    show: (values) => asTyped(values[field.name]),
    onTypedOn: unsay,
  });
  const { problem } = line;

  const isFollowed = isNumber(field) || field.type === 'money';
  const type = (text: string) => {
    line.type(text);
    unsay();
    // Figures follow a number while it is typed. An answer that brings other edits with it is followed when it is saved.
    if (!isFollowed || onSave) return;
    const read = readHere(text);
    tryOut(open, read.ok ? [{ kind: record.kind, id: record.id, values: read.value }] : null);
  };
  useEffect(() => () => tryOut(open, null), []);
  const echo = (): string | null => {
    if (line.text === null || problem || !isNumber(field)) return null;
    const read = readHere(line.text);
    const numbers = read.ok ? Object.values(read.value).filter((item) => typeof item === 'number') : [];
    const words = understood(line.text, numbers, field.unit ?? '');
    const filled = read.ok ? Object.keys(read.value).map((name) => fieldOf(record.kind, name).label) : [];
    if (filled.length < 2) return words;
    return `${filled.join(' × ')} ${words ?? `= ${numbers.map((item) => plainNumber(item, 3)).join(' × ')} ${field.unit ?? ''}`}`;
  };
  const enter = (box: HTMLElement) => {
    const read = line.text === null ? null : readHere(line.text);
    // What is not understood keeps the cursor, with the words beside it.
    if (read && !read.ok) void line.leave();
    else onward(box, read ? Object.keys(read.value).length : 1);
  };
  const common = {
    id,
    class: problem ? 'input input-problem' : 'input',
    'aria-describedby': `${describedBy} ${id}-problem`,
    'aria-invalid': problem ? true : undefined,
    value: line.shown(asTyped(value)),
    onInput: (event: Event) => type((event.currentTarget as HTMLInputElement).value),
    onBlur: () => void line.leave(),
  };
  return (
    <>
      {field.type === 'long_text' ? (
        <textarea {...common} rows={2} />
      ) : (
        <span class={isFollowed ? 'input-line input-line-number' : 'input-line'}>
          {field.unit === '£' && (
            <span class="input-unit" aria-hidden="true">
              £
            </span>
          )}
          <input
            {...common}
            {...(field.type === 'date'
              ? { type: 'date' as const }
              : { type: 'text' as const, ...(isFollowed ? { inputMode: 'decimal' as const } : {}) })}
            autocomplete="off"
            onKeyDown={(event) => {
              if (event.key !== 'Enter') return;
              // Else the key would go on into the field that has the cursor by then, and begin a new line there.
              event.preventDefault();
              enter(event.currentTarget);
            }}
          />
          {field.unit && field.unit !== '£' && (
            <span class="input-unit" aria-hidden="true">
              {field.unit}
            </span>
          )}
        </span>
      )}
      <Echo words={echo()} />
      <p class="field-problem" id={`${id}-problem`} role="alert">
        {problem && (
          <>
            Not saved: {problem}
            {isFollowed && rangeWords(field) && !problem.startsWith('Expected')
              ? ` Anything from ${rangeWords(field)}.`
              : ''}
          </>
        )}
      </p>
    </>
  );
}
