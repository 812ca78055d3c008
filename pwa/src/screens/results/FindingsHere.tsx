/** What the engine found about some records, here or at the office, and whether anything has changed since. */
import { workedOutWords } from '../../domain/assessment.ts';
import type { SurveyRecord } from '../../domain/survey.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { resultsToCome } from './come.ts';
import { Findings } from './Findings.tsx';

export function FindingsHere({ open, records }: { open: OpenSurvey; records: readonly SurveyRecord[] }) {
  const kept = open.assessment;
  if (!kept) return <p class="field-notes">{resultsToCome()}</p>;
  const keys = new Set(records.map((record) => `${record.kind}/${record.id}`));
  const findings = kept.assessment.findings.filter((finding) => keys.has(finding.record));
  return (
    <section aria-label="Findings">
      <h2 class="outside-title">{findings.length === 0 ? 'No findings' : 'Findings here'}</h2>
      <p class="field-notes outside-note">{workedOutWords(open, true)}</p>
      {findings.length > 0 && <Findings open={open} findings={findings} />}
    </section>
  );
}
