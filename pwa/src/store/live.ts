/** The store as the screens see it: values that renew themselves after every write, in this tab or another. */
import { signal, type ReadonlySignal } from '@preact/signals';
import { liveQuery } from 'dexie';
import { workedOut, type Answer } from '../domain/assessment.ts';
import { findGaps, type Gap } from '../domain/gaps.ts';
import { BOOK } from '../domain/book.ts';
import { SHARED_KINDS, Survey } from '../domain/survey.ts';
import { lockedHere } from './locked.ts';
import { countHeld, type HeldCounts } from './rows.ts';
import { drawing } from './drawn.ts';
import {
  database,
  type AssessmentRow,
  type Meta,
  type PhotoRow,
  type RecordRow,
  type RefusedRow,
  type SurveyRow,
} from './database.ts';
import { firstReading, type FirstReading, type HeldRows, type SurveyRows } from './first_reading.ts';

export interface OpenSurvey {
  row: SurveyRow;
  survey: Survey<RecordRow>;
  gaps: Gap[];
  /** Changes of it that have still to reach the office: a number, since after a day without signal they are thousands. */
  waiting: number;
  refused: RefusedRow[];
  photos: PhotoRow[];
  /** The best answer there is: the office's last, or the one worked out here. */
  assessment: Answer | null;
  /** True when something was edited on this phone after the assessment was made. */
  changedSince: boolean;
  /** Whether anything was ever taken away from it and has not come back. */
  hasTaken?: boolean;
  /** Names the state of the firm's book that the survey is seen with. */
  book: string;
  /** What the person who is signed in is to the firm, as the book has told; nothing before it has come. */
  role?: string | undefined;
  /**
   * True of what is read ahead for the first drawing of a form: what the office worked out is still to come, so nothing can be said of
   * figures, and gaps are worked out only for whoever asks, which a first drawing does not.
   */
  isAhead?: boolean;
  /** True while the engine on this phone follows every edit. */
  isLive?: boolean;
  /** True when the assessment is of the survey as it is stored now: while an edit is being worked out it is not. */
  isCurrent?: boolean;
}

/** undefined: still reading; null: this survey is not on this phone. */
export type Opened = OpenSurvey | null | undefined;

export interface Live<T> {
  value: ReadonlySignal<T | undefined>;
  /** Set when the store could not be read: the screen says so. */
  error: ReadonlySignal<string | null>;
  stop: () => void;
}

/** Keep a value of the store's fresh. What was read ahead is shown first, step by step, and the store is asked only after that has been drawn. */
export function watch<T>(
  read: () => Promise<T>,
  stepsOf: (ahead: FirstReading) => (() => T | Promise<T>)[] = () => [],
): Live<T> {
  const value = signal<T | undefined>(undefined);
  const error = signal<string | null>(null);
  let isStopped = false;
  let end = () => {};
  const begin = () => {
    if (isStopped) return;
    const subscription = liveQuery(read).subscribe({
      next: (found) => {
        value.value = found;
        error.value = null;
      },
      error: (fault: unknown) => {
        error.value = fault instanceof Error ? fault.message : String(fault);
      },
    });
    end = () => subscription.unsubscribe();
    // A store that does not open at all leaves what is watched in silence.
    database.open().catch((fault: unknown) => {
      if (value.peek() === undefined) error.value = fault instanceof Error ? fault.message : String(fault);
    });
  };
  const coming = firstReading();
  if (!coming) begin();
  else {
    void coming.then(async (ahead) => {
      try {
        for (const step of ahead ? stepsOf(ahead) : []) {
          const found = step();
          value.value = found instanceof Promise ? await found : found;
        }
      } catch {
        // Rows that cannot be read as a survey: the store itself is asked, and its answer is what is said.
      }
      if (value.peek() === undefined) begin();
      else setTimeout(begin, 0);
    });
  }
  return {
    value,
    error,
    stop: () => {
      isStopped = true;
      end();
    },
  };
}

/** All that an open survey shows but what was or is worked out of it. */
const seenIn = ({ row, records, waiting, refused, photos, book }: Omit<SurveyRows, 'assessment'>) => ({
  row,
  survey: new Survey(row.id, records, book.records),
  book: book.row ? `${book.row.edits}/${book.row.cursor}` : '',
  role: book.row?.role,
  hasTaken: records.some((record) => record.values['deleted'] === true),
  waiting,
  refused,
  photos,
});

function openedFrom(rows: Omit<SurveyRows, 'assessment'>, assessment: AssessmentRow | undefined): OpenSurvey {
  const seen = seenIn(rows);
  const { row, waiting } = rows;
  const isBehind =
    assessment !== undefined && (assessment.edits < row.edits || assessment.revision < row.cursor || waiting > 0);
  return {
    ...seen,
    gaps: findGaps(seen.survey),
    assessment: assessment ? { ...workedOut(assessment), by: 'office', at: assessment.fetched_at } : null,
    changedSince: isBehind,
    isCurrent: assessment !== undefined && !isBehind,
  };
}

