/** The open survey, worked out on this phone after every edit; what came of it stands before the office's last answer. */
import { kindOf, model } from '../domain/model.ts';
import { effect, signal, type ReadonlySignal } from '@preact/signals';
import {
  plansOf,
  withPlans,
  workedOut,
  type Answer,
  type Assessment,
  type OptionRow,
  type PlansAnswer,
  type WorkedOut,
} from '../domain/assessment.ts';
import type { Edit, SurveyRecord } from '../domain/survey.ts';
import files from '../generated/engine.json';
import { keepLive, readLive } from '../store/answers.ts';
import { watchArticles, type OpenSurvey } from '../store/live.ts';
import { EngineClient, type WorkerLike } from './client.ts';

/** Milliseconds after an edit, so that several that come together are worked out once. */
const SETTLE_MS = 60;
/** Milliseconds without another answer before the last is put on the storage, for the next cold start. */
const KEEP_MS = 2_000;

const client = new EngineClient(
  () =>
    new Worker(new URL('./worker.ts', import.meta.url), { type: 'module', name: 'engine' }) as unknown as WorkerLike,
);

/** Which engine this app carries. */
export const engineVersion: string = files.version;

/** Whether the figures are worked out here, or why not. */
export const engineState = client.state;

export interface Live {
  survey: string;
  edits: number;
  cursor: number;
  /** State of the firm's book that it was worked out with. */
  book: string;
  answer: Answer;
  /** It was worked out with something that is being typed and is not stored. */
  isTried?: boolean;
}

/** Options as they were worked out last, each with the request that it was worked out of; the survey as it stands under ''. */
export interface LiveOptions {
  survey: string;
  /** What is asked now: a row of another request is of before. */
  request: string;
  /** No row is there for one that could not be worked out. */
  rows: ReadonlyMap<string, { row: OptionRow | null; request: string }>;
}
const options = signal<LiveOptions | null>(null);
export const liveOptions: ReadonlySignal<LiveOptions | null> = options;

/** How many screens want the options worked out; nobody else is to wait for them. */
const wanted = signal(0);

/** Have the options worked out, after every figure of the survey, until what is returned is called. */
export function wantOptions(): () => void {
  wanted.value += 1;
  return () => {
    wanted.value -= 1;
  };
}

const live = signal<Live | null>(null);
/** `survey/edits/cursor` of what the engine could not work out. */
const faulty = signal<string | null>(null);

const stateOf = ({ row, book }: OpenSurvey): string => `${row.id}/${row.edits}/${row.cursor}/${book}`;

/** Start the engine as soon as the first screen is usable, which `onceUsable` tells. */
export function startEngine(isSignedIn: ReadonlySignal<boolean>, onceUsable: (work: () => void) => void): void {
  let isStarted = false;
  effect(() => {
    if (isStarted || !isSignedIn.value) return;
    isStarted = true;
    onceUsable(() => client.start());
  });
  addEventListener('online', () => client.startIfFilesWereMissing());
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') client.startIfFilesWereMissing();
  });
}

/** A person asks for another try. */
export const startEngineAgain = (): void => client.start();

/** What is being typed and is not saved yet, over the state of the survey that it was typed over. */
const typed = signal<{ over: string; edits: readonly Edit[] } | null>(null);

/** Let the figures follow what is being typed; null when it cannot be read or was given up. Whatever is saved next ends it. */
export function tryOut(open: OpenSurvey, edits: readonly Edit[] | null): void {
  typed.value = edits ? { over: stateOf(open), edits } : null;
}

/** A day as surveys say it, by the phone's own calendar: rates and grant are held by it. */
const dayOf = (at: Date): string =>
  [at.getFullYear(), at.getMonth() + 1, at.getDate()].map((part) => String(part).padStart(2, '0')).join('-');

/**
 * What the engine is asked: the records in the order in which they were made, what is being typed over them. What no figure hangs on
 * is left out, since a phone takes photos by the dozen.
 */
