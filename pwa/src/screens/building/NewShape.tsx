/** A new part of a room's floor or a new slope of its ceiling: on which side, then its sizes. Read only when one is wanted. */
import { useState } from 'preact/hooks';
import { SIDE_WORDS } from '../../domain/box.ts';
import { fieldOf, rowsIn, type Row } from '../../domain/model.ts';
import { PARTS, SLOPES, WALL_NAMES } from '../../domain/shape.ts';
import type { SurveyRecord } from '../../domain/survey.ts';
import { SizesInput } from '../../forms/Sizes.tsx';

function Where({
  label,
  places,
  chosen,
  onChoose,
}: {
  label: string;
  places: { value: string; label: string }[];
  chosen: string | null;
  onChoose: (place: string) => void;
}) {
  return (
    <div class="field" role="group" aria-label={label}>
      <p class="field-label">{label}</p>
      <div class="choices">
        {places.map((place) => (
          <button
            key={place.value}
            type="button"
            class="choice"
            aria-pressed={chosen === place.value}
            onClick={() => onChoose(place.value)}
          >
            <span class="choice-words">{place.label}</span>
          </button>
        ))}
      </div>
    </div>
  );
}

/** What is told of one thing, such as a bay, until it is whole and added. */
interface NewProps {
  path: string;
  onAdd: (row: Row) => Promise<unknown>;
}

const SIZE_LABELS = {
  corner: 'What is missing: along the front × deep',
  rectangle: 'Along that side × deep',
  bay: 'Opening × depth × width of its front',
};

export type NewPartProps = NewProps & { what: keyof typeof SIZE_LABELS };

export function NewPart({ what, path, onAdd }: NewPartProps) {
  const [where, setWhere] = useState<string | null>(null);
  const all = fieldOf('room', PARTS).rows?.find((item) => item.name === 'where')?.choices ?? [];
  const isCorner = what === 'corner';
  const places = all.filter((item) => (WALL_NAMES as string[]).includes(item.value) !== isCorner);
  return (
    <>
      <Where label={isCorner ? 'Which corner?' : 'On which side?'} places={places} chosen={where} onChoose={setWhere} />
      {where && (
        <SizesInput
          key={where}
          label={SIZE_LABELS[what]}
          unit="m"
          kind="room"
          rows={PARTS}
          names={what === 'bay' ? ['along_m', 'depth_m', 'outer_m'] : ['along_m', 'depth_m']}
          values={{}}
          example={what === 'bay' ? '2.4 x 0.6 x 1.6' : '1.4 x 2'}
          help={what === 'bay' ? 'For a square bay leave out the last one.' : ''}
          isLastKnown={what === 'bay'}
          isFocused
          path={path}
          onSave={(size) => onAdd({ what, where, ...(size as Row) })}
        />
      )}
    </>
  );
}

export type NewSlopeProps = NewProps & { room: SurveyRecord };

export function NewSlope({ room, path, onAdd }: NewSlopeProps) {
  const [side, setSide] = useState<string | null>(null);
  const [isToFloor, setToFloor] = useState(false);
  const [isUpwards, setUpwards] = useState(false);
  const taken = rowsIn(room.values, SLOPES).map((row) => row['side']);
  const reach = isUpwards ? 'slope_m' : 'run_m';
  const reachWords = isUpwards ? 'length up the slope' : 'how far it reaches in';
  return (
    <>
      <Where
        label="Down to which side?"
        places={WALL_NAMES.filter((wall) => !taken.includes(wall)).map((wall) => ({
          value: wall,
          label: SIDE_WORDS[wall],
        }))}
        chosen={side}
        onChoose={setSide}
      />
      {side && (
        <>
          <SizesInput
            key={`${side}${isToFloor}${reach}`}
            label={
              isToFloor ? reachWords.replace(/^./, (letter) => letter.toUpperCase()) : `Wall below it × ${reachWords}`
            }
            unit="m"
            kind="room"
            rows={SLOPES}
            names={isToFloor ? [reach] : ['low_m', reach]}
            values={{}}
            example={isToFloor ? '2.1' : '1.0 x 1.6'}
            help={isUpwards ? 'Measured along the plaster.' : 'Measured level, on the floor.'}
            isFocused
            path={path}
            onSave={(size) => onAdd({ side, ...(isToFloor ? { low_m: 0 } : {}), ...(size as Row) })}
          />
          <div class="buttons">
            <button type="button" class="button" aria-pressed={isToFloor} onClick={() => setToFloor(!isToFloor)}>
              Comes down to the floor
            </button>
            <button type="button" class="button" aria-pressed={isUpwards} onClick={() => setUpwards(!isUpwards)}>
              Measured up the slope
            </button>
          </div>
        </>
      )}
    </>
  );
}
