/** Any record that has no screen of its own: its form, what belongs to it, and taking it away. */
import { surfaceUValueWords, uValueWords } from '../domain/assessment.ts';
import { DEMO } from '../domain/demo.ts';
import { OFFICE_STAGE } from '../domain/gaps.ts';
import { kindOf, model, ownerKindOf, titleOf, type Choice, type Field } from '../domain/model.ts';
import { looksFor, readyFor, servesFor, waysFor } from '../domain/fast_start.ts';
import type { SurveyRecord } from '../domain/survey.ts';
import { ForOffice, RecordForm } from '../forms/RecordForm.tsx';
import { takeAway } from '../forms/taking.ts';
import type { OpenSurvey } from '../store/live.ts';
import { Confirm } from '../ui/Confirm.tsx';
import { later } from '../ui/later.tsx';
import { Page } from '../ui/Page.tsx';
import type { WhereHereProps } from './building/WhereHere.tsx';
import { fromRecord } from '../ui/lists.ts';
import { historyLink, recordLink, replaceWith, stageLink } from '../ui/router.ts';
import { FindingsHere } from './results/FindingsHere.tsx';
import { PhotoStrip } from './photos/PhotoStrip.tsx';
import { KindSection } from './Stage.tsx';

const WhereHere = later<WhereHereProps>(async () => (await import('./building/WhereHere.tsx')).WhereHere);

/** The group of the household's form that asks for weather station and nation. */
const PLACE = 'place';

/** Where one comes back to from a record: the record it belongs to, else its stage. */
export function backFrom(open: OpenSurvey, record: SurveyRecord): string {
  const kind = kindOf(record.kind);
  const target = ownerKindOf(kind);
  const parent = target && kind.parent ? open.survey.find(target, record.values[kind.parent]) : undefined;
  return parent ? recordLink(open.survey.id, parent.kind, parent.id) : stageLink(open.survey.id, kind.stage);
}

export function RecordScreen({
  open,
  record,
  query,
}: {
  open: OpenSurvey;
  record: SurveyRecord;
  query: URLSearchParams;
}) {
  const kind = kindOf(record.kind);
  const back = backFrom(open, record);
  const isAtDesk = kind.stage === OFFICE_STAGE;
  const children = Object.values(model.kinds).filter(
    (item) => item.stage === kind.stage && ownerKindOf(item) === kind.name,
  );
  const ofU =
    record.kind === 'construction'
      ? uValueWords(open.assessment, record.id)
      : record.kind === 'surface'
        ? surfaceUValueWords(open.assessment, record.id, String(record.values['construction']))
        : '';
  const choicesFor = (field: Field) => {
    const element = record.values['element'];
    if (record.kind !== 'construction' || typeof element !== 'string') return undefined;
    const narrowed: Record<string, (element: string) => Choice[]> = {
      known_by: waysFor,
      look: looksFor,
      ready: readyFor,
      serves: servesFor,
    };
    return narrowed[field.name]?.(element);
  };
  return (
    <Page title={titleOf(kind, record.values)} over={kind.label} back={back} backWords={kind.plural.toLowerCase()}>
      {kind.help && <p>{kind.help}</p>}
      <RecordForm
        open={open}
        record={record}
        focus={query.get('field')}
        choicesFor={choicesFor}
        answered={isAtDesk ? 'both' : 'site'}
        folds
        within={(group, questions) => [
          record.kind === 'survey' && group === PLACE && !open.isAhead && <WhereHere open={open} record={record} />,
          questions,
        ]}
      />
      {!open.isAhead && (
        <>
          {ofU && <p class="u-value">{ofU}</p>}
          {!isAtDesk && <ForOffice open={open} record={record} focus={query.get('field')} choicesFor={choicesFor} />}
          {children.map((child) => (
            <KindSection key={child.name} open={open} kind={child} parent={record.id} />
          ))}
          <PhotoStrip open={open} record={record} />
          {kind.is_judged && <FindingsHere open={open} records={[record]} />}
          <ItsHistory open={open} record={record} />
          <RemoveButton open={open} record={record} back={back} />
        </>
      )}
    </Page>
  );
}

/** What was changed of a record and of what belongs to it, as the office has it; of the demo house it has no such page. */
export function ItsHistory({ open, record }: { open: OpenSurvey; record: SurveyRecord }) {
  if (open.survey.id === DEMO || open.row.cursor === 0) return null;
  return (
    <p>
      <a class="more" href={fromRecord(historyLink(open.survey.id, record.id), record)}>
        What it was before
      </a>
    </p>
  );
}

export function RemoveButton({ open, record, back }: { open: OpenSurvey; record: SurveyRecord; back: string }) {
  const kind = kindOf(record.kind);
  if (kind.single) return null;
  const remove = async () => {
    if (await takeAway(open.survey, record.kind, record.id)) replaceWith(back);
  };
  return (
    <Confirm
      words={`Take away this ${kind.label.toLowerCase()}`}
      question={`Take away ${titleOf(kind, record.values)} and all that belongs to it?`}
      yes="Take it away"
      onYes={() => void remove()}
    />
  );
}
