/** A storey copied upwards: what lies over each room in a tap, or in none where the guess is right. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { newId } from '../../domain/ids.ts';
import { choiceLabel, fieldOf } from '../../domain/model.ts';
import { copiedUpwards, copyUpwards, usualAbove } from '../../domain/upwards.ts';
import { shortWords } from '../../forms/names.ts';
import { keep, useOneAtATime } from '../../forms/saving.tsx';
import type { OpenSurvey } from '../../store/live.ts';
import { saveEdits } from '../../store/surveys.ts';
import { bring } from '../../ui/reach.ts';

const OFTEN_ABOVE = ['bedroom', 'bathroom', 'hall', 'study'];
const NONE = '';

export function Upwards({ open, storey }: { open: OpenSurvey; storey: string }) {
  const { survey } = open;
  const [isOpen, setOpen] = useState(false);
  const [picked, setPicked] = useState<ReadonlyMap<string, string>>(new Map());
  const sheet = useRef<HTMLElement>(null);
  useEffect(() => {
    if (isOpen) bring(() => sheet.current);
  }, [isOpen]);
  const copied = copiedUpwards(survey, storey);
  const take = useOneAtATime(async (uses: ReadonlyMap<string, string>) => {
    if (await keep(() => saveEdits(survey.id, (present) => copyUpwards(present, storey, uses, newId)))) setOpen(false);
  });
  if (!copied || survey.ofKind('room').length < 2) return null;
  const above = choiceLabel(fieldOf('room', 'storey'), copied.above).toLowerCase();
  if (!isOpen)
    return (
      <button type="button" class="button button-quiet" onClick={() => setOpen(true)}>
        Copy upwards: the rooms of the {above}
      </button>
    );
  const isNamed = (id: string) => survey.children('surface', id).some((item) => item.values['side'] === 'ceiling');
  const free = copied.rooms.filter((room) => !isNamed(room.id));
  const uses = new Map(free.map((room) => [room.id, picked.get(room.id) ?? usualAbove(room.values['use'])]));
  const count = [...uses.values()].filter((use) => use !== NONE).length;
  return (
    <section class="sheet" aria-label={`Copy upwards: ${above}`} ref={sheet}>
      <p>
        As large as the rooms below, with the same walls outside and between. Windows, doors and radiators are asked of
        each.
      </p>
      {free.map((room) => (
        <div key={room.id} class="field" role="group" aria-label={`Over ${shortWords(room)}`}>
          <p class="field-label">Over {shortWords(room)}</p>
          <div class="choices">
            {[...OFTEN_ABOVE, NONE].map((use) => (
              <button
                key={use}
                type="button"
                class="choice"
                aria-pressed={uses.get(room.id) === use}
                onClick={() => setPicked(new Map([...picked, [room.id, use]]))}
              >
                <span class="choice-words">
                  {use === NONE
                    ? 'Nothing'
                    : use === 'hall'
                      ? 'Landing'
                      : choiceLabel(fieldOf('room', 'use'), use).split(' or ')[0]}
                </span>
              </button>
            ))}
          </div>
        </div>
      ))}
      {copied.rooms.length > free.length && (
        <p class="field-notes">A room whose ceiling was spoken of already is left as it is.</p>
      )}
      <div class="buttons">
        <button
          type="button"
          class="button button-main"
          disabled={count === 0}
          onClick={() => take(new Map([...uses].filter(([, use]) => use !== NONE)))}
        >
          {count === 1 ? 'Add one room' : `Add ${count} rooms`}
        </button>
        <button type="button" class="button" onClick={() => setOpen(false)}>
          Copy nothing
        </button>
      </div>
    </section>
  );
}
