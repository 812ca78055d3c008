/** The stage of pipes and cables: the runs that the job needs stand there already, waiting for a route and a name. */
import { choiceLabel, fieldOf, kindOf, model, titleOf, type Expectation, type Values } from '../../domain/model.ts';
import { progressOfRecords } from '../../domain/progress.ts';
import { lengthWords, missingRuns, runLength } from '../../domain/runs.ts';
import type { SurveyRecord } from '../../domain/survey.ts';
import { keep, useOneAtATime } from '../../forms/saving.tsx';
import type { OpenSurvey } from '../../store/live.ts';
import { newRecord, saveEdits } from '../../store/surveys.ts';
import { Page } from '../../ui/Page.tsx';
import { go, recordLink, surveyLink } from '../../ui/router.ts';
import { ProgressShape, ProgressSide } from '../../ui/shapes.tsx';
import type { StageScreenProps } from '../props.ts';

export function RoutesScreen({ open }: StageScreenProps) {
  const stage = model.stages.find((item) => item.name === 'routes')!;
  return (
    <Page title={stage.label} over={open.survey.name()} back={surveyLink(open.survey.id)} backWords="the walk">
      <p>{stage.help}</p>
      <Runs open={open} kind="cable_run" more="Add another cable" waiting="Waiting for a route and a name" />
      <Runs open={open} kind="pipe_run" more="Add another pipe run" waiting="Waiting for a route" />
    </Page>
  );
}

function Runs({ open, kind: name, more, waiting }: { open: OpenSurvey; kind: string; more: string; waiting: string }) {
  const { survey } = open;
  const kind = kindOf(name);
  const runs = survey.ofKind(name);
  const missing = missingRuns(survey, name);
  const start = useOneAtATime(async (values: Values) => {
    const edit = newRecord(survey.id, name, values);
    if (await keep(() => saveEdits(survey.id, [edit]))) go(recordLink(survey.id, name, edit.id));
  });
  const known = runs.map((run) => runLength(run.values['stretches']));
  const without = known.reduce((all, length) => all + length.without, 0);
  const total = Math.round(known.reduce((all, length) => all + length.known_m * 10, 0)) / 10;
  return (
    <section class="group" aria-label={kind.plural}>
      <h2>{kind.plural}</h2>
      {kind.help && <p class="field-notes">{kind.help}</p>}
      <ul class="list">
        {missing.map((expected) => (
          <li key={JSON.stringify(expected.where)}>
            <button type="button" class="row" onClick={() => start(expected.where)}>
              <ProgressShape progress={{ state: 'not_started' }} />
              <span class="row-words">
                <span>{expectedWords(name, expected)}</span>
                <small>
                  <b>{waiting}.</b> {expected.spoils}
                </small>
              </span>
              <svg class="chevron" viewBox="0 0 24 24" width="24" height="24" aria-hidden="true">
                <path d="M12 5 v14 M5 12 h14" class="line" />
              </svg>
            </button>
          </li>
        ))}
        {runs.map((run, place) => {
          const progress = progressOfRecords(open, new Set([run.id]));
          return (
            <li key={run.id}>
              <a class="row" href={recordLink(survey.id, name, run.id)}>
                <ProgressShape progress={progress} />
                <span class="row-words">
                  <span>{titleOf(kind, run.values)}</span>
                  <small>
                    {[lengthWords(known[place]!), routeWords(run), whoWords(run)].filter(Boolean).join(' · ')}
                  </small>
                </span>
                <ProgressSide progress={progress} />
              </a>
            </li>
          );
        })}
      </ul>
      {runs.length > 1 && total > 0 && (
        <p>
          <b>{lengthWords({ known_m: total, without, stretches: 1 })}</b> in all.
        </p>
      )}
      <button type="button" class="button" onClick={() => start({})}>
        {more}
      </button>
    </section>
  );
}

function expectedWords(kind: string, expected: Expectation): string {
  const purpose = expected.where['purpose'];
  return typeof purpose === 'string' ? choiceLabel(fieldOf(kind, 'purpose'), purpose) : expected.words;
}

function routeWords(run: SurveyRecord): string {
  const [start, end] = [run.values['start'], run.values['end']];
  if (typeof start === 'string' && typeof end === 'string') return `${start} to ${end}`;
  return '';
}

function whoWords(run: SurveyRecord): string {
  if (run.kind !== 'cable_run') return '';
  const who = run.values['run_by'];
  if (run.values['is_there'] === true) return 'already there';
  if (who === 'nobody') return 'nobody runs it yet';
  return typeof who === 'string' ? choiceLabel(fieldOf('cable_run', 'run_by'), who) : 'nobody named yet';
}
