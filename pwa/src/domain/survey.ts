/** A whole survey in memory, as the screens and the pure functions see it. */
import { isEmpty, kindOf, kindsHeldBy, titleOf, valuesTakenOver, type Values } from './model.ts';

export interface SurveyRecord {
  kind: string;
  id: string;
  values: Values;
}

/** One edit as a screen asks for it: these fields of this record get these values. */
export interface Edit {
  kind: string;
  id: string;
  values: Values;
}

/** Kinds that a survey and the firm's book both hold. */
export const SHARED_KINDS = kindsHeldBy('survey').filter((kind) => kind.held_by.includes('firm'));

/** The fields of each kind that point at a record of a shared kind. */
const POINTING: [string, string[]][] = kindsHeldBy('survey').flatMap((kind): [string, string[]][] => {
  const fields = kind.fields.filter((field) =>
    field.refers_to?.some((to) => SHARED_KINDS.some((shared) => shared.name === to)),
  );
  return fields.length > 0 ? [[kind.name, fields.map((field) => field.name)]] : [];
});

export class Survey<R extends SurveyRecord = SurveyRecord> {
  private readonly byKind = new Map<string, R[]>();
  /** By kind and id, and by kind and parent: made when first asked for. A large house is looked through hundreds of times for one screen. */
  private readonly byId = new Map<string, Map<string, R>>();
  private readonly byParent = new Map<string, Map<unknown, R[]>>();

  /** Records that the firm's book lends: they are chosen from, and changed in the book only. */
  private readonly lent = new Set<R>();

  /**
   * @param book what the firm's book holds of the kinds that surveys lean on, those that were taken away too. The twin of `survey/book.py`:
   * one of the survey's own stands before the book's of the same id, and one that has left the book comes only where the survey points at it
   */
  constructor(
    readonly id: string,
    records: Iterable<R>,
    readonly book: readonly R[] = [],
  ) {
    for (const stored of records) if (stored.values['deleted'] !== true) this.put(stored);
    if (book.length === 0) return;
    const own = new Set([...this.byKind.values()].flat().map((record) => record.id));
    const chosen = this.chosenOfBook();
    for (const stored of book) {
      if (own.has(stored.id) || (stored.values['deleted'] === true && !chosen.has(stored.id))) continue;
      this.lent.add(this.put(stored));
    }
  }

  private put(stored: R): R {
    const values = valuesTakenOver(stored.kind, stored.values);
    const record = values === stored.values ? stored : { ...stored, values };
    const list = this.byKind.get(record.kind);
    if (list) list.push(record);
    else this.byKind.set(record.kind, [record]);
    return record;
  }

  private chosenOfBook(): Set<unknown> {
    const chosen = new Set<unknown>();
    for (const [kind, fields] of POINTING)
      for (const record of this.ofKind(kind)) for (const field of fields) chosen.add(record.values[field]);
    return chosen;
  }

  /** Whether a record is the firm's and only lent to this survey. */
  isLent(record: SurveyRecord): boolean {
    return this.lent.has(record as R);
  }

  /** Records of one kind, in the order in which they were made. */
  ofKind(kind: string): R[] {
    return this.byKind.get(kind) ?? [];
  }

  find(kind: string, id: unknown): R | undefined {
    if (typeof id !== 'string') return undefined;
    let found = this.byId.get(kind);
    if (!found) this.byId.set(kind, (found = new Map(this.ofKind(kind).map((record) => [record.id, record]))));
    return found.get(id);
  }

  single(kind: string): R | undefined {
    return this.ofKind(kind)[0];
  }

  /** Records of `kind` whose parent field points at `parent`. */
  children(kind: string, parent: string): R[] {
    const link = kindOf(kind).parent;
    return link ? this.linked(kind, link, parent) : [];
  }

  /** Records of `kind` whose field `link` points at `target`. */
  linked(kind: string, link: string, target: string): R[] {
    const key = `${kind}/${link}`;
    let found = this.byParent.get(key);
    if (!found) this.byParent.set(key, (found = grouped(this.ofKind(kind), link)));
    return found.get(target) ?? [];
  }

  /** Every record of its own, of a kind that the model knows, in the model's order of kinds. */
  *all(): Iterable<R> {
    for (const kind of kindsHeldBy('survey'))
      for (const record of this.ofKind(kind.name)) if (!this.lent.has(record)) yield record;
  }

  /** What it is called where its address has no room: the first of what names it, such as the household. */
  name(): string {
    const kind = kindOf('survey');
    const values = this.single('survey')?.values ?? {};
    const first = kind.title.find((name) => !isEmpty(values[name]));
    return first ? titleOf({ ...kind, title: [first] }, values) : this.title();
  }

  title(): string {
    const record = this.single('survey');
    const words = record ? titleOf(kindOf('survey'), record.values) : '';
    return words && words !== kindOf('survey').label ? words : 'New survey';
  }
}

/** Records by the value of one of their fields, each group in the order in which they were made. */
export function grouped<R extends SurveyRecord>(records: readonly R[], field: string): Map<unknown, R[]> {
  const found = new Map<unknown, R[]>();
  for (const record of records) {
    const group = found.get(record.values[field]);
    if (group) group.push(record);
    else found.set(record.values[field], [record]);
  }
  return found;
}
