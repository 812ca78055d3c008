/** A room that is no plain box: what is added to its floor or missing from it, and how its ceiling slopes, each in a few taps. */
import { useState } from 'preact/hooks';
import { oppositeOf, SIDE_WORDS } from '../../domain/box.ts';
import { NBSP, plainNumber } from '../../domain/check.ts';
import { choiceLabel, fieldOf, rowsIn, type Row } from '../../domain/model.ts';
import { PARTS, ROOM_AREA, shapeOf, SLOPES, VOLUME, type Wall } from '../../domain/shape.ts';
import type { SurveyRecord } from '../../domain/survey.ts';
import { RecordForm } from '../../forms/RecordForm.tsx';
import { keep } from '../../forms/saving.tsx';
import type { OpenSurvey } from '../../store/live.ts';
import { changeRecord } from '../../store/surveys.ts';
import { later } from '../../ui/later.tsx';
import type { NewPartProps, NewSlopeProps } from './NewShape.tsx';

const NewPart = later<NewPartProps>(async () => (await import('./NewShape.tsx')).NewPart);
const NewSlope = later<NewSlopeProps>(async () => (await import('./NewShape.tsx')).NewSlope);

const CHOICES = [
  { what: 'corner', label: 'L-shape: a corner is missing' },
  { what: 'rectangle', label: 'L or T: another rectangle' },
  { what: 'bay', label: 'A bay' },
  { what: 'slope', label: 'Sloping ceiling' },
  { what: 'other', label: 'Other: an area or a volume' },
] as const;
type What = (typeof CHOICES)[number]['what'];

const metres = (value: Row[string] | undefined): string => (typeof value === 'number' ? plainNumber(value, 2) : '?');

function rowWords(name: string, row: Row): string {
  if (name === SLOPES) {
    const reach =
      typeof row['run_m'] === 'number'
        ? `reaches ${metres(row['run_m'])}${NBSP}m in`
        : `${metres(row['slope_m'])}${NBSP}m upwards`;
    const low = row['low_m'] === 0 ? 'to the floor' : `onto ${metres(row['low_m'])}${NBSP}m of wall`;
    return `Slope, ${SIDE_WORDS[row['side'] as Wall]?.toLowerCase() ?? 'side not said'}: ${low}, ${reach}`;
  }
  const [what, where] = ['what', 'where'].map((field) => {
    const spec = fieldOf('room', PARTS).rows?.find((item) => item.name === field);
    return spec ? choiceLabel(spec, row[field] ?? '') : '';
  });
  const front = typeof row['outer_m'] === 'number' ? `, ${metres(row['outer_m'])}${NBSP}m at its front` : '';
  return `${what}, ${where?.toLowerCase()}: ${metres(row['along_m'])} × ${metres(row['depth_m'])}${NBSP}m${front}`;
}

interface Props {
  open: OpenSurvey;
  room: SurveyRecord;
  focus: string | null;
}

export function ShapePanel({ open, room, focus }: Props) {
  const { values } = room;
  const isAsked = focus !== null && [PARTS, SLOPES, VOLUME, ROOM_AREA].includes(focus);
  const [chosen, setChosen] = useState<What | null>(focus === VOLUME || focus === ROOM_AREA ? 'other' : null);
  const hasFigures = values[ROOM_AREA] !== undefined || values[VOLUME] !== undefined;
  const [isOpen, setOpen] = useState(isAsked || hasFigures);
  const change = (name: string, by: (rows: Row[]) => Row[]) =>
    changeRecord(open.survey.id, 'room', room.id, (present) => {
      const rows = by(rowsIn(present, name));
      return { [name]: rows.length > 0 ? rows : null };
    });
  const add = async (name: string, row: Row) => {
    await change(name, (rows) => [...rows, row]);
    setChosen(null);
    setOpen(false);
  };
  const slopes = rowsIn(values, SLOPES);
  const missing = slopes
    .map((row) => oppositeOf(row['side']))
    .find((side) => side !== null && !slopes.some((row) => row['side'] === side));
  const shape = shapeOf(values);
  const figures = shape
    ? [
        shape.floor !== null && `floor ${plainNumber(shape.floor, 2)}${NBSP}m²`,
        shape.volume !== null && values[VOLUME] === undefined && `volume ${plainNumber(shape.volume, 1)}${NBSP}m³`,
      ].filter((words) => words !== false)
    : [];
  return (
    <>
      {[PARTS, SLOPES].map((name) =>
        rowsIn(values, name).map((row, place) => (
          <div key={`${name}${place}`} class="opening">
            <span>{rowWords(name, row)}</span>
            <div class="buttons">
              <button
                type="button"
                class="button button-quiet"
                aria-label={`Take away: ${rowWords(name, row)}`}
                onClick={() => void keep(() => change(name, (rows) => rows.filter((_row, at) => at !== place)))}
              >
                Take away
              </button>
            </div>
          </div>
        )),
      )}
      {figures.length > 0 && (
        <p>
          <b>{`${figures.join(', ')}.`.replace(/^./, (letter) => letter.toUpperCase())}</b>
        </p>
      )}
      {missing && (
        <button
          type="button"
          class="button button-wide"
          onClick={() => {
            const like = slopes.find((row) => oppositeOf(row['side']) === missing)!;
            void keep(() => change(SLOPES, (rows) => [...rows, { ...like, side: missing }]));
          }}
        >
          The same slope, {SIDE_WORDS[missing].toLowerCase()}
        </button>
      )}
      <details open={isOpen} onToggle={(event) => setOpen(event.currentTarget.open)}>
        <summary>{shape ? 'More about its shape' : 'Not a plain box? L-shape, bay, slope'}</summary>
        <div class="group-plain">
          <p class="field-notes">Above are the longest length and width, and the height where it is highest.</p>
          <div class="choices" role="group" aria-label="What shape">
            {CHOICES.map((item) => (
              <button
                key={item.what}
                type="button"
                class="choice"
                aria-pressed={chosen === item.what}
                onClick={() => setChosen(chosen === item.what ? null : item.what)}
              >
                <span class="choice-words">{item.label}</span>
              </button>
            ))}
          </div>
          {chosen === 'slope' && (
            <NewSlope room={room} path={`${open.survey.id}/room/${room.id}/slope`} onAdd={(row) => add(SLOPES, row)} />
          )}
          {(chosen === 'corner' || chosen === 'rectangle' || chosen === 'bay') && (
            <NewPart
              key={chosen}
              what={chosen}
              path={`${open.survey.id}/room/${room.id}/${chosen}`}
              onAdd={(row) => add(PARTS, row)}
            />
          )}
          {(chosen === 'other' || hasFigures) && (
            <>
              <RecordForm
                open={open}
                record={room}
                groups={['size', 'shape']}
                without={[PARTS, SLOPES]}
                focus={focus}
                isPlain
              />
              <p class="field-notes">
                Where a wall is of another size, say so there: tap its side, then &lsquo;Only a part of this side&rsquo;
                or &lsquo;Change&rsquo;.
              </p>
            </>
          )}
        </div>
      </details>
    </>
  );
}
