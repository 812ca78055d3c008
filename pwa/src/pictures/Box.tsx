/** A room drawn as a box from above: four sides to scale as bands round it, floor and ceiling beside them. Each is a button. */
import { type Beyond, isFlat, type Side, SIDE_WORDS } from '../domain/box.ts';
import { NBSP, plainNumber } from '../domain/check.ts';
import { letterScale } from './letters.tsx';
import type { Outline } from './outline.ts';

export interface DrawnSide {
  /** What is beyond, as far as it is known; 'mixed' when the side has several parts that differ. */
  beyond: Beyond | 'mixed' | null;
  words: string;
  windows: number;
  doors: number;
}

/** The sides that the room has. */
export type DrawnSides = Partial<Record<Side, DrawnSide>>;

export interface BoxProps {
  name: string;
  length: number | null;
  width: number | null;
  height: number | null;
  sides: DrawnSides;
  /** Of a room that is no plain box. */
  outline: Outline | null;
  chosen: Side | null;
  onChoose: (side: Side) => void;
}

interface Band {
  side: Side;
  x: number;
  y: number;
  w: number;
  h: number;
}

const BAND = 56;
const GAP = 4;
const COUNTS: Record<number, string> = { 4: 'four', 5: 'five', 6: 'six', 7: 'seven' };

export function Box({ name, length, width, height, sides, outline, chosen, onChoose }: BoxProps) {
  // To scale within bounds: a corridor must still have sides that a thumb can hit.
  const [along, deep] = outline ? [outline.length, outline.width] : [length, width];
  const ratio = along && deep ? Math.min(1.7, Math.max(0.6, along / deep)) : 1.25;
  const w = ratio >= 1 ? 250 : 250 * ratio;
  const h = ratio >= 1 ? 250 / ratio : 250;
  const letters = letterScale();
  const wide = Math.max(w, 176);
  // Where letters are large, the sides that are read upwards need the length.
  const tall = Math.max(h, 150 * Math.min(letters, 1.7));
  const x = BAND + GAP + 1;
  const y = BAND + GAP + 1;
  const total = wide + 2 * (BAND + GAP) + 2;
  const below = y + tall + GAP + BAND + 12;
  const flat = (['ceiling', 'slope', 'floor'] as const).filter((side) => sides[side]);
  const low = 58 * letters;
  const share = (total - 2 - 8 * (flat.length - 1)) / flat.length;
  // The wall that one faces first is at the top; the one at one's back at the foot.
  const bands: Band[] = [
    { side: 'front', x, y: 1, w: wide, h: BAND },
    { side: 'back', x, y: y + tall + GAP, w: wide, h: BAND },
    { side: 'left', x: 1, y, w: BAND, h: tall },
    { side: 'right', x: x + wide + GAP, y, w: BAND, h: tall },
    ...flat.map((side, place) => ({ side, x: 1 + place * (share + 8), y: below, w: share, h: low })),
  ];
  const shown = bands.flatMap((band) => {
    const drawn = sides[band.side];
    return drawn ? [{ band, drawn }] : [];
  });
  const place = ([px, py]: readonly [number, number]): string =>
    outline ? `${x + (px / outline.length) * wide} ${y + (py / outline.width) * tall}` : '';
  return (
    <svg
      class="box"
      viewBox={`0 0 ${total} ${below + low + 2}`}
      role="group"
      aria-label={`${name || 'The room'} from above: ${COUNTS[shown.length] ?? shown.length} sides to tap`}
    >
      <defs>
        <pattern id="hatch-outside" width="9" height="9" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
          <path d="M0 0 V9" class="hatch" />
        </pattern>
        <pattern id="hatch-ground" width="12" height="12" patternUnits="userSpaceOnUse">
          <path d="M2 3 h3 M8 8 h3 M3 11 l2 -2" class="hatch" />
        </pattern>
        <pattern id="hatch-unheated" width="10" height="10" patternUnits="userSpaceOnUse">
          <circle cx="4" cy="4" r="1.3" class="hatch" />
        </pattern>
        <pattern id="hatch-neighbour" width="12" height="10" patternUnits="userSpaceOnUse">
          <path d="M0 9.5 H12 M3 9.5 V0" class="hatch" />
        </pattern>
      </defs>
      {outline ? (
        <>
          <path d={`M${outline.points.map(place).join(' L')} Z`} class="box-room" />
          {outline.folds.map((fold, at) => (
            <path key={at} d={`M${fold.map(place).join(' L')}`} class="box-fold" />
          ))}
        </>
      ) : (
        <rect x={x} y={y} width={wide} height={tall} class="box-room" />
      )}
      <text x={x + wide / 2} y={y + tall / 2 - 12 * letters} class="box-name">
        {short(name || 'Room', Math.floor(wide / 11 / letters))}
      </text>
      <text x={x + wide / 2} y={y + tall / 2 + 12 * letters} class="box-size">
        {sizeWords(length, width, height)}
      </text>
      {shown.map(({ band, drawn }) => {
        const isUpright = band.side === 'left' || band.side === 'right';
        const label = `${SIDE_WORDS[band.side]} ${drawn.words}${openingWords(drawn)}`;
        return (
          <g
            key={band.side}
            class={`box-side box-side-${drawn.beyond ?? 'unknown'}`}
            role="button"
            // As SVG spells it: an attribute of HTML's spelling is not known on its elements, and leaves them out of reach.
            tabindex={0}
            aria-label={label}
            aria-pressed={chosen === band.side}
            onClick={() => onChoose(band.side)}
            onKeyDown={(event) => {
              if (event.key !== 'Enter' && event.key !== ' ') return;
              event.preventDefault();
              onChoose(band.side);
            }}
          >
            <rect x={band.x} y={band.y} width={band.w} height={band.h} class="box-band" />
            {!isFlat(band.side) && openingMarks(drawn, band, isUpright)}
          </g>
        );
      })}
      {/* The buttons' names say it whole; what is written on them may be cut short, so it stands beside them in the document. */}
      <g aria-hidden="true">{shown.map(({ band, drawn }) => bandWords(band, drawn, letters))}</g>
    </svg>
  );
}

