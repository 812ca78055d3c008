/** How far each stage of the walk is, and each record in a list: a word and a shape. */
import { recordOf, type Answer, type Finding } from './assessment.ts';
import { isOfOffice, type Gap } from './gaps.ts';
import { kindOf, model } from './model.ts';
import type { Survey } from './survey.ts';

/** What is known of a survey at one moment: what is missing, and what was worked out. */
export interface Looked {
  gaps: readonly Gap[];
  assessment: Answer | null;
  /** True when what was worked out is of the survey as it is stored now. */
  isCurrent?: boolean;
}

/** What is open, by number: `stops` stop the job, `checks` wait for a person, `gaps` are missing. */
export interface OpenCounts {
  stops: number;
  checks: number;
  gaps: number;
}

/**
 * `no_gaps` is not complete: nothing is missing, and nobody has looked yet at what stands there now. `open` is not either: nothing is
 * missing there, and a room does not close by what is missing elsewhere, such as the U-value of its walls.
 */
export type Progress =
  | { state: 'not_started' | 'no_gaps' | 'complete' }
  | { state: 'open'; words: string }
  | ({ state: 'stop' | 'check' | 'gaps' } & OpenCounts);

const stageOrder = new Map(model.stages.map((stage, place) => [stage.name, place]));

/** The stage at which what a finding speaks of is met; null where its record says nothing of a stage. */
export function stageOfFinding(finding: Finding): string | null {
  return model.kinds[recordOf(finding)?.kind ?? '']?.stage ?? null;
}

/** The findings of one severity in the order of the walk. */
export function inWalkOrder(findings: readonly Finding[], severity: 'stop' | 'check'): Finding[] {
  const place = (finding: Finding) => stageOrder.get(stageOfFinding(finding) ?? '') ?? stageOrder.size;
  return findings.filter((finding) => finding.severity === severity).sort((one, other) => place(one) - place(other));
}

export const findingsOf = (looked: Looked): readonly Finding[] => looked.assessment?.assessment.findings ?? [];

/** @param soFar what the engine says of rooms that do not close, where they are looked at */
function progressWith(
  looked: Looked,
  gaps: readonly Gap[],
  findings: readonly Finding[],
  soFar: string | undefined,
): Progress {
  const counts = {
    stops: findings.filter((finding) => finding.severity === 'stop').length,
    checks: findings.filter((finding) => finding.severity === 'check').length,
    gaps: gaps.length,
  };
  if (counts.stops > 0) return { state: 'stop', ...counts };
  if (counts.checks > 0) return { state: 'check', ...counts };
  if (counts.gaps > 0) return { state: 'gaps', ...counts };
  if (soFar) return { state: 'open', words: soFar };
  return { state: looked.isCurrent ? 'complete' : 'no_gaps' };
}

/** What can be answered in the house and is not; what only the office can answer keeps nobody there. */
export const gapsOnSite = (looked: Pick<Looked, 'gaps'>): Gap[] => looked.gaps.filter((gap) => !isOfOffice(gap));

/** All that is open in the house: what `Before you leave` is about. */
export const progressOfAll = (looked: Looked): Progress =>
  progressWith(looked, gapsOnSite(looked), findingsOf(looked), looked.assessment?.assessment.building.so_far);

export function progressOf(stage: string, survey: Survey, looked: Looked): Progress {
  if (stage === 'leaving') return progressOfAll(looked);
  const here = progressWith(
    looked,
    looked.gaps.filter((gap) => gap.stage === stage),
    findingsOf(looked).filter((finding) => stageOfFinding(finding) === stage),
    stage === kindOf('room').stage ? looked.assessment?.assessment.building.so_far : undefined,
  );
  if (here.state === 'stop' || here.state === 'check') return here;
  const kinds = Object.values(model.kinds).filter((kind) => kind.stage === stage && kind.opens_the_walk);
  // What the firm lends to every survey, such as its units, shows nobody's work.
  const isBegun = kinds.some((kind) => survey.ofKind(kind.name).some((record) => !survey.isLent(record)));
  if (!isBegun) return { state: 'not_started' };
  const isWithoutPrice = stage === kindOf('price_line').stage && survey.ofKind('price_line').length === 0;
  return isWithoutPrice && here.state !== 'gaps' ? { state: 'open', words: 'no price yet' } : here;
}

/** How far some records are together, such as a room with its surfaces and emitters. */
export function progressOfRecords(looked: Looked, ids: ReadonlySet<string>): Progress {
  return progressWith(
    looked,
    gapsOnSite(looked).filter((gap) => ids.has(gap.record ?? '') || ids.has(gap.parent ?? '')),
    findingsOf(looked).filter((finding) => ids.has(recordOf(finding)?.id ?? '')),
    looked.assessment?.assessment.rooms.find((room) => room.so_far && ids.has(room.id))?.so_far,
  );
}

export const stopWords = (count: number): string =>
  count === 1 ? '1 thing stops the job' : `${count} things stop the job`;
export const checkWords = (count: number): string => (count === 1 ? '1 thing to check' : `${count} things to check`);
export const gapWords = (count: number): string => (count === 1 ? '1 gap' : `${count} gaps`);

/** What is open, the weightiest first. */
export function openWords({ stops, checks, gaps }: OpenCounts): string[] {
  return [
    ...(stops > 0 ? [stopWords(stops)] : []),
    ...(checks > 0 ? [checkWords(checks)] : []),
    ...(gaps > 0 ? [gapWords(gaps)] : []),
  ];
}

/** The word for a state, and what else there is to say of it. */
export function progressWords(progress: Progress): { words: string; more: string } {
  switch (progress.state) {
    case 'not_started':
      return { words: 'Not started', more: '' };
    case 'complete':
      return { words: 'Complete', more: '' };
    case 'open':
      return { words: progress.words[0]!.toUpperCase() + progress.words.slice(1), more: '' };
    case 'no_gaps':
      return { words: 'No gaps', more: 'not checked yet' };
  }
  const [words = '', ...more] = openWords(progress);
  return { words, more: more.join(', ') };
}
