/** What the office found about some records, with when, and whether anything has changed since. */
import { momentWords } from '../../domain/words.ts';
import type { SurveyRecord } from '../../domain/survey.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { Findings } from '../results/Findings.tsx';

export function FromTheOffice({ open, records }: { open: OpenSurvey; records: readonly SurveyRecord[] }) {
  const kept = open.assessment;
  if (!kept) return <p class="field-notes">Findings are worked out at the office and come here after the next exchange.</p>;
  const keys = new Set(records.map((record) => `${record.kind}/${record.id}`));
  const findings = kept.assessment.findings.filter((finding) => keys.has(finding.record));
  return (
    <section aria-label="From the office">
      <h2 class="outside-title">{findings.length === 0 ? 'No findings from the office' : 'From the office'}</h2>
      <p class="field-notes outside-note">Worked out at the office {momentWords(kept.fetched_at)}{open.changedSince ? '; changed since, so it may no longer hold.' : '.'}</p>
      {findings.length > 0 && <Findings open={open} findings={findings} />}
    </section>
  );
}
