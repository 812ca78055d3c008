/** One pipe or cable run: its route as a line of stretches first, then who runs it and the rest. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { problemWith } from '../../domain/check.ts';
import {
  fieldOf,
  kindOf,
  rowsIn,
  titleOf,
  type Choice,
  type Field as FieldSpec,
  type Row,
} from '../../domain/model.ts';
import { readNumber } from '../../domain/parse.ts';
import { lengthWords, runLength } from '../../domain/runs.ts';
import type { SurveyRecord } from '../../domain/survey.ts';
import { SAVED_HERE } from '../../domain/words.ts';
import { Field } from '../../forms/Field.tsx';
import { useLine } from '../../forms/line.ts';
import { ForOffice, RecordForm } from '../../forms/RecordForm.tsx';
import { keep } from '../../forms/saving.tsx';
import type { OpenSurvey } from '../../store/live.ts';
import { changeRecord, saveEdits } from '../../store/surveys.ts';
import { Notice } from '../../ui/Notice.tsx';
import { Page } from '../../ui/Page.tsx';
import { FindingsHere } from '../results/FindingsHere.tsx';
import { PhotoStrip } from '../photos/PhotoStrip.tsx';
import { backFrom, ItsHistory, RemoveButton } from '../Record.tsx';
import type { RecordScreenProps } from '../props.ts';
import { RouteLine } from './RouteLine.tsx';

/** The questions after the route, those that stop a job first. */
const REST: Record<string, string[][]> = {
  cable_run: [['who'], ['cable'], ['mains'], ['route']],
  pipe_run: [['limit'], ['route'], ['wrap']],
};

export function RunScreen({ open, record, query }: RecordScreenProps) {
  const kind = kindOf(record.kind);
  const back = backFrom(open, record);
  const focus = query.get('field');
  return (
    <Page title={titleOf(kind, record.values)} over={kind.label} back={back} backWords="pipes and cables">
      <Warnings open={open} record={record} />
      <RouteSheet open={open} record={record} isFocused={focus === 'stretches'} />
      <RecordForm open={open} record={record} groups={['what']} focus={focus} />
      {(REST[record.kind] ?? []).map((groups) => (
        <RecordForm
          key={groups.join()}
          open={open}
          record={record}
          groups={groups}
          without={['stretches', 'start', 'end']}
          focus={focus}
        />
      ))}
      <ForOffice open={open} record={record} focus={focus} />
      <PhotoStrip open={open} record={record} />
      <FindingsHere open={open} records={[record]} />
      <ItsHistory open={open} record={record} />
      <RemoveButton open={open} record={record} back={back} />
    </Page>
  );
}

function RouteSheet({ open, record, isFocused }: { open: OpenSurvey; record: SurveyRecord; isFocused: boolean }) {
  const field = fieldOf(record.kind, 'stretches');
  const value = record.values['stretches'];
  const stretches: Row[] = Array.isArray(value) ? value : [];
  const length = runLength(stretches);
  const place = (field.rows ?? []).find((row) => row.name === 'place')!;
  const [start, end] = [record.values['start'], record.values['end']].map((item) =>
    typeof item === 'string' ? item : '',
  );
  return (
    <section class="group" aria-label="The way it takes">
      <h2 class="route-title">
        <span>Route</span> <span>{lengthWords(length)}</span>
      </h2>
      {stretches.length > 0 ? (
        <RouteLine stretches={stretches} place={place} start={start!} end={end!} />
      ) : (
        <p>
          No route yet. Walk it: tap a place for each stretch, or type the whole line, such as outdoors 5, under floor
          9, cupboard 2.
        </p>
      )}
      <AddStretch open={open} record={record} field={field} place={place} stretches={stretches} />
      <Field open={open} record={record} field={field} value={value} isFocused={isFocused} />
      {(['start', 'end'] as const).map((name) => (
        <div key={name}>
          <Field open={open} record={record} field={fieldOf(record.kind, name)} value={record.values[name]} />
          {record.values[name] === undefined && <Ends open={open} record={record} name={name} />}
        </div>
      ))}
    </section>
  );
}

/** Where runs most often begin and end. */
const USUAL_ENDS: Record<string, string[]> = {
  cable_run: ['Consumer unit', 'Isolator', 'Controller', 'Unit'],
  pipe_run: ['Unit', 'Cylinder', 'Tundish', 'Gully'],
};
const MOST_ENDS = 8;

