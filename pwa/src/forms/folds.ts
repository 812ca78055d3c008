/**
 * Which groups of a form stand open, and what is said of one that is folded.
 *
 * A folded group is not drawn at all. So none folds while it has what a person must not lose sight of: a text that is not stored, an
 * answer that the office refused, two people's answers.
 */
import { valueWords } from '../domain/check.ts';
import { pathOf } from '../domain/changes.ts';
import { isEmpty, type Field, type Value } from '../domain/model.ts';
import type { SurveyRecord } from '../domain/survey.ts';
import type { OpenSurvey } from '../store/live.ts';
import { hasDraft } from './drafts.ts';
import { noneUnderWay } from './line.ts';
import { recordWords } from './names.ts';
import { allKept } from './saving.tsx';

/** A group with the fields that it asks now. */
export interface AskedGroup {
  name: string;
  label: string;
  fields: Field[];
  /** Said in its head beside its name, folded or not. */
  beside?: string | undefined;
}

/** What a form is about, as far as this hangs on it. */
export interface Asking {
  open: Pick<OpenSurvey, 'survey' | 'row' | 'refused' | 'gaps' | 'isAhead'>;
  record: SurveyRecord;
}

const addressOf = ({ open, record }: Asking, field: Field) => ({
  survey: open.survey.id,
  kind: record.kind,
  record: record.id,
  field: field.name,
});

export const isTyped = (asking: Asking, field: Field): boolean => hasDraft(pathOf(addressOf(asking, field)));

/** Whether a field has to stay in sight. */
export function isHeld(asking: Asking, field: Field): boolean {
  const path = pathOf(addressOf(asking, field));
  const { survey, row, refused } = asking.open;
  return (
    isTyped(asking, field) ||
    refused.some((item) => pathOf(item) === path) ||
    row.contested.some((item) => pathOf({ ...item, survey: survey.id }) === path)
  );
}

/** For a button that may fold: pressed, it takes the cursor from no line. */
export const staying = { onMouseDown: (event: Event) => event.preventDefault() };

/** The field that holds its group open, asked once all that was typed is stored or was not taken; `isKept` is false when something was not. */
export async function heldBy(asking: Asking, fields: readonly Field[]): Promise<{ isKept: boolean; by?: Field }> {
  // A tap that folds leaves the line that is typed into only now (`staying`), so that what is said of it moves no button under the thumb.
  const at = document.activeElement;
  if (at instanceof HTMLElement && at.closest('.field')) at.blur();
  const [isKept] = await Promise.all([allKept(), noneUnderWay()]);
  return {
    isKept,
    by: fields.find((field) => isTyped(asking, field)) ?? fields.find((field) => isHeld(asking, field)),
  };
}

/** How many answers of a group are missing that something hangs on. Gaps are looked for a moment after the form stands. */
export const missingIn = ({ open, record }: Asking, fields: readonly Field[]): number =>
  fields.filter(
    (field) =>
      isEmpty(record.values[field.name]) &&
      (open.isAhead
        ? field.needed_for && field.default === undefined
        : open.gaps.some((gap) => gap.record === record.id && gap.field === field.name)),
  ).length;

const answeredIn = ({ record }: Asking, fields: readonly Field[]): Field[] =>
  fields.filter((field) => !isEmpty(record.values[field.name]));

/** The groups that stand open when a form comes: what has to be seen, else the first that wants something, else the first without an answer. */
export function openAtFirst(asking: Asking, groups: readonly AskedGroup[], focus: string | null = null): AskedGroup[] {
  const seen = groups.filter(({ fields }) => fields.some((field) => field.name === focus || isHeld(asking, field)));
  if (seen.length > 0) return seen;
  const first =
    groups.find(({ fields }) => missingIn(asking, fields) > 0) ??
    groups.find(({ fields }) => answeredIn(asking, fields).length === 0);
  return first ? [first] : [];
}

/** The answers of a group in short. */
export const saidOf = (asking: Asking, fields: readonly Field[]): string =>
  answeredIn(asking, fields)
    .map((field) => answerWords(asking, field, asking.record.values[field.name]))
    .join(' · ');

/** An answer in a line with others: what says by itself what it is, or with its words before it. */
function answerWords({ open }: Asking, field: Field, value: Value | undefined): string {
  const named = (field.refers_to ?? []).map((kind) => open.survey.find(kind, value)).find(Boolean);
  const words = named ? recordWords(open.survey, named) : valueWords(field, value);
  return ['choice', 'text', 'long_text', 'rows'].includes(field.type) ? words : `${field.label} ${words}`;
}