export function requestFor(open: OpenSurvey, trying: readonly Edit[] = []): string {
  const records = [...open.survey.all()]
    .filter((record) => model.kinds[record.kind]?.is_counted !== false)
    .map(({ kind, id, values }) => ({ kind, id, values: { ...values } }));
  for (const edit of trying) {
    let record = records.find((item) => item.kind === edit.kind && item.id === edit.id);
    if (!record) records.push((record = { kind: edit.kind, id: edit.id, values: {} }));
    for (const [name, value] of Object.entries(edit.values)) {
      if (value === null) delete record.values[name];
      else record.values[name] = value;
    }
  }
  const book = open.survey.book.map(({ kind, id, values: { deleted, ...values } }) => ({
    kind,
    id,
    values,
    left: deleted === true,
  }));
  return JSON.stringify({ id: open.survey.id, records, book, day: dayOf(new Date()) });
}

/** What the firm's articles are to the engine: without what only the office sees, since no price is made of that. */
export function articlesFor(rows: readonly SurveyRecord[]): string {
  const hidden = new Set(
    kindOf('article')
      .fields.filter((field) => field.seen_by)
      .map((field) => field.name),
  );
  const told = rows.map(({ id, values }) => ({
    id,
    values: Object.fromEntries(Object.entries(values).filter(([name]) => name !== 'deleted' && !hidden.has(name))),
  }));
  return JSON.stringify(told);
}

/** Whether the survey as it stands and its options were worked out of this request: the last of them is the last to come. */
const areOf = (found: LiveOptions | null, request: string): boolean =>
  found !== null && found.rows.size > 0 && [...found.rows.values()].every((item) => item.request === request);

/** Work an open survey out whenever it changes. Returns what ends it. */
export function follow(opened: ReadonlySignal<OpenSurvey | null | undefined>): () => void {
  let timer: ReturnType<typeof setTimeout> | undefined;
  let keeping: ReturnType<typeof setTimeout> | undefined;
  let last: string | null = null;
  /** What was answered last, figures, gaps and drawings. */
  let answered: string | null = null;
  let isEnded = false;

  const keepSoon = () => {
    clearTimeout(keeping);
    keeping = setTimeout(() => {
      const now = live.value;
      // Only for a quicker start the next time: if the storage does not take it, nothing is lost. What was only tried is no answer then.
      if (now && !now.isTried)
        void keepLive({
          survey: now.survey,
          edits: now.edits,
          cursor: now.cursor,
          book: now.book,
          engine: files.engine,
          answer: now.answer,
        }).catch((fault: unknown) => console.error('Not kept:', fault));
    }, KEEP_MS);
  };

  const articles = watchArticles();
  /** The articles as text, with a number of their own: texts so long are not held beside each other at every key. */
  let told: { of: readonly SurveyRecord[]; text: string; number: number } | undefined;
  const articlesNow = () => {
    const rows = articles.value.value;
    if (rows && told?.of !== rows) {
      const text = articlesFor(rows);
      told = { of: rows, text, number: text === told?.text ? told.number : (told?.number ?? 0) + 1 };
    }
    return told;
  };

  const work = (open: OpenSurvey, trying: readonly Edit[]) => {
    const priced = articlesNow();
    const { row } = open;
    const of = {
      survey: row.id,
      edits: row.edits,
      cursor: row.cursor,
      book: open.book,
      isTried: trying.length > 0,
    };
    const request = requestFor(open, trying);
    /** What is asked and what it is priced by. */
    const question = `${priced?.number ?? 0} ${request}`;
    const areWanted = wanted.peek() > 0;
    if (areWanted) {
      const before = options.peek();
      options.value = { survey: row.id, request: question, rows: before?.survey === row.id ? before.rows : new Map() };
    }
    const haveOptions = !areWanted || areOf(options.peek(), question);
    if (question === answered && live.value?.survey === row.id && haveOptions) {
      // Edited, but nothing that is worked out, or what was tried is now saved: the answer stands.
      live.value = { ...live.value, ...of };
      if (trying.length === 0) keepSoon();
      return;
    }
    const isOfNow = () =>
      !isEnded &&
      live.value?.survey === row.id &&
      live.value.edits === row.edits &&
      live.value.cursor === row.cursor &&
      live.value.book === open.book;
    const isNews = () => !isEnded && !(live.value?.survey === row.id && live.value.edits > row.edits);
    client.ask({
      request,
      articles: priced?.text,
      onFigures: (text) => {
        if (!isNews()) return;
        // At a cold start that is the office's last answer: what stands on the screen does not go and come back.
        const before = live.value?.survey === row.id ? live.value.answer : open.assessment;
        const { assessment } = JSON.parse(text) as { assessment: Assessment };
        faulty.value = null;
        answered = null;
        // Until the rest is there, the one before stands.
        live.value = {
          ...of,
          answer: {
            ...workedOut({ gaps: open.gaps, pictures: {}, pictures_dark: {}, ...before, assessment }),
            by: 'phone',
            at: Date.now(),
          },
        };
      },
      onRest: (text) => {
        if (!isOfNow() || !live.value) return;
        const rest = JSON.parse(text) as Omit<WorkedOut, 'assessment' | 'plans'>;
        const { answer } = live.value;
        // The plans before stand until their own are there.
        live.value = { ...live.value, answer: withPlans({ ...answer, ...rest }, plansOf(answer)) };
        answered = question;
        if (trying.length === 0) keepSoon();
      },
      onPlans: (text) => {
        if (!isOfNow() || !live.value) return;
        const plans = text === '' ? null : (JSON.parse(text) as PlansAnswer);
        live.value = { ...live.value, answer: withPlans(live.value.answer, plans) };
        if (trying.length === 0) keepSoon();
      },
      ...(areWanted
        ? {
            onOption: (text: string) => {
              const now = options.peek();
              if (isEnded || now?.survey !== row.id) return;
              const told = JSON.parse(text) as { option: OptionRow } | { fault: string };
              const [name, option] = 'fault' in told ? [told.fault, null] : [told.option.id, told.option];
              options.value = { ...now, rows: new Map(now.rows).set(name, { row: option, request: question }) };
            },
          }
        : {}),
      onFault: () => {
        answered = null;
        faulty.value = stateOf(open);
      },
    });
  };

  const stop = effect(() => {
    const open = opened.value;
    if (!open || open.isAhead || [...open.survey.all()].length === 0) return;
    const state = stateOf(open);
    if (last === null) {
      void readLive(open.row.id, files.engine).then((kept) => {
        if (kept && !isEnded && live.value?.survey !== kept.survey)
          live.value = {
            survey: kept.survey,
            edits: kept.edits,
            cursor: kept.cursor,
            book: kept.book ?? '',
            answer: kept.answer,
          };
      });
    }
    const trying = typed.value?.over === state ? typed.value.edits : [];
    const asked = `${state} ${JSON.stringify(trying)} ${wanted.value > 0} ${articlesNow()?.number ?? 0}`;
    if (asked === last) return;
    last = asked;
    clearTimeout(timer);
    timer = setTimeout(() => work(open, trying), SETTLE_MS);
  });
  return () => {
    isEnded = true;
    articles.stop();
    clearTimeout(timer);
    clearTimeout(keeping);
    stop();
  };
}

