/** What `early.ts` has read by the time the app's own scripts run: the rows as they lie in the store, for the first screen only. */
import type { AssessmentRow, PhotoRow, RecordRow, RefusedRow, Session, SurveyRow } from './database.ts';

export interface SurveyRows {
  row: SurveyRow;
  records: RecordRow[];
  waiting: number;
  refused: RefusedRow[];
  photos: PhotoRow[];
  /** What the office worked out: so large that it comes a while after the rest. */
  assessment: Promise<AssessmentRow | undefined>;
  /** What the firm's book lends it, and the book's own row once it has come. */
  book: { row: SurveyRow | undefined; records: RecordRow[] };
}

/** What is on this phone only, and who is signed in. */
export interface HeldRows {
  changes: number;
  /** Photos whose bytes the office has not got. */
  photos: PhotoRow[];
  refused: number;
  session: Session | null;
  needsSignIn: boolean;
  /** Somebody has signed out here, and the office has still to hear of it. */
  isLeaving: boolean;
}

export interface FirstReading {
  held: HeldRows;
  /** The survey that the address named, by its id; none when it is not on this phone. */
  surveys: Record<string, SurveyRows>;
}

declare global {
  var wattwalkFirstReading: Promise<FirstReading | null> | undefined;
}

/** What is being read ahead for the first drawing, before the store itself has answered; null where there is nothing. */
export function firstReading(): Promise<FirstReading | null> | undefined {
  return globalThis.wattwalkFirstReading;
}

/** After the first drawing, what was read ahead is history. */
export function forgetFirstReading(): void {
  globalThis.wattwalkFirstReading = undefined;
}
