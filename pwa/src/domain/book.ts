/** The firm's book on this phone: it lies in the store like a survey, under an id that no survey can have. */
import type { Field, Kind } from './model.ts';

export const BOOK = 'book:firm';

/** How far the book has come at the office, as the role of who is signed in sees it. */
export interface BookState {
  revision: number;
  /** Its last revision that changed something which surveys lean on. */
  leant_on: number;
  contested: number;
  role: string;
}

/** Whether a person of this role may write records of a kind in the book; before the book has come nobody may. */
export const mayWriteBook = (kind: Kind, role: string | undefined): boolean =>
  role !== undefined && kind.written_by.includes(role);

/** Whether a person of this role may see a field in the book. */
export const maySee = (field: Field, role: string | undefined): boolean =>
  !field.seen_by || (role !== undefined && field.seen_by.includes(role));

/** What the firm calls the records of a kind: a unit of its list is in question for no house yet. */
export const bookWords = (kind: Kind): { one: string; many: string } =>
  kind.name === 'unit'
    ? { one: 'unit', many: 'units' }
    : { one: kind.label.toLowerCase(), many: kind.plural.toLowerCase() };