function openedAhead(rows: SurveyRows): OpenSurvey {
  const seen = seenIn(rows);
  return {
    ...seen,
    get gaps() {
      return findGaps(seen.survey);
    },
    assessment: null,
    changedSince: false,
    isCurrent: false,
    isAhead: true,
  };
}

/** What the firm's book lends a survey, as it lies on this phone. */
async function bookFor(survey: string): Promise<SurveyRows['book']> {
  if (survey === BOOK) return { row: undefined, records: [] };
  const [row, ...records] = await Promise.all([
    database.surveys.get(BOOK),
    ...SHARED_KINDS.map((kind) => database.records.where('key').startsWith(`${BOOK}/${kind.name}/`).toArray()),
  ]);
  return { row, records: records.flat() };
}

/** Keep an open survey fresh. With `isForm`, a form that stands on its records alone is drawn before the rest is looked at (`isAhead`). */
export function watchSurvey(id: string, isForm = false): Live<OpenSurvey | null> {
  return watch(
    async (): Promise<OpenSurvey | null> => {
      const row = await database.surveys.get(id);
      if (!row) return null;
      const [records, waiting, refused, photos, assessment, book] = await Promise.all([
        // By the beginning of the key, which the browser reads quicker and is watched as one stretch: a large house has a thousand rows.
        database.records.where('key').startsWith(`${id}/`).toArray(),
        database.outbox.where('survey').equals(id).count(),
        database.refused.where('survey').equals(id).toArray(),
        database.photos.where('key').startsWith(`${id}/`).toArray(),
        database.assessments.get(id),
        bookFor(id),
      ]);
      return openedFrom({ row, records, waiting, refused, photos, book }, assessment);
    },
    (ahead) => {
      const rows = ahead.surveys[id];
      if (!rows) return [];
      const whole = async () => {
        if (isForm) await drawing();
        return openedFrom(rows, await rows.assessment);
      };
      return isForm ? [() => openedAhead(rows), whole] : [whole];
    },
  );
}

/** The firm's articles that are in its book today, in the order of their ids. */
export function watchArticles(): Live<RecordRow[]> {
  return watch(async () => {
    const rows = await database.records.where('key').startsWith(`${BOOK}/article/`).toArray();
    return rows.filter((row) => row.values['deleted'] !== true);
  });
}

export interface ListedSurvey {
  row: SurveyRow;
  title: string;
  reference: string;
  postcode: string;
  changes: number;
  photos: number;
  refused: number;
}

export interface Overview {
  here: ListedSurvey[];
  office: Meta['office_surveys'] | null;
}

export function watchOverview(): Live<Overview> {
  return watch(async () => {
    const rows = await database.surveys.where('id').notEqual(BOOK).toArray();
    const office = ((await database.meta.get('office_surveys'))?.value as Meta['office_surveys'] | undefined) ?? null;
    const here = await Promise.all(
      rows.map(async (row): Promise<ListedSurvey> => {
        const heads = await database.records.where('key').startsWith(`${row.id}/survey/`).toArray();
        const survey = new Survey(row.id, heads);
        const values = survey.single('survey')?.values ?? {};
        const [changes, refused, photos] = await Promise.all([
          database.outbox.where('survey').equals(row.id).count(),
          database.refused.where('survey').equals(row.id).count(),
          database.photos
            .where('survey')
            .equals(row.id)
            .filter((photo) => photo.arrived === 0)
            .toArray(),
        ]);
        const known = office?.surveys.find((item) => item.id === row.id);
        const title = heads.length === 0 && known ? known.title : survey.title();
        return {
          row,
          title,
          reference: String(values['reference'] ?? ''),
          postcode: String(values['postcode'] ?? ''),
          ...countHeld({ changes, photos, refused }),
        };
      }),
    );
    here.sort((a, b) => (a.row.id < b.row.id ? 1 : -1));
    return { here, office };
  });
}

/** What is locked on this phone for people who are not signed in, in numbers. */
export function watchLocked(): Live<HeldCounts> {
  return watch(async () =>
    lockedHere(((await database.meta.get('session'))?.value as Meta['session'] | undefined)?.user.email ?? null),
  );
}

export interface Waits extends HeldCounts {
  session: Meta['session'] | null;
  needsSignIn: boolean;
  /** Somebody has signed out here, and the office has still to hear of it: nothing else is asked of it before. */
  isLeaving: boolean;
}

const waitsFrom = ({ session, needsSignIn, isLeaving, ...held }: HeldRows): Waits => ({
  ...countHeld(held),
  session,
  needsSignIn,
  isLeaving,
});

export function watchWaits(): Live<Waits> {
  return watch(
    async (): Promise<Waits> => {
      const [changes, photos, refused, session, needs, leaving] = await Promise.all([
        database.outbox.count(),
        database.photos.where('arrived').equals(0).toArray(),
        database.refused.count(),
        database.meta.get('session'),
        database.meta.get('needs_sign_in'),
        database.meta.get('leaving'),
      ]);
      return waitsFrom({
        changes,
        photos,
        refused,
        session: (session?.value as Meta['session'] | undefined) ?? null,
        needsSignIn: needs?.value === true,
        isLeaving: leaving !== undefined,
      });
    },
    (ahead) => [() => waitsFrom(ahead.held)],
  );
}
