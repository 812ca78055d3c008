/** Asking for a report version, and how far the one is that was asked for: the office says so, whoever asked and from wherever. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { fieldLabel, type ContestedField } from '../../domain/contested.ts';
import { isUnderWay, jobWords, pointKey } from '../../domain/office.ts';
import { waitingWords } from '../../domain/words.ts';
import { recordWords, wordsFor } from '../../forms/names.ts';
import { surveysWaiting } from '../../store/exchange.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { syncNow } from '../../sync/loop.ts';
import { askForReport, fetchPoints, troubleWith, type Versions } from '../../sync/office.ts';
import { Notice } from '../../ui/Notice.tsx';
import { officeLink, StateMark, Trouble } from './parts.tsx';
import { Points, useReasons } from './Points.tsx';
import { useRemote, type Remote } from './remote.ts';

/** While a version is being made, the page looks again after so long. */
const LOOK_AGAIN_MS = 1500;

export function Making({ open, next, remote }: { open: OpenSurvey; next: number | null; remote: Remote<Versions> }) {
  const job = remote.value?.job ?? null;
  const isMoving = isUnderWay(job);
  const followed = useRef<string | null>(null);
  useEffect(() => {
    if (!isMoving) return undefined;
    const timer = setInterval(() => {
      if (document.visibilityState === 'visible') void remote.refresh();
    }, LOOK_AGAIN_MS);
    return () => clearInterval(timer);
  }, [isMoving, job?.id, remote.version]);
  useEffect(() => {
    if (isMoving) followed.current = job?.id ?? null;
    else if (job && followed.current === job.id) {
      followed.current = null;
      // The survey's own line names its newest version, here and in the list.
      void syncNow();
    }
  }, [isMoving, job?.id]);
  if (!isMoving && open.row.contested.length > 0) return <Contested open={open} />;
  return <Ask open={open} next={next} remote={remote} />;
}

function Contested({ open }: { open: OpenSurvey }) {
  const { survey, row } = open;
  const contested: ContestedField[] = row.contested;
  return (
    <Notice tone="stop">
      <p>
        <b>No report can be made</b> while{' '}
        {contested.length === 1 ? 'one answer was' : `${contested.length} answers were`} given twice: nobody could say
        which of them it stands on.
      </p>
      <ul class="office-list">
        {contested.map((item) => {
          const record = survey.find(item.kind, item.record);
          const name = record ? recordWords(survey, record) : (item.title ?? wordsFor(survey, item.kind, item.record));
          return (
            <li key={`${item.record}/${item.field}`}>
              <a href={officeLink(survey.id, 'came')}>
                {name}: {fieldLabel(item.kind, item.field)}
              </a>
            </li>
          );
        })}
      </ul>
      <div class="buttons">
        <a class="button button-main" href={officeLink(survey.id, 'came')}>
          Pick which stands
        </a>
      </div>
    </Notice>
  );
}

function Ask({ open, next, remote }: { open: OpenSurvey; next: number | null; remote: Remote<Versions> }) {
  const { survey, row } = open;
  const [isBusy, setBusy] = useState(false);
  const [words, setWords] = useState<string | null>(null);
  const job = remote.value?.job ?? null;
  const isMoving = isUnderWay(job);
  const waiting = waitingWords(open.waiting, 0);
  const asked = useRemote(`points/${survey.id}`, `${row.cursor}/${row.latest_report ?? 0}`, () =>
    fetchPoints(survey.id),
  );
  const points = asked.value?.points ?? [];
  const reasons = useReasons(survey.id);
  const unsaid = points.filter((point) => point.weight === 'red' && !reasons.of(point).trim());
  const make = async () => {
    setBusy(true);
    setWords(null);
    if (waiting) await syncNow();
    if ((await surveysWaiting()).includes(survey.id)) {
      setWords(
        'Changes of this survey are still on this device, and the office does not take them just now: a version without them would be wrong. Try again when the line above says that they are at the office.',
      );
    } else {
      const said = points.filter((point) => point.weight === 'red');
      const reply = await askForReport(
        survey.id,
        said.map((point) => ({
          code: point.code,
          record: point.record,
          about: point.about,
          reason: reasons.of(point).trim(),
        })),
      );
      if (reply.kind === 'ok') reasons.clear(said.map(pointKey));
      if (reply.kind === 'none')
        setWords(
          `${troubleWith(reply)} It may have been asked for all the same: this page says so once the office answers.`,
        );
      else if (reply.kind !== 'ok') setWords(`Not made: ${troubleWith(reply)}`);
      await Promise.all([remote.refresh(), asked.refresh()]);
    }
    setBusy(false);
  };
  // What was just answered is newer than how the one before ended.
  const said = job && !(words && job.state === 'failed') && jobWords(job);
  return (
    <section class="sheet" aria-label="A new version">
      {!isMoving && (
        <>
          <Trouble words={asked.trouble} isShown={asked.value !== null} onAgain={() => void asked.refresh()} />
          <Points open={open} points={points} reasons={reasons} isKnown={asked.value !== null} />
        </>
      )}
      {!isMoving && waiting && <p>{waiting} on this device: sent first.</p>}
      <div role="status">{said && <StateMark state={said} />}</div>
      {isMoving && <p class="field-notes">The office makes it by itself. You can leave this page; it will be here.</p>}
      {!isMoving && (
        <div class="buttons">
          <button
            type="button"
            class="button button-main"
            disabled={isBusy || row.cursor + open.waiting === 0 || asked.value === null || unsaid.length > 0}
            aria-describedby={unsaid.length > 0 ? 'reasons-wanted' : undefined}
            onClick={() => void make()}
          >
            {isBusy ? 'Asking the office' : next === null ? 'Make the next version' : `Make version ${next}`}
          </button>
        </div>
      )}
      {!isMoving && unsaid.length > 0 && (
        <p id="reasons-wanted">
          {unsaid.length === 1 ? 'One red point wants' : `${unsaid.length} red points want`} a reason above before the
          version can be made.
        </p>
      )}
      <p class="field-problem" role="alert">
        {words}
      </p>
    </section>
  );
}
