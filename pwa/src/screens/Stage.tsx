/** A stage drawn from the model: a form for what a survey has once, a list for the rest. */
import { kindOf, kindsHeldBy, model, type Kind } from '../domain/model.ts';
import { singleId } from '../domain/ids.ts';
import { progressOfRecords } from '../domain/progress.ts';
import { recordWords } from '../forms/names.ts';
import { keep, useOneAtATime } from '../forms/saving.tsx';
import type { SurveyRecord } from '../domain/survey.ts';
import type { OpenSurvey } from '../store/live.ts';
import { newRecord, saveEdits } from '../store/surveys.ts';
import type { Values } from '../domain/model.ts';
import { Page } from '../ui/Page.tsx';
import { go, recordLink, surveyLink } from '../ui/router.ts';
import { useAsked } from './asked.ts';
import { ProgressSide } from '../ui/shapes.tsx';

export function StageScreen({ open, stage: name }: { open: OpenSurvey; stage: string }) {
  const stage = model.stages.find((item) => item.name === name)!;
  const kinds = kindsHeldBy('survey').filter((kind) => kind.stage === name);
  return (
    <Page title={stage.label} over={open.survey.name()} back={surveyLink(open.survey.id)} backWords="the walk">
      <p>{stage.help}</p>
      {kinds.map((kind) => (
        <KindSection key={kind.name} open={open} kind={kind} />
      ))}
    </Page>
  );
}

export interface KindSectionProps {
  open: OpenSurvey;
  kind: Kind;
  /** Only records whose parent is this one, and new ones get it. */
  parent?: string;
  /** First answers of a new record. */
  start?: Values;
  /** What is said of each below its name. */
  more?: (record: SurveyRecord) => string;
  /** What is said of them here, where the kind's own words stand elsewhere on the page. */
  help?: string;
}

/** The records of one kind, each a way to its form, and a button for one more. */
export function KindSection({ open, kind, parent, start, more, help = kind.help }: KindSectionProps) {
  const { survey } = open;
  if (kind.single) {
    const found = survey.single(kind.name);
    return (
      <ul class="list">
        <li>
          <a class="row" href={recordLink(survey.id, kind.name, found?.id ?? singleId(survey.id, kind.name))}>
            <span class="row-words">
              <span>{kind.label}</span>
              <small>{kind.help}</small>
            </span>
            <ProgressSide progress={found ? progressOfRecords(open, new Set([found.id])) : { state: 'not_started' }} />
          </a>
        </li>
      </ul>
    );
  }
  const records = parent ? survey.children(kind.name, parent) : survey.ofKind(kind.name);
  const box = useAsked(kind.name);
  const add = useOneAtATime(async () => {
    const values: Values = { ...start, ...(parent && kind.parent ? { [kind.parent]: parent } : {}) };
    const edit = newRecord(survey.id, kind.name, values);
    if (await keep(() => saveEdits(survey.id, [edit]))) go(recordLink(survey.id, kind.name, edit.id));
  });
  return (
    <section class="group" aria-label={kind.plural} ref={box}>
      <h2>{kind.plural}</h2>
      {help && <p class="field-notes">{help}</p>}
      {records.length > 0 && (
        <ul class="list">
          {records.map((record) => (
            <li key={record.id}>
              <a class="row" href={recordLink(survey.id, kind.name, record.id)}>
                <span class="row-words">
                  <span>{parent ? recordWords(survey, record).split(': ').pop() : recordWords(survey, record)}</span>
                  {more?.(record) && <small>{more(record)}</small>}
                </span>
                <ProgressSide progress={progressOfRecords(open, new Set([record.id]))} />
              </a>
            </li>
          ))}
        </ul>
      )}
      <button type="button" class="button" onClick={() => add()}>
        Add: {kindOf(kind.name).label.toLowerCase()}
      </button>
    </section>
  );
}
