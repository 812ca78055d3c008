/** What to look at before a version is made: the red points, each with room for a written reason, then the amber ones. */
import { useState } from 'preact/hooks';
import { pointKey, type Point } from '../../domain/office.ts';
import { draftOf, keepDraft } from '../../forms/drafts.ts';
import { recordWords } from '../../forms/names.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { link, recordLink } from '../../ui/router.ts';
import { StateMark } from './parts.tsx';

/** What was written for each point, kept until the app is closed or the version is asked for. */
export interface Reasons {
  of: (point: Point) => string;
  write: (point: Point, words: string) => void;
  clear: (keys: readonly string[]) => void;
}

export function useReasons(survey: string): Reasons {
  const [, setTurn] = useState(0);
  const path = (key: string): string => `reason/${survey}/${key}`;
  const drawAgain = () => setTurn((turn) => turn + 1);
  return {
    of: (point) => draftOf(path(pointKey(point))) ?? '',
    write: (point, words) => {
      keepDraft(path(pointKey(point)), words || null);
      drawAgain();
    },
    clear: (keys) => {
      for (const key of keys) keepDraft(path(key), null);
      drawAgain();
    },
  };
}

export function Points({
  open,
  points,
  reasons,
  isKnown,
}: {
  open: OpenSurvey;
  points: readonly Point[];
  reasons: Reasons;
  isKnown: boolean;
}) {
  const red = points.filter((point) => point.weight === 'red');
  const amber = points.filter((point) => point.weight !== 'red');
  if (!isKnown) return <p>What stands against a version comes from the office.</p>;
  if (points.length === 0) return <StateMark state={{ words: 'Nothing stands against a version', tone: 'good' }} />;
  return (
    <>
      {red.length > 0 && (
        <section aria-labelledby="points-red">
          <h3 id="points-red">Red: settle it, or write why the version is made all the same</h3>
          <ul class="list points">
            {red.map((point, place) => (
              <li key={pointKey(point)}>
                <Said open={open} point={point} tone="stop" />
                <label class="field-label" for={`reason-${place}`}>
                  Reason{' '}
                  <span class="hidden-words">
                    for: {point.title}. {point.words}
                  </span>
                </label>
                <textarea
                  class="input"
                  id={`reason-${place}`}
                  rows={2}
                  maxLength={2000}
                  value={reasons.of(point)}
                  onInput={(event) => reasons.write(point, event.currentTarget.value)}
                />
              </li>
            ))}
          </ul>
        </section>
      )}
      {amber.length > 0 && (
        <section aria-labelledby="points-amber">
          <h3 id="points-amber">Amber: look once</h3>
          <ul class="list points">
            {amber.map((point) => (
              <li key={pointKey(point)}>
                <Said open={open} point={point} tone="check" />
              </li>
            ))}
          </ul>
        </section>
      )}
    </>
  );
}

function Said({ open, point, tone }: { open: OpenSurvey; point: Point; tone: 'stop' | 'check' }) {
  const [kind = '', id = ''] = point.record.split('/');
  const record = open.survey.find(kind, id);
  return (
    <>
      <StateMark state={{ words: point.title, tone }} />
      <p>{point.words}</p>
      {point.code.startsWith('firm_') && (
        <p>
          <a class="more" href={link('office', 'firm')}>
            The firm
          </a>
        </p>
      )}
      {record && (
        <p>
          <a class="more" href={recordLink(open.survey.id, kind, id)}>
            {recordWords(open.survey, record)}
          </a>
        </p>
      )}
    </>
  );
}
