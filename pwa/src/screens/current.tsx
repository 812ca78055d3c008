/** The survey that is open, read once and kept fresh while one moves between its screens. */
import { useEffect } from 'preact/hooks';
import { BOOK } from '../domain/book.ts';
import { Page } from '../ui/Page.tsx';
import { Notice } from '../ui/Notice.tsx';
import { follow, withLive } from '../engine/live.ts';
import { route } from '../ui/router.ts';
import { keepSetting, LAST_SURVEY } from '../store/setting.ts';
import { watchSurvey, type Live, type Opened, type OpenSurvey } from '../store/live.ts';
import { fetchToPhone } from '../store/surveys.ts';
import { holdWriter, type Writer } from '../store/writer.ts';
import { syncNow, waits } from '../sync/loop.ts';
import { keep } from '../forms/saving.tsx';

let current: { id: string; live: Live<OpenSurvey | null>; writer: Writer; end: () => void } | null = null;

function liveOf(id: string, isForm = false): Live<OpenSurvey | null> {
  if (current?.id === id) return current.live;
  current?.live.stop();
  current?.end();
  current?.writer.end();
  const live = watchSurvey(id, isForm);
  let isKept = id === BOOK;
  // An address alone tells of no survey: it may be somebody else's, who has signed out here.
  const stop = live.value.subscribe((open) => {
    if (open && !isKept) keepSetting(LAST_SURVEY, id);
    isKept ||= Boolean(open);
  });
  const unfollow = id === BOOK ? () => {} : follow(live.value);
  const end = () => {
    stop();
    unfollow();
  };
  current = { id, live, writer: holdWriter(id), end };
  return live;
}

/** Whether this tab writes the survey that is open. */
export function writerOf(id: string): Writer {
  liveOf(id);
  return current!.writer;
}

/** Start reading the survey that the address names, before anything is drawn: the store answers the sooner. */
export function openAhead(isDrawnAhead: (kind: string) => boolean): void {
  const { path, query } = route.peek();
  const [first, id, part, kind] = path;
  if (first !== 'survey' || !id) return;
  // A field that is asked for is brought to the middle of the screen, which wants all that stands below it.
  liveOf(id, part === 'record' && kind !== undefined && isDrawnAhead(kind) && !query.has('field'));
}

export function useSurvey(id: string): Opened {
  const live = liveOf(id);
  const fault = live.error.value;
  useEffect(() => {
    if (fault) console.error('The survey could not be read:', fault);
  }, [fault]);
  if (fault) throw new Error(`The survey on this phone could not be read: ${fault}`);
  const open = live.value.value;
  return open && !open.isAhead ? withLive(open) : open;
}

export function MissingScreen({ words, back, survey }: { words: string; back: string; survey?: string }) {
  const canFetch = survey !== undefined && waits.value?.session;
  return (
    <Page title="Not here" back={back} backWords="surveys">
      <Notice tone="warning">
        <p>{words}</p>
        {canFetch && (
          <div class="buttons">
            <button
              type="button"
              class="button"
              onClick={() =>
                void keep(() => fetchToPhone(survey), false).then((done) => {
                  if (done) void syncNow();
                })
              }
            >
              Fetch it from the office
            </button>
          </div>
        )}
      </Notice>
      <a class="button" href={back}>
        Go back
      </a>
    </Page>
  );
}