/** The open survey with the best answer there is, as it stands now. */
export function withLive(open: OpenSurvey): OpenSurvey {
  return withWorkedOutGaps(
    withBest(open, live.value, engineState.value.kind === 'ready' && faulty.value !== stateOf(open)),
  );
}

/** The open survey with the gaps too that only show once it has been worked out, as far as their records are still there. */
export function withWorkedOutGaps(open: OpenSurvey): OpenSurvey {
  const more = (open.assessment?.gaps ?? []).filter(
    (gap) =>
      gap.code === 'no_u_value' &&
      open.survey.find(gap.kind, gap.record) &&
      !open.gaps.some((own) => own.kind === gap.kind && own.record === gap.record && own.field === gap.field),
  );
  return more.length > 0 ? { ...open, gaps: [...open.gaps, ...more] } : open;
}

/**
 * The open survey with the best answer there is.
 *
 * The phone's own goes first while the engine follows the edits. The office's stands where it is as new and the phone's is not, or
 * where another version of the engine worked it out: it is the one that the report is made with.
 */
export function withBest(open: OpenSurvey, now: Live | null, isLive: boolean): OpenSurvey {
  if (!now || now.survey !== open.row.id) return open;
  const office = open.assessment;
  if (office && !open.changedSince && office.assessment.engine !== now.answer.assessment.engine) return open;
  const isOfNow = now.edits === open.row.edits && now.cursor === open.row.cursor && now.book === open.book;
  const isCurrent = isOfNow && !now.isTried;
  if (isOfNow || isLive) return { ...open, assessment: now.answer, changedSince: false, isLive, isCurrent };
  if (office && (!open.changedSince || office.at > now.answer.at)) return open;
  return { ...open, assessment: now.answer, changedSince: true, isCurrent: false };
}
