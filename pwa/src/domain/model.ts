/**
 * The survey model: which kinds of record there are, their fields, the stages of the walk.
 *
 * It is declared in Python and written into `generated/model.json` before every build, so nothing here
 * may name a field that a form could read from the model.
 */
import raw from '../generated/model.json';

export type Scalar = string | number | boolean | null;
export type Row = Record<string, Scalar>;
/** What a field can hold. An unknown field of a newer office is kept as it came, whatever it is. */
export type Value = Scalar | Row[];
export type Values = Record<string, Value>;

export interface Choice {
  value: string;
  label: string;
  hint: string;
}

export type FieldType =
  | 'text'
  | 'long_text'
  | 'number'
  | 'integer'
  | 'choice'
  | 'yes_no'
  | 'date'
  | 'moment'
  | 'money'
  | 'reference'
  | 'rows';

export interface Field {
  name: string;
  label: string;
  type: FieldType;
  group: string;
  unit?: string;
  low?: number;
  high?: number;
  decimals?: number;
  default?: Scalar;
  help?: string;
  spoils?: string;
  default_from?: string;
  choices?: Choice[];
  /** Values that an older program stored, each with the one that stands for it now. */
  renamed?: Record<string, string>;
  needed_for?: string[];
  when?: Record<string, Scalar[]>;
  refers_to?: string[];
  rows?: Field[];
  max_rows?: number;
  max_length?: number;
  /** An address for email, and what can be one: a pattern, read without regard to capitals. */
  email_pattern?: string;
  /** Texts offered while one types; any other is allowed. */
  suggestions?: string[];
  /** Its answer is had at a desk, from methods, makers' papers and decisions; without it, in the house. */
  answered?: 'office';
  /** The roles that see it in the firm's book; everybody when there are none. */
  seen_by?: string[];
  /** Written by the program when a person takes what it offers: no form asks for it. */
  by_program?: boolean;
  /** When the record that it names is taken away, this one goes along … */
  goes_with?: boolean;
  /** … unless this other field names one that stays: then it belongs to that from then on. */
  or_stays_with?: string;
  /** Of a reference: what no answer says, in words. It is asked once there is something to choose from. */
  empty_means?: string;
  /** Of this one record and not of its like: a copy begins without it. */
  is_its_own?: boolean;
  /** The sizes of the same thing after it, which a line of several sizes typed here fills as well. */
  fills?: string[];
}

export interface Group {
  name: string;
  label: string;
}

/** What holds a record: a survey, or the firm's book. */
export type Holder = 'survey' | 'firm';

export interface Kind {
  name: string;
  label: string;
  plural: string;
  stage: string;
  help: string;
  title: string[];
  single: boolean;
  parent: string | null;
  /** What a photo taken at such a record most likely shows. */
  photo: string;
  /** Having one shows that somebody has begun there. */
  opens_the_walk: boolean;
  /** Some figure or drawing may hang on it. */
  is_counted: boolean;
  /** An option may have answers of it otherwise than the survey. */
  in_options: boolean;
  /** The checks have something to say of it. */
  is_judged: boolean;
  groups: Group[];
  fields: Field[];
  /** Whose logs hold records of this kind. */
  held_by: Holder[];
  /** The roles that write one in the firm's book. */
  written_by: string[];
}

export interface Stage {
  name: string;
  label: string;
  help: string;
}

export interface Expectation {
  kind: string;
  at_least: number;
  purpose: string;
  words: string;
  spoils: string;
  per: string | null;
  /** The field that links to a record of `per`; the kind's parent when null. */
  link: string | null;
  /** Shown on the walk, but no gap when it is not there. */
  is_wish: boolean;
  where: Record<string, Scalar>;
  per_where: Record<string, Scalar[]>;
}

/** A field that is missing only because of what another kind's records say. */
export interface AskedBy {
  kind: string;
  field: string;
  purpose: string;
  spoils: string;
  by: string;
  where: Record<string, Scalar[]>;
  unless: string[];
  link: string | null;
}

/** Which size of its room each size of a side follows, and what follows none. */
export interface Follows {
  sides: Record<string, Record<string, string>>;
  flat: string[];
  openings: string[];
}

/** What decides whether a room closes, and what each of its holes is called. */
export interface Closing {
  /** A side as the room beyond it has it. */
  opposite: Record<string, string>;
  /** Quarter-turns clockwise of a room by where its front side looks. */
  turns: Record<string, number | undefined>;
  /** On which side an element lies where nobody said one. */
  lies: Record<string, string>;
  /** The field that says how long the walls of a room that is no box are. */
  edge: string;
  least_left_m2: number;
  least_left_m: number;
  tolerance: number;
  words: Record<string, { words: string; spoils: string }>;
}