function bandWords(band: Band, drawn: DrawnSide, letters: number) {
  const isUpright = band.side === 'left' || band.side === 'right';
  const cx = band.x + band.w / 2;
  const cy = band.y + band.h / 2;
  const words = short(drawn.words, Math.floor((isUpright ? band.h : band.w) / 9.2 / letters));
  return (
    <g key={band.side}>
      {isFlat(band.side) && (
        <text x={cx} y={cy - 11 * letters} class="box-label">
          {band.side === 'slope' ? 'Slope' : SIDE_WORDS[band.side]}
        </text>
      )}
      <text
        x={cx}
        y={isFlat(band.side) ? cy + 11 * letters : cy}
        class="box-label"
        {...(isUpright ? { transform: `rotate(-90 ${cx} ${cy})` } : {})}
      >
        {words}
      </text>
    </g>
  );
}

function openingWords(side: DrawnSide): string {
  const parts: string[] = [];
  if (side.windows > 0) parts.push(side.windows === 1 ? '1 window' : `${side.windows} windows`);
  if (side.doors > 0) parts.push(side.doors === 1 ? '1 door' : `${side.doors} doors`);
  return parts.length > 0 ? `, with ${parts.join(' and ')}` : '';
}

/** A mark on the room's edge of the band for each window (double line) and door (open leaf), up to eight. */
function openingMarks(side: DrawnSide, band: Band, isUpright: boolean) {
  const kinds = [
    ...Array<'window'>(Math.min(side.windows, 6)).fill('window'),
    ...Array<'door'>(Math.min(side.doors, 2)).fill('door'),
  ];
  const along = isUpright ? band.h : band.w;
  return kinds.map((kind, place) => {
    const at = (along * (place + 1)) / (kinds.length + 1);
    const long = Math.min(30, along / (kinds.length + 1) - 4);
    // The edge that touches the room: the inner one.
    const edge =
      band.side === 'front'
        ? band.y + band.h - 9
        : band.side === 'back'
          ? band.y
          : band.side === 'left'
            ? band.x + band.w - 9
            : band.x;
    const box = isUpright
      ? { x: edge, y: band.y + at - long / 2, width: 9, height: long }
      : { x: band.x + at - long / 2, y: edge, width: long, height: 9 };
    const middle = isUpright ? `M${box.x + 4.5} ${box.y} v${long}` : `M${box.x} ${box.y + 4.5} h${long}`;
    return (
      <g key={`${kind}${place}`} class="box-opening">
        <rect {...box} />
        {kind === 'window' ? (
          <path d={middle} />
        ) : (
          <path d={isUpright ? `M${box.x} ${box.y} l9 ${long}` : `M${box.x} ${box.y} l${long} 9`} />
        )}
      </g>
    );
  });
}

function short(words: string, room: number): string {
  return words.length <= room ? words : `${words.slice(0, Math.max(1, room - 1))}…`;
}

function sizeWords(length: number | null, width: number | null, height: number | null): string {
  const known = [length, width, height].filter((value) => value !== null);
  return known.length > 0 ? `${known.map((value) => plainNumber(value, 2)).join(' × ')}${NBSP}m` : 'not measured yet';
}
