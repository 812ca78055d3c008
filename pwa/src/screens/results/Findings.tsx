/** Findings: how serious by word and shape, what to do, and the way to the record. */
import { heldTogether } from '../../domain/check.ts';
import { SEVERITY_WORDS } from '../../generated/answers.ts';
import { recordOf, type Finding, type Severity } from '../../domain/assessment.ts';
import { singleId } from '../../domain/ids.ts';
import { model } from '../../domain/model.ts';
import { wordsFor } from '../../forms/names.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { fromList, leaveRow } from '../../ui/lists.ts';
import { recordLink, stageLink } from '../../ui/router.ts';
import { SeverityShape } from '../../ui/shapes.tsx';

const ORDER: Severity[] = ['stop', 'check', 'note'];

/** The way to what a finding speaks of: its record, else the stage where such records are met; null where it names none. */
export function findingLink(open: OpenSurvey, finding: Finding): string | null {
  const target = recordOf(finding);
  const kind = model.kinds[target?.kind ?? ''];
  if (!target || !kind) return null;
  const { survey } = open;
  const found = kind.single ? survey.single(kind.name) : survey.find(kind.name, target.id);
  if (found) return recordLink(survey.id, kind.name, found.id, finding.field);
  return kind.single
    ? recordLink(survey.id, kind.name, singleId(survey.id, kind.name), finding.field)
    : stageLink(survey.id, kind.stage);
}

interface FindingsProps {
  open: OpenSurvey;
  findings: readonly Finding[];
  /** Leave out where it is written: on site only what to do counts. */
  isBrief?: boolean;
  /** The list that they are shown in, which the arrow leads back to. */
  from?: 'leaving' | 'results';
}

export function Findings({ open, findings, isBrief, from }: FindingsProps) {
  const sorted = [...findings].sort((a, b) => ORDER.indexOf(a.severity) - ORDER.indexOf(b.severity));
  return (
    <ul class="findings">
      {sorted.map((finding, place) => {
        const target = recordOf(finding);
        const isThere = target && open.survey.find(target.kind, target.id);
        const way = findingLink(open, finding);
        const inside = (
          <>
            <SeverityShape severity={finding.severity} />
            <div class="finding-words">
              <p>
                <span class="finding-kind">{SEVERITY_WORDS[finding.severity]}</span>
                {isThere ? ` · ${wordsFor(open.survey, target.kind, target.id)}` : ''}
              </p>
              <p>{heldTogether(finding.message)}</p>
              {finding.remedy && (
                <p>
                  <b>To do:</b> {heldTogether(finding.remedy)}
                </p>
              )}
              {finding.source && !isBrief && (
                <p>
                  <small>{finding.source}</small>
                </p>
              )}
            </div>
          </>
        );
        const name = `finding finding-${finding.severity}`;
        return (
          <li key={`${finding.code}/${finding.record}/${place}`}>
            {way ? (
              <a class={name} href={from ? fromList(way, from) : way} onClick={from && leaveRow}>
                {inside}
              </a>
            ) : (
              <div class={name}>{inside}</div>
            )}
          </li>
        );
      })}
    </ul>
  );
}
