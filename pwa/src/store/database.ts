/**
 * The phone's database. Only this folder touches IndexedDB.
 *
 * Durability is strict: a write that has resolved is on the storage, not in a buffer of the browser's.
 */
import Dexie, { type EntityTable, type Table } from 'dexie';
import type { Answer, WorkedOut } from '../domain/assessment.ts';
import type { Change } from '../domain/changes.ts';
import type { Value, Values } from '../domain/model.ts';
import { takeOverSizes } from './old_sizes.ts';
import { takeOverUnits } from './old_units.ts';

export interface Problem {
  code: string;
  message: string;
  field: string | null;
  record: string | null;
}

export interface ContestedValue {
  change: string;
  value: Value;
  user: string | null;
  device: string | null;
  made_at: string | null;
  revision: number | null;
}

export interface Contested {
  kind: string;
  record: string;
  field: string;
  label: string;
  values: ContestedValue[];
}

/** Where the office says that a photo's bytes are. `lost`: they had come, and are missing there now; an older office does not tell. */
export interface PhotoAtOffice {
  record: string;
  sha256: string;
  arrived: boolean;
  lost?: boolean;
}

export interface SurveyRow {
  id: string;
  created_at: number;
  /** Tells two lives of it on this phone apart: taken off and fetched again. Rows of older versions have none. */
  born?: string;
  /** Highest revision pulled from the office; 0 before the first. */
  cursor: number;
  /** When everything of this survey was last known to be at the office. */
  office_at: number | null;
  /** Number of the last edit made on this phone, to tell whether an assessment is older. */
  edits: number;
  contested: Contested[];
  refused_at_office: number;
  photos_at_office: PhotoAtOffice[];
  latest_report: number | null;
  /** After the office's database was exchanged: offer every field again that it does not know. */
  reoffer: 0 | 1;
  /** The firm's book only: the role by which the office picked what is here. */
  role?: string;
}

export interface RecordRow {
  /** `survey/kind/id`. */
  key: string;
  survey: string;
  kind: string;
  id: string;
  values: Values;
  /** Revision at the office of each field's last value seen here. */
  seen: Record<string, number>;
}

export interface RefusedRow extends Change {
  problem: Problem;
}

export interface SentRow {
  /** `survey/kind/record/field`: only the last change of a field is needed to offer it again. */
  path: string;
  survey: string;
  change: Change;
}

export interface PhotoRow {
  key: string;
  survey: string;
  record: string;
  sha256: string;
  media_type: string;
  size_bytes: number;
  /** 0: not yet at the office; 1: there; 2: its photo was taken away before it was sent, and it is kept for whoever brings that back. */
  arrived: 0 | 1 | 2;
  /** When its photo was taken away, ms, for the last of these. */
  taken_away_at?: number;
  /** When the office said that it has the bytes. */
  arrived_at?: number;
  problem: Problem | null;
}

export interface PhotoBytesRow {
  sha256: string;
  bytes: ArrayBuffer;
  media_type: string;
}

/** A photo as small as a list shows it, as JPEG: made from the photo when it is first shown, and only for speed. */
export interface StampRow {
  sha256: string;
  bytes: ArrayBuffer;
}

export interface AssessmentRow extends WorkedOut {
  survey: string;
  revision: number;
  fetched_at: number;
  /** `edits` of the survey when this was fetched: more since means 'changed since'. */
  edits: number;
  /** Revision of the firm's book that it leans on; answers of an earlier office have none. */
  book?: number;
}

/** What was worked out on this phone: by which engine, from which state of the survey. */
export interface LiveRow {
  survey: string;
  edits: number;
  cursor: number;
  /** State of the firm's book that it was worked out with. */
  book?: string;
  engine: string;
  answer: Answer;
}

export interface OfficeSurvey {
  id: string;
  revision: number;
  title: string;
  reference: string | null;
  address: string | null;
  postcode: string | null;
  visit_date: string | null;
  changed_at: string | null;
  contested: number;
  refused: number;
  photos_missing: number;
  latest_report: number | null;
}

/** The office's list as far as it was told here: rows and cursor are one value, so neither is ever ahead of the other. */
export interface OfficeList {
  /** When something in it changed last. */
  fetched_at: number;
  surveys: OfficeSurvey[];
  /** The number to ask with for what is new, in the life of the office's database that it was given in; lists of earlier versions have neither. */
  cursor?: number;
  epoch?: string;
  /** While the list is told from its beginning, over several answers: what has been told so far. The others are not there any more. */
  told?: string[];
}

