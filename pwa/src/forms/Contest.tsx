/** One contested field: every answer with who gave it, when and where, each a tap to let it stand. The pick is itself a change. */
import { useEffect, useState } from 'preact/hooks';
import { keptAfterAll } from '../domain/box.ts';
import { byWords, sideWords, type ContestedField, type ContestedSide } from '../domain/contested.ts';
import { deviceName } from '../store/exchange.ts';
import type { OpenSurvey } from '../store/live.ts';
import { recordsEver, saveEdits } from '../store/surveys.ts';
import { syncNow } from '../sync/loop.ts';
import { recordLink } from '../ui/router.ts';
import { recordWords, wordsFor } from './names.ts';
import { keep } from './saving.tsx';

export interface ContestProps {
  open: OpenSurvey;
  item: ContestedField;
  /** Beside its field, where record and question stand already. */
  isAtField?: boolean;
}

export function Contest({ open, item, isAtField }: ContestProps) {
  const { survey } = open;
  const [own, setOwn] = useState<string | null>(null);
  useEffect(() => void deviceName().then(setOwn, () => undefined), []);
  const record = survey.find(item.kind, item.record);
  const name = record ? recordWords(survey, record) : (item.title ?? wordsFor(survey, item.kind, item.record));
  const newest = Math.max(...item.values.map((side) => side.revision ?? 0));
  const pick = async (side: ContestedSide) => {
    const pickSide = async () => {
      // Whoever keeps a room keeps it with all that went with it.
      const removal =
        item.field === 'deleted' && side.value === false
          ? item.values.find((other) => other.value === true)
          : undefined;
      const edits = removal?.revision
        ? keptAfterAll(await recordsEver(survey.id), item.kind, item.record, removal.revision)
        : [{ kind: item.kind, id: item.record, values: { [item.field]: side.value } }];
      await saveEdits(survey.id, edits, true);
    };
    if (await keep(pickSide)) void syncNow();
  };
  return (
    <div class="contest" role="group" aria-label={`${name}: ${item.label}`}>
      {!isAtField && (
        <p>
          <b>
            {name}: {item.field === 'deleted' ? 'one took it away, the other went on with it' : item.label}
          </b>
        </p>
      )}
      <p>
        {item.field === 'deleted'
          ? 'Pick what becomes of it.'
          : "Two people answered without having seen each other's answer. Pick the one that stands."}{' '}
        Until then no report can be made.
      </p>
      <div class="choices choices-long">
        {item.values.map((side) => (
          <button key={side.change} type="button" class="choice choice-act" onClick={() => void pick(side)}>
            <span class="choice-words">
              <span>{sideWords(survey, item, side)}</span>
              <small>{byWords(side, own)}</small>
              {side.revision === newest && <small>came last, counts for now</small>}
            </span>
          </button>
        ))}
      </div>
      {!isAtField && record && (
        <p>
          <a href={recordLink(survey.id, item.kind, item.record, item.field === 'deleted' ? null : item.field)}>
            Neither: answer it anew
          </a>
        </p>
      )}
    </div>
  );
}
