/** What the office answers of what was surveyed: methods, makers' papers and decisions, all in one place. */
import { isAsked, isEmpty, kindOf, kindsHeldBy, withDefaults, type Field, type Kind } from '../../domain/model.ts';
import { isOfOffice, OFFICE_STAGE } from '../../domain/gaps.ts';
import { singleId } from '../../domain/ids.ts';
import type { SurveyRecord } from '../../domain/survey.ts';
import { recordWords } from '../../forms/names.ts';
import { RecordForm } from '../../forms/RecordForm.tsx';
import type { OpenSurvey } from '../../store/live.ts';
import { recordLink } from '../../ui/router.ts';

const isOurs = (field: Field): boolean => field.answered === 'office' && !field.by_program;

/** The kinds of the walk of which something is answered at the office. */
const KINDS = kindsHeldBy('survey').filter((kind) => kind.stage !== OFFICE_STAGE && kind.fields.some(isOurs));

/**
 * The office's question of a record that one is led to: one that is missing, else the first that applies to it, else one that was answered
 * and applies no more: its form shows that too, so that it can be cleared.
 */
function questionOf(open: OpenSurvey, record: SurveyRecord): string | undefined {
  const kind = kindOf(record.kind);
  const values = withDefaults(kind, record.values);
  return (
    open.gaps.find((gap) => gap.record === record.id && isOfOffice(gap))?.field ??
    kind.fields.find((field) => isOurs(field) && isAsked(field, values) && !field.empty_means)?.name ??
    kind.fields.find((field) => isOurs(field) && !isEmpty(record.values[field.name]))?.name
  );
}

export function Methods({ open }: { open: OpenSurvey }) {
  const { survey } = open;
  return (
    <>
      <p>What nobody has to look at in the house. The rest of each record is on the walk.</p>
      {KINDS.filter((kind) => kind.single).map((kind) => {
        const record: SurveyRecord = survey.single(kind.name) ?? {
          kind: kind.name,
          id: singleId(survey.id, kind.name),
          values: {},
        };
        return (
          <section key={kind.name} class="office-stack" aria-label={kind.label}>
            <h3>{kind.label}</h3>
            <RecordForm open={open} record={record} answered="office" />
          </section>
        );
      })}
      {KINDS.filter((kind) => !kind.single).map((kind) => (
        <EachOf key={kind.name} open={open} kind={kind} />
      ))}
    </>
  );
}

/** Records that there are several of: each with its own questions behind its name. */
function EachOf({ open, kind }: { open: OpenSurvey; kind: Kind }) {
  const ways = open.survey.ofKind(kind.name).flatMap((record) => {
    const question = questionOf(open, record);
    return question ? [{ record, question }] : [];
  });
  if (ways.length === 0) return null;
  return (
    <section class="office-stack" aria-label={kind.plural}>
      <h3>{kind.plural}</h3>
      <ul class="list">
        {ways.map(({ record, question }) => (
          <li key={record.id}>
            <a class="row" href={recordLink(open.survey.id, kind.name, record.id, question)}>
              <span class="row-words">
                <span>{recordWords(open.survey, record)}</span>
              </span>
            </a>
          </li>
        ))}
      </ul>
    </section>
  );
}
