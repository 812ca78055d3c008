/** Windows and doors of a part of a side. */
import { useRef, useState } from 'preact/hooks';
import type { Facing, Side } from '../../domain/box.ts';
import { NBSP, plainNumber } from '../../domain/check.ts';
import { newOpening } from '../../domain/entry.ts';
import { newId } from '../../domain/ids.ts';
import type { Values } from '../../domain/model.ts';
import type { SurveyRecord } from '../../domain/survey.ts';
import { keep } from '../../forms/saving.tsx';
import { SizesInput } from '../../forms/Sizes.tsx';
import { offerBack } from '../../forms/taking.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { changeRecord, saveEdits } from '../../store/surveys.ts';
import { bring } from '../../ui/reach.ts';
import { recordLink } from '../../ui/router.ts';

export function Openings({
  open,
  room,
  wall,
  side,
  openings,
}: {
  open: OpenSurvey;
  room: SurveyRecord;
  wall: SurveyRecord;
  side: Side;
  openings: Facing[];
}) {
  const kinds =
    wall.values['element'] === 'roof'
      ? (['rooflight'] as const)
      : wall.values['element'] === 'partition'
        ? (['door'] as const)
        : (['window', 'door'] as const);
  return (
    <div class="openings">
      {openings.map(({ record }) => (
        <OpeningRow key={record.id} open={open} opening={record} />
      ))}
      {kinds.map((element) => (
        <NewOpening key={element} open={open} room={room} wall={wall} side={side} element={element} />
      ))}
    </div>
  );
}

/** Of one opening, counted in one record. */
const MOST_ALIKE = 50;
const OPENING_WORDS = { window: 'window', door: 'door', rooflight: 'roof window' } as const;

export function sizeWords(values: Values): string {
  const [width, height] = [values['width_m'], values['height_m']];
  return typeof width === 'number' && typeof height === 'number'
    ? `${plainNumber(width, 2)} × ${plainNumber(height, 2)}${NBSP}m`
    : 'size not known';
}

function OpeningRow({ open, opening }: { open: OpenSurvey; opening: SurveyRecord }) {
  const count = typeof opening.values['count'] === 'number' ? opening.values['count'] : 1;
  // Tapped on faster than it is stored, each tap still counts.
  const countOn = async (step: number) => {
    let isLast = false;
    const done = await keep(() =>
      changeRecord(open.survey.id, 'surface', opening.id, (present): Values => {
        const next = Math.min((typeof present['count'] === 'number' ? present['count'] : 1) + step, MOST_ALIKE);
        isLast = next <= 0;
        return isLast ? { deleted: true } : { count: next };
      }),
    );
    if (done && isLast) offerBack(open.survey, 'surface', opening.id);
  };
  const words = OPENING_WORDS[opening.values['element'] as keyof typeof OPENING_WORDS] ?? 'opening';
  return (
    <div class="opening">
      <a class="more" href={recordLink(open.survey.id, 'surface', opening.id)}>
        {count} × {words}, {sizeWords(opening.values)}
      </a>
      <div class="buttons">
        <button
          type="button"
          class="button"
          aria-label={count === 1 ? `Take this ${words} away` : `One ${words} less`}
          onClick={() => void countOn(-1)}
        >
          −
        </button>
        <button
          type="button"
          class="button"
          aria-label={`One ${words} more`}
          disabled={count >= MOST_ALIKE}
          onClick={() => void countOn(1)}
        >
          +
        </button>
      </div>
    </div>
  );
}

/** A window or a door: its size in one line, or the same as the last one of the survey. */
function NewOpening({
  open,
  room,
  wall,
  side,
  element,
}: {
  open: OpenSurvey;
  room: SurveyRecord;
  wall: SurveyRecord;
  side: Side;
  element: keyof typeof OPENING_WORDS;
}) {
  const { survey } = open;
  const [isOpen, setOpen] = useState(false);
  const box = useRef<HTMLDivElement>(null);
  const isInside = wall.values['element'] === 'partition';
  const isAlike = (item: SurveyRecord) =>
    item.values['element'] === element &&
    (survey.find('surface', item.values['opening_in'])?.values['element'] === 'partition') === isInside;
  const last = survey
    .ofKind('surface')
    .filter(
      (item) =>
        isAlike(item) && typeof item.values['width_m'] === 'number' && typeof item.values['height_m'] === 'number',
    )
    .at(-1);
  const save = async (size: Values) => {
    await saveEdits(survey.id, newOpening(survey, wall, { room: room.id, element, side, ...size }, newId));
    setOpen(false);
    bring(() => box.current?.closest('.sheet')?.querySelector<HTMLElement>(':scope > .buttons'));
  };
  const words = OPENING_WORDS[element];
  return (
    <>
      <div class="buttons" ref={box}>
        <button type="button" class="button" aria-expanded={isOpen} onClick={() => setOpen(!isOpen)}>
          Add a {words}
        </button>
        {last && (
          <button
            type="button"
            class="button"
            onClick={() =>
              void keep(() => save({ width_m: last.values['width_m']!, height_m: last.values['height_m']! }))
            }
          >
            Same as the last {words}: {sizeWords(last.values)}
          </button>
        )}
      </div>
      {isOpen && (
        <SizesInput
          label={`Width × height of the ${words}`}
          unit="m"
          kind="surface"
          names={['width_m', 'height_m']}
          values={{}}
          example="1.2 x 1.05"
          isFocused
          isCounted
          help="Several alike: their number first, such as 2 x 1.2 x 1.05."
          path={`${survey.id}/surface/new-${wall.id}-${element}`}
          onSave={save}
        />
      )}
    </>
  );
}
