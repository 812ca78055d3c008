/** A run drawn as a line: each stretch as long as it is, hatched by its place. */
import { Sideways } from '../../pictures/letters.tsx';
import { plainNumber } from '../../domain/check.ts';
import { choiceLabel, type Field, type Row } from '../../domain/model.ts';

const WIDE = 344;
const BAND = 34;
const LEAST = 14;

export interface RouteLineProps {
  stretches: readonly Row[];
  place: Field;
  start: string;
  end: string;
}

export function RouteLine({ stretches, place, start, end }: RouteLineProps) {
  const lengths = stretches.map((row) => (typeof row['length_m'] === 'number' ? row['length_m'] : null));
  const known = lengths.reduce<number>((all, value) => all + (value ?? 0), 0);
  const without = lengths.filter((value) => value === null).length;
  // A stretch without a length is drawn as long as the middling one, with a broken outline.
  const usual = known > 0 ? known / (stretches.length - without) : 1;
  const whole = known + without * usual;
  const room = WIDE - LEAST * stretches.length;
  let at = 0;
  const words = stretches
    .map(
      (row, number) =>
        `${placeWords(place, row)} ${lengths[number] === null ? 'of unknown length' : `${plainNumber(lengths[number] ?? 0, 1)} m`}`,
    )
    .join(', then ');
  const said = `Route${start ? ` from ${start}` : ''}${end ? ` to ${end}` : ''}: ${words}`;
  return (
    <Sideways words={said}>
      <svg class="route" viewBox={`0 0 ${WIDE} 92`} role="img" aria-label={said}>
        <defs>
          <pattern id="route-outdoors" width="9" height="9" patternUnits="userSpaceOnUse">
            <path d="M-2 11 L11 -2" class="hatch" />
          </pattern>
          <pattern id="route-buried" width="7" height="7" patternUnits="userSpaceOnUse">
            <path d="M-2 9 L9 -2 M-2 -2 L9 9" class="hatch" />
          </pattern>
          <pattern id="route-void" width="10" height="6" patternUnits="userSpaceOnUse">
            <path d="M0 3 H10" class="hatch" />
          </pattern>
          <pattern id="route-unheated" width="8" height="8" patternUnits="userSpaceOnUse">
            <circle cx="4" cy="4" r="1.4" class="route-dot" />
          </pattern>
        </defs>
        <text x="0" y="15" class="route-end">
          {short(start, 22) || 'from?'}
        </text>
        <text x={WIDE} y="15" class="route-end route-end-right">
          {short(end, 22) || 'to?'}
        </text>
        {stretches.map((row, number) => {
          const long = LEAST + (room * (lengths[number] ?? usual)) / whole;
          const x = at;
          at += long;
          const name = typeof row['place'] === 'string' ? row['place'] : 'none';
          return (
            <g key={number}>
              <rect
                x={round(x)}
                y="26"
                width={round(long)}
                height={BAND}
                class={`route-band route-band-${name}${lengths[number] === null ? ' route-band-open' : ''}`}
              />
              <text x={round(x + long / 2)} y={26 + BAND / 2} class="route-number">
                {number + 1}
              </text>
              {long > 30 && (
                <text x={round(x + long / 2)} y={26 + BAND + 18} class="route-length">
                  {lengths[number] === null ? '?' : `${plainNumber(lengths[number] ?? 0, 1)} m`}
                </text>
              )}
            </g>
          );
        })}
      </svg>
    </Sideways>
  );
}

function placeWords(field: Field, row: Row): string {
  const value = row['place'];
  return typeof value === 'string' ? choiceLabel(field, value) : 'place not said';
}

const short = (text: string, most: number): string => (text.length > most ? `${text.slice(0, most - 1)}…` : text);
const round = (value: number): number => Math.round(value * 100) / 100;
