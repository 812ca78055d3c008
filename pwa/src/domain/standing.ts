/**
 * Which unit stands at a place: the one rule that the screens ask while the engine is not there.
 *
 * The twin of `survey/standing.py`: at the first place written down stands the unit that the design has chosen, and while it has chosen
 * none the one that the place names; at any other place the one that the place names, or else the chosen one.
 */
import type { Survey, SurveyRecord } from './survey.ts';

export function chosenUnit<R extends SurveyRecord>(survey: Survey<R>): R | undefined {
  return survey.find('unit', survey.single('design')?.values['unit']);
}

export function unitAt<R extends SurveyRecord>(survey: Survey<R>, position: R | undefined): R | undefined {
  if (!position) return undefined;
  const [chosen, own] = [chosenUnit(survey), survey.find('unit', position.values['unit'])];
  return survey.ofKind('outdoor_position')[0]?.id === position.id ? (chosen ?? own) : (own ?? chosen);
}
