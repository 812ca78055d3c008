/** What was taken away: each with what went along, and the way to bring it back; where that cannot be kept, it says so and offers nothing. */
import { useEffect, useState } from 'preact/hooks';
import { dayWords } from '../domain/check.ts';
import { kindOf } from '../domain/model.ts';
import { recordWords } from '../forms/names.ts';
import { keep, useOneAtATime } from '../forms/saving.tsx';
import type { OpenSurvey } from '../store/live.ts';
import { bringBack, watchTaken, type TakenHere } from '../store/taken.ts';
import { Page } from '../ui/Page.tsx';
import { recordLink, surveyLink } from '../ui/router.ts';
import type { StageScreenProps } from './props.ts';

export function TakenScreen({ open }: StageScreenProps) {
  const { survey } = open;
  const [live] = useState(() => watchTaken(survey.id));
  useEffect(() => live.stop, []);
  const fault = live.error.value;
  if (fault) throw new Error(`What was taken away could not be read: ${fault}`);
  const taken = live.value.value;
  const [back, setBack] = useState<{ kind: string; id: string; words: string } | null>(null);
  return (
    <Page title="Taken away" over={survey.title()} back={surveyLink(survey.id)} backWords="the walk">
      {back && survey.find(back.kind, back.id) && (
        <p role="status">
          {back.words} is back. <a href={recordLink(survey.id, back.kind, back.id)}>Go to it</a>
        </p>
      )}
      {taken?.length === 0 && <p>Nothing waits to be brought back.</p>}
      {taken && taken.length > 0 && (
        <ul class="list">
          {taken.map((item) => (
            <TakenRow
              key={`${item.record.kind}/${item.record.id}`}
              open={open}
              item={item}
              onBack={(words) => setBack({ kind: item.record.kind, id: item.record.id, words })}
            />
          ))}
        </ul>
      )}
    </Page>
  );
}

function TakenRow({ open, item, onBack }: { open: OpenSurvey; item: TakenHere; onBack: (words: string) => void }) {
  const { record, along } = item;
  const words = recordWords(open.survey, record);
  const act = useOneAtATime(async () => {
    if (await keep(() => bringBack(open.survey.id, record.kind, record.id), false)) onBack(words);
  });
  const why = whyNot(open, item);
  return (
    <li class="row taken">
      <span class="row-words">
        <span>{words}</span>
        <small>{[kindOf(record.kind).label, ...alongWords(along)].join(', ')}</small>
        {item.until !== null && (
          <small>
            Its picture is on this phone only, and stays here until {dayWords(new Date(item.until).toISOString())}.
          </small>
        )}
        {item.picture === 'office' && <small>The office has its picture.</small>}
        {why && <small class="field-problem">{why}</small>}
      </span>
      {!why && (
        <button type="button" class="button" aria-label={`Bring back ${words}`} onClick={() => act()}>
          Bring back
        </button>
      )}
    </li>
  );
}

/** Why a record cannot come back, or not yet; empty when it can. */
function whyNot(open: OpenSurvey, { first, picture }: TakenHere): string {
  if (picture === 'gone') return 'It cannot be brought back: its picture is gone. Take it again.';
  return first ? `Bring back ${recordWords(open.survey, first)} first: it belongs to that.` : '';
}

function alongWords(along: readonly { kind: string }[]): string[] {
  const counts = new Map<string, number>();
  for (const { kind } of along) counts.set(kind, (counts.get(kind) ?? 0) + 1);
  return [...counts].map(([kind, count]) =>
    count === 1 ? `one ${kindOf(kind).label.toLowerCase()}` : `${count} ${kindOf(kind).plural.toLowerCase()}`,
  );
}
