/**
 * What is still missing from a survey, and what is spoilt by it.
 *
 * The twin of `survey/gaps.py`: golden files under `tests/golden/gaps` hold both to the same answers.
 */
import {
  fieldOf,
  isAsked,
  isEmpty,
  kindOf,
  model,
  titleOf,
  withDefaults,
  type AskedBy,
  type Expectation,
  type Field,
  type Kind,
  type Scalar,
  type Values,
} from './model.ts';
import { SIDE_WORDS } from './box.ts';
import { holesByRoom } from './sides.ts';
import { isFollowed } from './sizes.ts';
import { grouped, type Survey } from './survey.ts';

/** The stage that is walked at a desk. */
export const OFFICE_STAGE = 'office';
export const isOfOffice = (gap: Gap): boolean => gap.stage === OFFICE_STAGE;

export interface Gap {
  stage: string;
  kind: string;
  record: string | null;
  field: string | null;
  parent: string | null;
  purpose: string;
  words: string;
  spoils: string;
  /** What is missing: a `record`, an `answer`, or what keeps a room from closing, then with its side. An older office does not say. */
  code?: string;
  side?: string | null;
}

function matches(values: Values, where: Record<string, Scalar>): boolean {
  return Object.entries(where).every(([name, wanted]) => values[name] === wanted);
}

function isReplaced(kind: string, field: string, values: Values): boolean {
  const others = model.replaced_by[kind]?.[field] ?? [];
  return others.some((other) => values[other] !== undefined && values[other] !== null);
}

/** The stage at which a missing answer is a gap: the office's for what is answered there, whatever record it belongs to. */
const stageOf = (kind: Kind, field: Field): string => (field.answered === 'office' ? OFFICE_STAGE : kind.stage);

function missingFields(survey: Survey): Gap[] {
  const gaps: Gap[] = [];
  for (const record of survey.all()) {
    // What the firm's list does not say is asked in the list, once for every survey.
    if (record.values['firm_list']) continue;
    const kind = kindOf(record.kind);
    const values = withDefaults(kind, record.values);
    const room = kind.name === 'surface' ? survey.find('room', values['room']) : undefined;
    for (const field of kind.fields) {
      if (!field.needed_for || !isEmpty(values[field.name])) continue;
      const purpose = field.needed_for[0];
      if (!purpose || !isAsked(field, values)) continue;
      if (isReplaced(kind.name, field.name, values)) continue;
      if (room && isFollowed(field.name, values, room.values)) continue;
      gaps.push({
        stage: stageOf(kind, field),
        kind: kind.name,
        record: record.id,
        field: field.name,
        parent: null,
        purpose,
        // What a survey has once is known by its kind: the household's whole address in each gap would hide what is asked.
        words: `${kind.single ? kind.label : titleOf(kind, values)}: ${field.label}`,
        spoils: field.spoils || (model.purposes[purpose]?.spoils ?? ''),
        code: 'answer',
        side: null,
      });
    }
  }
  return gaps;
}

/** Whether something is expected of a record with these values, defaults filled in. */
export const isExpectedOf = (expected: Expectation, values: Values): boolean => isAmong(values, expected.per_where);

function missingRecords(survey: Survey, expected: Expectation): Gap[] {
  const kind = kindOf(expected.kind);
  const all = survey.ofKind(expected.kind);
  const found =
    Object.keys(expected.where).length === 0
      ? all
      : all.filter((record) => matches(withDefaults(kind, record.values), expected.where));
  const gap = (parent: string | null, words: string): Gap => ({
    stage: kind.stage,
    kind: kind.name,
    record: null,
    field: null,
    parent,
    purpose: expected.purpose,
    words,
    spoils: expected.spoils,
    code: 'record',
    side: null,
  });
  if (expected.per === null) return found.length >= expected.at_least ? [] : [gap(null, expected.words)];
  const owners = kindOf(expected.per);
  const gaps: Gap[] = [];
  const byLink = grouped(found, expected.link ?? kind.parent ?? '');
  for (const owner of survey.ofKind(expected.per)) {
    const values = withDefaults(owners, owner.values);
    if (!isExpectedOf(expected, values)) continue;
    if ((byLink.get(owner.id)?.length ?? 0) < expected.at_least)
      gaps.push(gap(owner.id, `${titleOf(owners, values)}: ${expected.words}`));
  }
  return gaps;
}

function isAmong(values: Values, where: Record<string, Scalar[]>): boolean {
  return Object.entries(where).every(([name, allowed]) => {
    const value = values[name] ?? null;
    return !Array.isArray(value) && allowed.includes(value);
  });
}

function askedFields(survey: Survey, asked: AskedBy): Gap[] {
  const asking = new Set<unknown>();
  for (const record of survey.ofKind(asked.by)) {
    const values = withDefaults(kindOf(asked.by), record.values);
    if (isAmong(values, asked.where) && asked.unless.every((name) => (values[name] ?? null) === null))
      asking.add(record.id);
  }
  if (asking.size === 0) return [];
  const kind = kindOf(asked.kind);
  const field = fieldOf(asked.kind, asked.field);
  return survey
    .ofKind(asked.kind)
    .filter(
      (record) =>
        (record.values[asked.field] ?? null) === null &&
        isAsked(field, withDefaults(kind, record.values)) &&
        (asked.link === null || asking.has(record.values[asked.link])),
    )
    .map((record) => ({
      stage: stageOf(kind, field),
      kind: kind.name,
      record: record.id,
      field: asked.field,
      parent: null,
      purpose: asked.purpose,
      words: `${titleOf(kind, withDefaults(kind, record.values))}: ${field.label}`,
      spoils: asked.spoils,
      code: 'answer',
      side: null,
    }));
}

/** What keeps each room from closing. */
function holes(survey: Survey): Gap[] {
  const { edge, words } = model.closing;
  const kind = kindOf('room');
  return [...holesByRoom(survey)].flatMap(([id, found]) =>
    found.map(({ code, side }) => ({
      stage: kind.stage,
      kind: kind.name,
      record: id,
      field: code === 'edge_not_said' ? edge : null,
      parent: null,
      purpose: 'heat_loss',
      words: `${titleOf(kind, survey.find('room', id)!.values)}: ${side ? `${SIDE_WORDS[side]}, ` : ''}${words[code]!.words}`,
      spoils: words[code]!.spoils,
      code,
      side,
    })),
  );
}

/** Every gap in the order of the walk: by stage, missing records before missing answers. */
export function findGaps(survey: Survey): Gap[] {
  const order = new Map(model.stages.map((stage, place) => [stage.name, place]));
  const gaps = model.expectations
    .filter((expected) => !expected.is_wish)
    .flatMap((expected) => missingRecords(survey, expected));
  gaps.push(...missingFields(survey), ...holes(survey));
  // Two reasons to ask for an answer are one gap.
  const told = new Set<string>();
  for (const gap of model.asked_by.flatMap((asked) => askedFields(survey, asked))) {
    const key = JSON.stringify([gap.kind, gap.record, gap.field]);
    if (!told.has(key)) gaps.push(gap);
    told.add(key);
  }
  return gaps.sort((a, b) => order.get(a.stage)! - order.get(b.stage)!);
}
