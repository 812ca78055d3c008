/** One pipe or cable run: what it is for, its route as a line of stretches, then who runs it and the rest. */
import { fieldOf, kindOf, rowsIn, titleOf } from '../../domain/model.ts';
import { lengthWords, runLength } from '../../domain/runs.ts';
import type { SurveyRecord } from '../../domain/survey.ts';
import { Field } from '../../forms/Field.tsx';
import { ForOffice, RecordForm } from '../../forms/RecordForm.tsx';
import { keep } from '../../forms/saving.tsx';
import type { OpenSurvey } from '../../store/live.ts';
import { saveEdits } from '../../store/surveys.ts';
import { Notice } from '../../ui/Notice.tsx';
import { Page } from '../../ui/Page.tsx';
import { FindingsHere } from '../results/FindingsHere.tsx';
import { PhotoStrip } from '../photos/PhotoStrip.tsx';
import { backFrom, ItsHistory, RemoveButton } from '../Record.tsx';
import type { RecordScreenProps } from '../props.ts';
import { RouteLine } from './RouteLine.tsx';

/** The group that asks where a run goes along. */
const ROUTE = 'route';

export function RunScreen({ open, record, query }: RecordScreenProps) {
  const kind = kindOf(record.kind);
  const back = backFrom(open, record);
  const focus = query.get('field');
  return (
    <Page title={titleOf(kind, record.values)} over={kind.label} back={back} backWords="pipes and cables">
      <Warnings open={open} record={record} />
      <Drawn record={record} />
      <RecordForm
        open={open}
        record={record}
        focus={focus}
        folds
        beside={(group) =>
          group === ROUTE && rowsIn(record.values, 'stretches').length > 0
            ? lengthWords(runLength(record.values['stretches']))
            : ''
        }
        within={(group, questions) =>
          group === ROUTE ? <Route open={open} record={record} focus={focus} /> : questions
        }
      />
      <ForOffice open={open} record={record} focus={focus} />
      <PhotoStrip open={open} record={record} />
      <FindingsHere open={open} records={[record]} />
      <ItsHistory open={open} record={record} />
      <RemoveButton open={open} record={record} back={back} />
    </Page>
  );
}

/** Where a run begins and where it ends. */
const ENDS = ['start', 'end'] as const;

/** The route as a line, above the form, so that it stands there however the form is folded. */
function Drawn({ record: { kind, values } }: { record: SurveyRecord }) {
  const stretches = rowsIn(values, 'stretches');
  if (stretches.length === 0) return null;
  const place = (fieldOf(kind, 'stretches').rows ?? []).find((row) => row.name === 'place')!;
  const [start, end] = ENDS.map((name) => (typeof values[name] === 'string' ? values[name] : ''));
  return (
    <section class="sheet" aria-label="The way it takes">
      <RouteLine stretches={stretches} place={place} start={start!} end={end!} />
    </section>
  );
}

/** What the group of the route asks, in the order in which one walks it, with what its ends often are. */
function Route({ open, record, focus }: { open: OpenSurvey; record: SurveyRecord; focus: string | null }) {
  const ask = (name: string) => (
    <Field
      key={`${record.id}/${name}`}
      open={open}
      record={record}
      field={fieldOf(record.kind, name)}
      value={record.values[name]}
      isFocused={focus === name}
    />
  );
  // One end after the other: what the second often is has its turn once the first is said.
  const next = ENDS.find((name) => record.values[name] === undefined);
  return (
    <>
      {ask('stretches')}
      {ENDS.map((name) => [
        ask(name),
        name === next && <Ends key={`often/${name}`} open={open} record={record} name={name} />,
      ])}
    </>
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
