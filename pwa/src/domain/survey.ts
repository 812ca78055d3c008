/** A whole survey in memory, as the screens and the pure functions see it. */
import { kindOf, model, titleOf, valuesTakenOver, type Values } from './model.ts';

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

export class Survey<R extends SurveyRecord = SurveyRecord> {
  private readonly byKind = new Map<string, R[]>();
  /** By kind and id, and by kind and parent: made when first asked for. A large house is looked through hundreds of times for one screen. */
  private readonly byId = new Map<string, Map<string, R>>();
  private readonly byParent = new Map<string, Map<unknown, R[]>>();

  constructor(
    readonly id: string,
    records: Iterable<R>,
  ) {
    for (const stored of records) {
      if (stored.values['deleted'] === true) continue;
      const values = valuesTakenOver(stored.kind, stored.values);
      const record = values === stored.values ? stored : { ...stored, values };
      const list = this.byKind.get(record.kind);
      if (list) list.push(record);
      else this.byKind.set(record.kind, [record]);
    }
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

  /** Every record of a kind that the model knows, in the model's order of kinds. */
  *all(): Iterable<R> {
    for (const kind of Object.keys(model.kinds)) yield* this.ofKind(kind);
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
