/** How far each stage of the walk is: a word and a shape. */
import type { Gap } from './gaps.ts';
import { model } from './model.ts';
import type { Survey } from './survey.ts';

export type Progress = { state: 'not_started' } | { state: 'gaps'; count: number } | { state: 'complete' };

export function progressOf(stage: string, survey: Survey, gaps: readonly Gap[]): Progress {
  if (stage === 'leaving') return gaps.length > 0 ? { state: 'gaps', count: gaps.length } : { state: 'complete' };
  const kinds = Object.values(model.kinds).filter((kind) => kind.stage === stage && kind.opens_the_walk);
  if (kinds.every((kind) => survey.ofKind(kind.name).length === 0)) return { state: 'not_started' };
  const count = gaps.filter((gap) => gap.stage === stage).length;
  return count > 0 ? { state: 'gaps', count } : { state: 'complete' };
}

export function progressWords(progress: Progress): string {
  if (progress.state === 'not_started') return 'Not started';
  if (progress.state === 'complete') return 'Complete';
  return progress.count === 1 ? '1 gap' : `${progress.count} gaps`;
}