/** Ends by a tap: what other runs of this survey have at theirs, then the usual ones. */
function Ends({ open, record, name }: { open: OpenSurvey; record: SurveyRecord; name: 'start' | 'end' }) {
  const used = ['cable_run', 'pipe_run'].flatMap((kind) =>
    open.survey.ofKind(kind).flatMap((run) => [run.values['start'], run.values['end']]),
  );
  const other = record.values[name === 'start' ? 'end' : 'start'];
  const words = [...new Set([...(USUAL_ENDS[record.kind] ?? []), ...used])]
    .filter((item): item is string => typeof item === 'string' && item !== other)
    .slice(0, MOST_ENDS);
  return (
    <div class="choices" role="group" aria-label={`${fieldOf(record.kind, name).label}: often`}>
      {words.map((item) => (
        <button
          key={item}
          type="button"
          class="choice"
          onClick={() =>
            void keep(() => saveEdits(open.survey.id, [{ kind: record.kind, id: record.id, values: { [name]: item } }]))
          }
        >
          <span class="choice-words">{item}</span>
        </button>
      ))}
    </div>
  );
}

interface AddStretchProps {
  open: OpenSurvey;
  record: SurveyRecord;
  field: FieldSpec;
  place: FieldSpec;
  stretches: Row[];
}

/** A place by a tap, its length by a number: for walking along the route. */
function AddStretch({ open, record, field, place, stretches }: AddStretchProps) {
  const [chosen, setChosen] = useState<Choice | null>(null);
  const [isMissing, setMissing] = useState(false);
  const [isSaved, setSaved] = useState(false);
  const box = useRef<HTMLInputElement>(null);
  const line = useLine<Row>({
    path: `${open.survey.id}/${record.kind}/${record.id}/stretches/walk`,
    read: (text) => {
      if (text.trim() === '') return null;
      if (!chosen) return { ok: false, why: 'Say where it runs.' };
      const spec = (field.rows ?? []).find((row) => row.name === 'length_m')!;
      const read = readNumber(text, spec.unit ?? '', spec);
      const why = read.ok ? problemWith(spec, read.value) : read.why;
      return why || !read.ok
        ? { ok: false, why: why ?? '' }
        : { ok: true, value: { place: chosen.value, length_m: read.value } };
    },
    save: (stretch) =>
      keep(() =>
        changeRecord(open.survey.id, record.kind, record.id, (present) => ({
          [field.name]: [...rowsIn(present, field.name), stretch],
        })),
      ),
  });
  useEffect(() => {
    if (chosen) box.current?.focus();
  }, [chosen]);
  if (stretches.length >= (field.max_rows ?? 200))
    return <p>{stretches.length} stretches are the most that fit. Join some in the list below.</p>;
  const problem = line.problem ?? (isMissing ? 'Type its length.' : null);
  const add = async () => {
    const isEmpty = !line.text?.trim();
    setMissing(isEmpty);
    if (isEmpty) return;
    const added = chosen;
    await line.leave();
    if (line.text !== null) return;
    // Whoever has tapped the next place meanwhile is at that one.
    setChosen((present) => (present === added ? null : present));
    setSaved(true);
  };
  return (
    <div class="walk-on">
      <div class="choices" role="group" aria-label="Next stretch">
        {(place.choices ?? []).map((choice) => (
          <button
            key={choice.value}
            type="button"
            class="choice"
            aria-pressed={chosen?.value === choice.value}
            onClick={() => {
              setSaved(false);
              setMissing(false);
              setChosen(chosen?.value === choice.value ? null : choice);
            }}
          >
            <span class="choice-words">{choice.label}</span>
          </button>
        ))}
      </div>
      {chosen && (
        <div class="walk-on-length">
          <label class="field" for="walk-on">
            <span class="field-label">
              {chosen.label}, length<span class="field-unit"> m</span>
            </span>
            <input
              ref={box}
              id="walk-on"
              class={problem ? 'input input-problem' : 'input'}
              inputMode="decimal"
              autocomplete="off"
              value={line.text ?? ''}
              aria-invalid={problem ? true : undefined}
              aria-describedby="walk-on-problem"
              onInput={(event) => {
                line.type(event.currentTarget.value);
                setMissing(false);
              }}
              onKeyDown={(event) => {
                if (event.key === 'Enter') void add();
              }}
            />
          </label>
          <button type="button" class="button button-main" onClick={() => void add()}>
            Add stretch
          </button>
        </div>
      )}
      <p class="field-problem" id="walk-on-problem" role="alert">
        {chosen && problem && <>Not saved: {problem}</>}
      </p>
      {isSaved && (
        <p class="field-saved" role="status">
          {SAVED_HERE}
        </p>
      )}
    </div>
  );
}

/** What stops the job on its day, said at the top while one can still ask the household: the checks' own words. */
function Warnings({ open, record }: { open: OpenSurvey; record: SurveyRecord }) {
  const found = open.assessment?.assessment.findings ?? [];
  return found
    .filter((finding) => finding.severity === 'stop' && finding.record === `${record.kind}/${record.id}`)
    .map((finding) => (
      <Notice key={`${finding.code}/${finding.about}`} tone="stop">
        <p>
          <b>{finding.message}</b> {finding.remedy}
        </p>
      </Notice>
    ));
}