export interface Model {
  version: string;
  shape: number;
  follows: Follows;
  closing: Closing;
  /** Fields that a place had, each with the field of its unit that it is now. */
  moved: Record<string, string>;
  stages: Stage[];
  purposes: Record<string, { label: string; spoils: string }>;
  kinds: Record<string, Kind>;
  replaced_by: Record<string, Record<string, string[]>>;
  expectations: Expectation[];
  asked_by: AskedBy[];
}

export const model = raw as unknown as Model;

/** Return the kind called `name`; a name that the model does not have is a mistake in this program. */
export function kindOf(name: string): Kind {
  const kind = model.kinds[name];
  if (!kind) throw new Error(`The survey model has no kind '${name}'.`);
  return kind;
}

/** The kind of record that one of this kind belongs to, or null when it stands by itself. */
export const ownerKindOf = (kind: Kind): string | null =>
  kind.parent === null ? null : (fieldOf(kind.name, kind.parent).refers_to?.[0] ?? null);

/** The kinds whose records a survey or the firm's book holds, in the model's order. */
export const kindsHeldBy = (holder: Holder): Kind[] =>
  Object.values(model.kinds).filter((kind) => kind.held_by.includes(holder));

/** Return the field `name` of the kind `kind`; a name that does not exist is a mistake in this program. */
export function fieldOf(kind: string, name: string): Field {
  const field = kindOf(kind).fields.find((item) => item.name === name);
  if (!field) throw new Error(`${kind} has no field '${name}'.`);
  return field;
}

export function isEmpty(value: Value | undefined): boolean {
  return value === undefined || value === null || value === '' || (Array.isArray(value) && value.length === 0);
}

export const asNumber = (value: unknown): number | null => (typeof value === 'number' ? value : null);

/** A field's number, or null without one. */
export const numberOf = (values: Values, name: string): number | null => asNumber(values[name]);

/** The rows that a field of a record holds. */
export const rowsIn = (values: Values, field: string): Row[] => {
  const rows = values[field];
  return Array.isArray(rows) ? rows : [];
};

/** What a kind's fields hold where nobody has said otherwise; gathered once, since hundreds of records are looked at for every edit. */
const defaults = new Map<Kind, Values>();

function defaultsOf(kind: Kind): Values {
  let found = defaults.get(kind);
  if (!found) {
    found = {};
    for (const field of kind.fields) if (field.default !== undefined) found[field.name] = field.default;
    defaults.set(kind, found);
  }
  return found;
}

/** Return the values with the declared default wherever nobody has said otherwise. */
export function withDefaults(kind: Kind, values: Values): Values {
  const filled: Values = { ...defaultsOf(kind) };
  for (const name in values) if (values[name] !== null) filled[name] = values[name]!;
  return filled;
}

/** Say whether the field applies to a record with these values (defaults already filled in). */
export function isAsked(field: Field, values: Values): boolean {
  return Object.entries(field.when ?? {}).every(([name, allowed]) => {
    const value = values[name];
    return !Array.isArray(value) && allowed.includes(value ?? null);
  });
}

/** A stored value as this version says it: an older name by the present one. The log and the store keep what they were given. */
export function takenOver(field: Field, value: Value): Value {
  return typeof value === 'string' && field.renamed && Object.hasOwn(field.renamed, value)
    ? field.renamed[value]!
    : value;
}

const renamedFields = new Map(
  Object.values(model.kinds).map((kind) => [kind.name, kind.fields.filter((field) => field.renamed)]),
);

/** A record's values with every older name by the present one; the same object where there is none. */
export function valuesTakenOver(kind: string, values: Values): Values {
  const old = (renamedFields.get(kind) ?? []).filter(
    (field) => takenOver(field, values[field.name] ?? null) !== (values[field.name] ?? null),
  );
  return old.length === 0
    ? values
    : { ...values, ...Object.fromEntries(old.map((field) => [field.name, takenOver(field, values[field.name]!)])) };
}

export function choiceLabel(field: Field, value: Value): string {
  const present = takenOver(field, value);
  return field.choices?.find((choice) => choice.value === present)?.label ?? String(value);
}

/** Return the words a person would call this record by, falling back on the kind's label. */
export function titleOf(kind: Kind, values: Values): string {
  const parts: string[] = [];
  for (const name of kind.title) {
    const value = values[name];
    const field = kind.fields.find((item) => item.name === name);
    if (value === undefined || value === null || value === '' || !field || field.type === 'reference') continue;
    parts.push(field.choices ? choiceLabel(field, value) : String(value));
  }
  return parts.join(', ') || kind.label;
}
