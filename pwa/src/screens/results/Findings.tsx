/** Findings: how serious by word and shape, what to do, and the way to the record. */
import { SEVERITY_WORDS } from '../../generated/answers.ts';
import { recordOf, type Finding, type Severity } from '../../domain/assessment.ts';
import { wordsFor } from '../../forms/names.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { recordLink } from '../../ui/router.ts';
import { SeverityShape } from '../../ui/shapes.tsx';

const ORDER: Severity[] = ['stop', 'check', 'note'];

export function Findings({ open, findings }: { open: OpenSurvey; findings: readonly Finding[] }) {
  const sorted = [...findings].sort((a, b) => ORDER.indexOf(a.severity) - ORDER.indexOf(b.severity));
  return (
    <ul class="findings">
      {sorted.map((finding, place) => {
        const target = recordOf(finding);
        const isThere = target && open.survey.find(target.kind, target.id);
        const inside = (
          <>
            <SeverityShape severity={finding.severity} />
            <div class="finding-words">
              <p>
                <span class="finding-kind">{SEVERITY_WORDS[finding.severity]}</span>
                {isThere ? ` · ${wordsFor(open.survey, target.kind, target.id)}` : ''}
              </p>
              <p>{finding.message}</p>
              {finding.remedy && (
                <p>
                  <b>To do:</b> {finding.remedy}
                </p>
              )}
              {finding.source && (
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
            {isThere ? (
              <a class={name} href={recordLink(open.survey.id, target.kind, target.id, finding.field)}>
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