export interface Session {
  user: { name: string; email: string };
  firm: { name: string };
  /** What the office calls this sign-in; earlier versions kept none. */
  id?: string;
}

/** Somebody has signed out here, and the office has not heard of it: its session and the browser's cookie are alive. */
export interface Leaving {
  session: string | null;
}

/**
 * Unsent work of a survey whose person has signed out. It lies apart from everything that a screen, an exchange or a copy reads, and goes
 * back only when the same person signs in here again. Bytes of its photos stay under their hash.
 */
export interface LockedRow {
  /** `email/survey`. */
  key: string;
  email: string;
  survey: string;
  born: string;
  created_at: number;
  edits: number;
  /** The life of the office's database in which the changes had seen what they had seen. */
  epoch: string | null;
  changes: Change[];
  refused: RefusedRow[];
  photos: PhotoRow[];
  /** Hashes of the photos. */
  hashes: string[];
}

/** Everything kept once: the session, the office's epoch, this device's name, the office's list of surveys … */
export interface Meta {
  session: Session;
  /** There while the office has still to hear that somebody has signed out. */
  leaving: Leaving;
  /** There from then on until the browser has emptied its cache of the office's answers. */
  cache_to_empty: boolean;
  /** There from a sign-out or a change of person on until the journal was written anew: what it held until then is not brought back. The value tells one from the next. */
  journal_is_past: string;
  needs_sign_in: boolean;
  epoch: string;
  device: string;
  office_surveys: OfficeList;
  persistent: 'granted' | 'refused' | 'unknown';
}

export class Database extends Dexie {
  declare surveys: EntityTable<SurveyRow, 'id'>;
  declare records: EntityTable<RecordRow, 'key'>;
  declare outbox: EntityTable<Change, 'id'>;
  declare sent: EntityTable<SentRow, 'path'>;
  declare refused: EntityTable<RefusedRow, 'id'>;
  declare photos: EntityTable<PhotoRow, 'key'>;
  declare photoBytes: EntityTable<PhotoBytesRow, 'sha256'>;
  declare stamps: EntityTable<StampRow, 'sha256'>;
  declare assessments: EntityTable<AssessmentRow, 'survey'>;
  declare live: EntityTable<LiveRow, 'survey'>;
  declare locked: EntityTable<LockedRow, 'key'>;
  declare meta: Table<{ name: string; value: unknown }, string>;

  constructor(name = 'wattwalk') {
    // Without Dexie's own cache: it would show a value before it is on the storage, and copies every row once more.
    super(name, { chromeTransactionDurability: 'strict', cache: 'disabled' });
    this.version(1).stores({
      surveys: 'id',
      records: 'key, survey',
      outbox: 'id, survey',
      sent: 'path, survey',
      refused: 'id, survey',
      photos: 'key, survey, arrived, sha256',
      photoBytes: 'sha256',
      assessments: 'survey',
      meta: 'name',
    });
    this.version(2).stores({ live: 'survey' });
    this.version(3).stores({ outbox: 'id, survey, [survey+kind+record]', stamps: 'sha256' });
    this.version(4).stores({ locked: 'key, email, *hashes' });
    // The sides of a room store no size any more that says what the room's box says.
    this.version(5).upgrade(async (transaction) => {
      for (const survey of await transaction.table('surveys').toCollection().primaryKeys())
        await takeOverSizes(transaction, String(survey));
    });
    // What a place said of its unit lies on the unit.
    this.version(6).upgrade(async (transaction) => {
      for (const survey of await transaction.table('surveys').toCollection().primaryKeys())
        await takeOverUnits(transaction, String(survey));
    });
  }
}

export const database = new Database();

export async function readMeta<K extends keyof Meta>(name: K): Promise<Meta[K] | undefined> {
  return (await database.meta.get(name))?.value as Meta[K] | undefined;
}

/** Store one of the things kept once. Inside a transaction this takes part in it. */
export async function putMeta<K extends keyof Meta>(name: K, value: Meta[K]): Promise<void> {
  await database.meta.put({ name, value });
}

export async function dropMeta(name: keyof Meta): Promise<void> {
  await database.meta.delete(name);
}
