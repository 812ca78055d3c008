/** Options over a survey: what each says, and the edits that say it. The twin of `survey/options.py` for the screens; the figures are Python's. */
import { singleId } from './ids.ts';
import { kindOf, type Field, type Value, type Values } from './model.ts';
import type { Edit, Survey, SurveyRecord } from './survey.ts';

/** What an option says of one record: its values over the survey's, null where it clears one. */
export function saidBy(survey: Survey, option: string, kind: string, id: string): Values {
  const said: Values = {};
  for (const item of survey.linked('option_value', 'option', option)) {
    const { of, field, value } = item.values;
    if (of !== `${kind}/${id}` || typeof field !== 'string' || typeof value !== 'string') continue;
    try {
      said[field] = JSON.parse(value) as Value;
    } catch {
      // What cannot be read counts for nothing, and the engine says so.
    }
  }
  return said;
}

/** A record as an option has it. */
export function underOption(survey: Survey, option: string, record: SurveyRecord): SurveyRecord {
  const values = { ...record.values };
  for (const [name, value] of Object.entries(saidBy(survey, option, record.kind, record.id))) {
    if (value === null) delete values[name];
    else values[name] = value;
  }
  return { ...record, values };
}

/** The design of a survey, empty while the office has chosen nothing. */
export const designOf = (survey: Survey): SurveyRecord =>
  survey.single('design') ?? { kind: 'design', id: singleId(survey.id, 'design'), values: {} };

/** Answers that an option may have otherwise: lists are the survey's own, and so is what no copy takes. */
export const mayDiffer = (field: Field): boolean => field.type !== 'rows' && !field.is_its_own && !field.by_program;

/** The id of what an option says of one field: the same on every device, so that two of them meet in one record. */
export async function idOfValue(option: string, record: string, field: string): Promise<string> {
  const bytes = new TextEncoder().encode(`${option}/${record}/${field}`);
  const digest = await crypto.subtle.digest('SHA-256', bytes);
  const letters = [...new Uint8Array(digest)].map((byte) => byte.toString(16).padStart(2, '0')).join('');
  return `value-${letters.slice(0, 40)}`;
}

const same = (one: Value | undefined, other: Value | undefined): boolean =>
  JSON.stringify(one ?? null) === JSON.stringify(other ?? null);

/** The edit that lets an option have one answer of a record; what the survey itself says needs none, so it is taken away again. */
export async function optionEdit(
  option: string,
  record: SurveyRecord,
  field: string,
  value: Value,
  words: string,
): Promise<Edit> {
  const of = `${record.kind}/${record.id}`;
  const id = await idOfValue(option, of, field);
  const values: Values = same(record.values[field], value)
    ? { deleted: true }
    : { deleted: false, option, of, field, value: JSON.stringify(value), words: words.slice(0, 200) };
  return { kind: 'option_value', id, values };
}

/** Records of one kind that an option makes of its own and the survey does not have, in the order in which they were said. */
export function ownOf(survey: Survey, option: string, kind: string): SurveyRecord[] {
  const found = new Map<string, SurveyRecord>();
  for (const item of survey.linked('option_value', 'option', option)) {
    const [of, id] = String(item.values['of']).split('/');
    if (of !== kind || !id || item.values['field'] !== 'deleted' || found.has(id) || survey.find(kind, id)) continue;
    const { deleted, ...said } = saidBy(survey, option, kind, id);
    if (deleted !== false) continue;
    const values = Object.fromEntries(Object.entries(said).filter(([, value]) => value !== null));
    found.set(id, { kind, id, values });
  }
  return [...found.values()];
}

/** The edits that let one option have a record which the survey does not have. */
export async function ownEdits(option: string, record: SurveyRecord, words: string): Promise<Edit[]> {
  const nothing = { ...record, values: {} };
  return Promise.all(
    Object.entries({ deleted: false, ...record.values }).map(([field, value]) =>
      optionEdit(option, nothing, field, value, words),
    ),
  );
}

/** The edits that take away what an option says of a record (`kind/id`): of one answer, or all of it. */
export const unsaid = (survey: Survey, option: string, of: string, field?: string): Edit[] =>
  survey
    .linked('option_value', 'option', option)
    .filter((item) => item.values['of'] === of && (field === undefined || item.values['field'] === field))
    .map((item) => ({ kind: 'option_value', id: item.id, values: { deleted: true } }));

/** The edits that make an option as another one is, under its own id. */
export async function copyOf(survey: Survey, from: string, to: string): Promise<Edit[]> {
  return Promise.all(
    survey.linked('option_value', 'option', from).map(async ({ values: { deleted: _deleted, ...values } }) => ({
      kind: 'option_value',
      id: await idOfValue(to, String(values['of']), String(values['field'])),
      values: { ...values, option: to },
    })),
  );
}

/** `A`, then `B`: the first letter that no option is called by. */
export function nextName(survey: Survey): string {
  const taken = new Set(survey.ofKind('option').map((item) => item.values['name']));
  const letters = [...'ABCDEFGHIJKLMNOPQRSTUVWXYZ'];
  return letters.find((letter) => !taken.has(letter)) ?? `Option ${taken.size + 1}`;
}

/** Fields of a kind that an option may have otherwise and that some group asks. */
export const fieldsInOptions = (kind: string, groups?: readonly string[]): string[] =>
  kindOf(kind)
    .fields.filter((field) => mayDiffer(field) && (!groups || groups.includes(field.group)))
    .map((field) => field.name);
