/** What came in: from whom and when, photos, what was answered twice, what was refused. */
import { fieldLabel, loggedWords, type ContestedField } from '../../domain/contested.ts';
import type { RefusedChange } from '../../domain/office.ts';
import { marksInWords, readStrokes } from '../../domain/marks.ts';
import type { Value } from '../../domain/model.ts';
import { inThousands, momentWords, waitingWords } from '../../domain/words.ts';
import { Contest } from '../../forms/Contest.tsx';
import { wordsFor } from '../../forms/names.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { waits } from '../../sync/loop.ts';
import { fetchHistory, fetchView, photoAtOffice, type OfficeView } from '../../sync/office.ts';
import { historyLink, recordLink } from '../../ui/router.ts';
import { Picture } from '../photos/Picture.tsx';
import { StateMark, Trouble } from './parts.tsx';
import { useRemote } from './remote.ts';

const ANYTHING = { record: '', field: '', person: '', day: '', words: '' };

export function Came({ open }: { open: OpenSurvey }) {
  const { survey, row } = open;
  const view = useRemote(
    `view/${survey.id}`,
    `${row.cursor}/${open.refused.length}/${row.photos_at_office.filter((photo) => photo.arrived).length}`,
    () => fetchView(survey.id),
  );
  const newest = useRemote(`newest/${survey.id}`, row.cursor, () => fetchHistory(survey.id, ANYTHING, 1));
  const last = newest.value?.changes[0];
  const waiting = waitingWords(open.waiting, open.photos.filter((photo) => photo.arrived === 0).length);
  return (
    <>
      <Trouble
        words={view.trouble ?? newest.trouble}
        isShown={view.value !== null}
        onAgain={() => {
          void view.refresh();
          void newest.refresh();
        }}
      />
      <section class="sheet" aria-label="How far">
        <p>
          {row.cursor === 0 ? 'Nothing has come in yet.' : `${inThousands(row.cursor)} changes have come in.`}
          {last
            ? ` The last is of ${last.user ?? 'somebody unknown'}, ${momentWords(Date.parse(last.received_at))}.`
            : ''}{' '}
          {row.cursor > 0 && (
            <a class="more" href={historyLink(survey.id)}>
              History
            </a>
          )}
        </p>
        {waiting && (
          <p>
            <b>{waiting} on this device</b>: not at the office yet.
          </p>
        )}
      </section>
      <Contested open={open} />
      <Refused open={open} view={view.value} />
      <Photos open={open} photos={view.value?.photos ?? row.photos_at_office} onLost={() => void view.refresh()} />
    </>
  );
}

function Contested({ open }: { open: OpenSurvey }) {
  const contested: ContestedField[] = open.row.contested;
  if (contested.length === 0) return null;
  return (
    <section aria-labelledby="given-twice">
      <h3 id="given-twice">Answered twice</h3>
      <p class="field-notes">One tap picks the answer that stands; the other stays in the log.</p>
      <ul class="office-decide">
        {contested.map((item) => (
          <li key={`${item.kind}/${item.record}/${item.field}`}>
            <Contest open={open} item={item} />
          </li>
        ))}
      </ul>
    </section>
  );
}

