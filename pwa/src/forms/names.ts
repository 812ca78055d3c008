/** What a person would call a record, with the record that it belongs to. */
import { kindOf, model, ownerKindOf, titleOf } from '../domain/model.ts';
import type { Survey, SurveyRecord } from '../domain/survey.ts';

export function shortWords(record: SurveyRecord): string {
  const kind = model.kinds[record.kind];
  return kind ? titleOf(kind, record.values) : record.kind;
}

export function recordWords(survey: Survey, record: SurveyRecord): string {
  const kind = kindOf(record.kind);
  const words = titleOf(kind, record.values);
  const link = kind.parent ? record.values[kind.parent] : null;
  const target = ownerKindOf(kind);
  const parent = target ? survey.find(target, link) : undefined;
  return parent ? `${shortWords(parent)}: ${words}` : words;
}

/** A record for a finding or a gap, wherever it is. */
export function wordsFor(survey: Survey, kind: string, id: string): string {
  const record = survey.find(kind, id);
  return record ? recordWords(survey, record) : (model.kinds[kind]?.label ?? kind);
}
