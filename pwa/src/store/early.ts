/**
 * Reads what the first screen shows while the app's own scripts are still being fetched.
 *
 * The page loads this as a script of its own, so it imports nothing but types, and knows the store by its names alone. It only reads;
 * where anything is otherwise than it expects it leaves the work to the store, which reads everything again in any case.
 */
import type { FirstReading, SurveyRows } from './first_reading.ts';

const NAMES = ['meta', 'outbox', 'photos', 'refused', 'surveys', 'records', 'assessments'];

/** Milliseconds after which a store that is held up is left to the app, which says so in words. */
const PATIENCE_MS = 3_000;

function answerOf<T>(request: IDBRequest): Promise<T> {
  return new Promise((done, fail) => {
    request.onsuccess = () => done(request.result as T);
    request.onerror = () => fail(request.error ?? new Error('no answer'));
  });
}

function open(): Promise<IDBDatabase> {
  const asked = indexedDB.open('wattwalk');
  // A store that is not there is made by the app, not here.
  asked.onupgradeneeded = () => asked.transaction?.abort();
  return answerOf(asked);
}

async function read(store: IDBDatabase): Promise<FirstReading> {
  const reading = store.transaction(NAMES, 'readonly');
  const from = (name: string) => reading.objectStore(name);
  const meta = async (name: string) => (await answerOf<{ value?: unknown } | undefined>(from('meta').get(name)))?.value;
  const id = /^#\/survey\/([^/?]+)/.exec(location.hash)?.[1];
  const survey = id === undefined ? '' : decodeURIComponent(id);
  // By the beginning of the key, which the browser reads quicker than by an index.
  const all = <T>(name: string) =>
    answerOf<T[]>(from(name).getAll(IDBKeyRange.bound(`${survey}/`, `${survey}/\uffff`)));
  // What the firm's book lends a survey; the list leans on none of it, and the book lends itself nothing.
  const leans = survey !== '' && survey !== 'book:firm';
  const lent = IDBKeyRange.bound('book:firm/unit/', 'book:firm/unit/\uffff');
  const reads = Promise.all([
    meta('session'),
    meta('needs_sign_in'),
    meta('leaving'),
    answerOf<number>(from('outbox').count()),
    answerOf<SurveyRows['photos']>(from('photos').index('arrived').getAll(0)),
    answerOf<number>(from('refused').count()),
    answerOf<SurveyRows['row'] | undefined>(from('surveys').get(survey)),
    all<SurveyRows['records'][number]>('records'),
    answerOf<number>(from('outbox').index('survey').count(survey)),
    answerOf<SurveyRows['refused']>(from('refused').index('survey').getAll(survey)),
    all<SurveyRows['photos'][number]>('photos'),
    leans ? answerOf<SurveyRows['book']['row']>(from('surveys').get('book:firm')) : undefined,
    leans ? answerOf<SurveyRows['book']['records']>(from('records').getAll(lent)) : [],
  ]);
  // Last of all, since answers come one after the other and this one may be a megabyte: what is asked before it does not wait for it.
  const assessment = Promise.race([
    answerOf<Awaited<SurveyRows['assessment']>>(from('assessments').get(survey)),
    patience.then(() => {
      throw new Error('held up');
    }),
  ]);
  // A reading that breaks off is told by whoever waits for it.
  assessment.catch(() => undefined);
  const [
    session,
    needs,
    leaving,
    changes,
    photos,
    refused,
    row,
    records,
    waiting,
    refusedHere,
    pictures,
    bookRow,
    bookRecords,
  ] = await reads;
  return {
    held: {
      changes,
      photos,
      refused,
      session: (session as FirstReading['held']['session'] | undefined) ?? null,
      needsSignIn: needs === true,
      isLeaving: leaving !== undefined,
    },
    // Without anybody signed in there is nothing to show.
    surveys:
      row && session
        ? {
            [survey]: {
              row,
              records,
              waiting,
              refused: refusedHere,
              photos: pictures,
              assessment,
              book: { row: bookRow, records: bookRecords },
            },
          }
        : {},
  };
}

async function readAhead(): Promise<FirstReading | null> {
  const store = await open();
  // A newer app that wants another shape of the store is not held up.
  store.onversionchange = () => store.close();
  // The connection stays for a moment: while it does, the app's own opens at once.
  setTimeout(() => store.close(), 5_000);
  return NAMES.every((name) => store.objectStoreNames.contains(name)) ? read(store) : null;
}

const patience = new Promise<null>((done) => setTimeout(() => done(null), PATIENCE_MS));
globalThis.wattwalkFirstReading = Promise.race([readAhead().catch(() => null), patience]);
try {
  // The first setting that is asked for waits until the browser has read them all: let it read them while the app's own scripts come.
  localStorage.getItem('');
} catch {
  // Where there are none to read, nothing waits for them.
}