/** Refused by the office, on whichever device it was typed. */
function Refused({ open, view }: { open: OpenSurvey; view: OfficeView | null }) {
  const here: Pick<RefusedChange, 'id' | 'kind' | 'record' | 'field' | 'value' | 'problem' | 'made_at'>[] =
    open.refused;
  const there = view?.refused ?? [];
  const known = new Set(there.map((item) => item.id));
  const all = [
    ...there,
    ...here
      .filter((item) => !known.has(item.id))
      .map((item) => ({ ...item, user: waits.value?.session?.user.name ?? null })),
  ];
  if (all.length === 0) return null;
  return (
    <section aria-labelledby="refused">
      <h3 id="refused">Refused</h3>
      <p class="field-notes">
        These answers cannot stand. What was typed is kept; a new answer in the same place takes its place.
      </p>
      <ul class="list works">
        {all.map((item) => {
          const inside = (
            <span class="row-words">
              <span>
                {wordsFor(open.survey, item.kind, item.record)}: {fieldLabel(item.kind, item.field)}
              </span>
              <small>
                Typed: {loggedWords(open.survey, item.kind, item.field, item.value)},{' '}
                {[item.user ?? 'somebody unknown', momentWords(Date.parse(item.made_at))].join(', ')}
              </small>
              <small>
                <b>{item.problem.message}</b>
              </small>
            </span>
          );
          const isThere = open.survey.find(item.kind, item.record) !== undefined;
          return (
            <li key={item.id}>
              {isThere ? (
                <a class="row" href={recordLink(open.survey.id, item.kind, item.record, item.field)}>
                  {inside}
                  <span class="row-side">Answer anew</span>
                </a>
              ) : (
                <div class="row">{inside}</div>
              )}
            </li>
          );
        })}
      </ul>
    </section>
  );
}

function Photos({ open, photos, onLost }: { open: OpenSurvey; photos: OfficeView['photos']; onLost: () => void }) {
  const { survey } = open;
  // A photo of this device that the office has not heard of yet is missing there too.
  const known = new Set(photos.map((photo) => photo.record));
  const all = [
    ...photos,
    ...survey
      .ofKind('photo')
      .filter((record) => typeof record.values['sha256'] === 'string' && !known.has(record.id))
      .map((record) => ({ record: record.id, sha256: String(record.values['sha256']), arrived: false, lost: false })),
  ];
  const arrived = all.filter((photo) => photo.arrived);
  const coming = all.filter((photo) => !photo.arrived && !photo.lost);
  const lost = all.filter((photo) => photo.lost);
  return (
    <section aria-labelledby="photos">
      <h3 id="photos">Photos</h3>
      {all.length === 0 ? (
        <p>No photo has been taken yet.</p>
      ) : (
        <p>
          {arrived.length} of {all.length} {all.length === 1 ? 'photo is' : 'photos are'} at the office.
        </p>
      )}
      {lost.length > 0 && (
        <div class="sheet">
          <StateMark state={{ words: `${lost.length} missing here`, tone: 'stop' }} />
          <ul>
            {lost.map((photo) => (
              <li key={photo.record}>{wordsFor(survey, 'photo', photo.record)}</li>
            ))}
          </ul>
          <p class="field-notes">
            They had come, and the office has lost them since. Any phone that still has them sends them again by itself;
            if none has, take them again. A report made before says so in their place.
          </p>
        </div>
      )}
      {coming.length > 0 && (
        <div class="sheet">
          <StateMark state={{ words: `${coming.length} not here yet`, tone: 'check' }} />
          <ul>
            {coming.map((photo) => (
              <li key={photo.record}>{wordsFor(survey, 'photo', photo.record)}</li>
            ))}
          </ul>
          <p class="field-notes">
            They are on the phone that took them, and come by themselves when it has signal. A report made before says
            so in their place.
          </p>
        </div>
      )}
      {arrived.length > 0 && (
        <ul class="office-photos">
          {arrived.map((photo) => (
            <Photo
              key={photo.record}
              survey={survey.id}
              sha256={photo.sha256}
              strokes={survey.find('photo', photo.record)?.values['strokes']}
              words={wordsFor(survey, 'photo', photo.record)}
              onLost={onLost}
            />
          ))}
        </ul>
      )}
    </section>
  );
}

function Photo({
  survey,
  sha256,
  strokes,
  words,
  onLost,
}: {
  survey: string;
  sha256: string;
  strokes: Value | undefined;
  words: string;
  onLost: () => void;
}) {
  const marks = readStrokes(strokes);
  return (
    <li>
      <a href={photoAtOffice(survey, sha256)} target="_blank" rel="noopener">
        <Picture
          survey={survey}
          sha256={sha256}
          words=""
          strokes={strokes}
          noneWords="The office does not show it"
          onNone={onLost}
        />
        <span>{words}</span>
        {marks.length > 0 && <small>{marksInWords(marks)}</small>}
      </a>
    </li>
  );
}
