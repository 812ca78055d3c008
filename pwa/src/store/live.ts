/** The store as the screens see it: values that renew themselves after every write, in this tab or another. */
import { signal, type ReadonlySignal } from '@preact/signals';
import { liveQuery } from 'dexie';
import { workedOut, type Answer } from '../domain/assessment.ts';
import { findGaps, type Gap } from '../domain/gaps.ts';
import { BOOK } from '../domain/book.ts';
import { SHARED_KINDS, Survey } from '../domain/survey.ts';
import { lockedHere } from './locked.ts';
import { countHeld, type HeldCounts } from './rows.ts';
import { database, type Meta, type PhotoRow, type RecordRow, type RefusedRow, type SurveyRow } from './database.ts';
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

/** Keep a value of the store's fresh. What was read ahead is shown first, and the store is asked only after that has been drawn. */
export function watch<T>(
  read: () => Promise<T>,
  pick: (ahead: FirstReading) => T | undefined = () => undefined,
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
    void coming.then((ahead) => {
      let first: T | undefined;
      try {
        first = ahead ? pick(ahead) : undefined;
      } catch {
        // Rows that cannot be read as a survey: the store itself is asked, and its answer is what is said.
      }
      if (first === undefined) return begin();
      value.value = first;
      setTimeout(begin, 0);
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

function openedFrom({ row, records, waiting, refused, photos, assessment, book }: SurveyRows): OpenSurvey {
  const survey = new Survey(row.id, records, book.records);
  const isBehind =
    assessment !== undefined && (assessment.edits < row.edits || assessment.revision < row.cursor || waiting > 0);
  return {
    row,
    survey,
    book: book.row ? `${book.row.edits}/${book.row.cursor}` : '',
    role: book.row?.role,
    gaps: findGaps(survey),
    hasTaken: records.some((record) => record.values['deleted'] === true),
    waiting,
    refused,
    photos,
    assessment: assessment ? { ...workedOut(assessment), by: 'office', at: assessment.fetched_at } : null,
    changedSince: isBehind,
    isCurrent: assessment !== undefined && !isBehind,
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

export function watchSurvey(id: string): Live<OpenSurvey | null> {
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
      return openedFrom({ row, records, waiting, refused, photos, assessment, book });
    },
    (ahead) => ahead.surveys[id] && openedFrom(ahead.surveys[id]),
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
    (ahead) => waitsFrom(ahead.held),
  );
}
