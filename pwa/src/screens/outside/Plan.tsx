/**
 * An outdoor position from above, to scale: the wall, the unit, its protective zone, everything near it.
 *
 * It lies as one sees it with one's back to the wall: the wall at the foot, left on the left. Tapping it says where something is.
 */
import { Sideways } from '../../pictures/letters.tsx';
import type { ComponentChildren } from 'preact';
import { useRef } from 'preact/hooks';
import { plainNumber } from '../../domain/check.ts';
import { PLACE_VIEW } from '../../generated/answers.ts';
import { dangerOf, standingOf, unitOf, type Standing, type UnitPlan, type Zone } from '../../domain/siting.ts';
import { choiceLabel, fieldOf, numberOf, type Values } from '../../domain/model.ts';
import type { SurveyRecord } from '../../domain/survey.ts';

const WIDE = 344;
const WALL = 30;
/** Half the width that the zone's name takes, so that it stays on the drawing. */
const WORDS = 96;
const REACH = 22;
/** What is farther off than this is shown at the edge, so that the near things stay large, m. */
const FARTHEST_M = 5;
/** A clear distance is drawn so far beyond the zone, and only said from there on, m. */
const BEYOND_M = 0.7;
/** Nearer than this, two markers cover each other, in units of the drawing. */
const APART = 29;

export interface PlanProps {
  position: Values;
  unit: Values | undefined;
  zone: Zone | null;
  objects: readonly SurveyRecord[];
  selected: string | null;
  pending: { along_m: number; out_m: number } | null;
  onPlace: (along_m: number, out_m: number) => void;
  onSelect: (id: string) => void;
}

interface Frame {
  left_m: number;
  right_m: number;
  out_m: number;
  scale: number;
  tall: number;
}

function frameOf(position: Values, unit: UnitPlan, zone: Zone | null, objects: readonly SurveyRecord[]): Frame {
  const half = (unit.width_m ?? 0) / 2;
  const near = (value: number): number => Math.min(value, FARTHEST_M);
  const alongs = zone?.corners.map(([along]) => along) ?? [];
  const [leftSide, rightSide] = [
    Math.max(1.5, ...alongs.map((along) => 0.4 - along)),
    Math.max(1.5, ...alongs.map((along) => along + 0.4)),
  ];
  const ahead = Math.max(2, ...(zone?.corners ?? []).map(([, out]) => out + 0.5));
  const clear = (name: string, from: number, least: number): number =>
    Math.min(from + (numberOf(position, name) ?? 0) / 1000 + 0.2, least + BEYOND_M);
  const lefts = [leftSide, clear('clear_left_mm', half, leftSide)];
  const rights = [rightSide, clear('clear_right_mm', half, rightSide)];
  const outs = [ahead, clear('clear_front_mm', unit.back_m + (unit.depth_m ?? 0), ahead)];
  for (const object of objects) {
    const along = numberOf(object.values, 'along_m');
    const out = numberOf(object.values, 'out_m');
    if (along !== null) (along < 0 ? lefts : rights).push(near(Math.abs(along)) + 0.4);
    if (out !== null) outs.push(near(out) + 0.4);
  }
  const [left, right, out] = [Math.max(...lefts), Math.max(...rights), Math.max(...outs)];
  const scale = WIDE / (left + right);
  return { left_m: left, right_m: right, out_m: out, scale, tall: out * scale + WALL };
}

export function Plan({ position, unit: body, zone, objects, selected, pending, onPlace, onSelect }: PlanProps) {
  const drawing = useRef<SVGSVGElement>(null);
  const unit = unitOf(position, body);
  const frame = frameOf(position, unit, zone, objects);
  const x = (along: number): number => (along + frame.left_m) * frame.scale;
  const y = (out: number): number => (frame.out_m - out) * frame.scale;
  const wallY = y(0);
  const places = objects.flatMap((object, place) => {
    const [along, out] = [numberOf(object.values, 'along_m'), numberOf(object.values, 'out_m')];
    if (along === null || out === null) return [];
    const shown = {
      along: Math.max(-frame.left_m + 0.25, Math.min(frame.right_m - 0.25, along)),
      out: Math.min(out, frame.out_m - 0.25),
    };
    const isInside = zone !== null && standingOf(zone, object.values, object.id) === 'inside';
    return [
      {
        object,
        isInside,
        number: place + 1,
        x: x(shown.along),
        y: y(shown.out),
        isFar: shown.along !== along || shown.out !== out,
      },
    ];
  });
  const marks = apart(places);

  const tap = (event: MouseEvent) => {
    const svg = drawing.current;
    const matrix = svg?.getScreenCTM();
    if (!svg || !matrix) return;
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
    const nearest = [...marks].sort(
      (a, b) => Math.hypot(a.x - at.x, a.markY - at.y) - Math.hypot(b.x - at.x, b.markY - at.y),
    )[0];
    if (nearest && Math.hypot(nearest.x - at.x, nearest.markY - at.y) <= REACH) onSelect(nearest.object.id);
    else onPlace(at.x / frame.scale - frame.left_m, Math.max(0, frame.out_m - at.y / frame.scale));
  };

  const inside = zone ? objects.filter((object) => standingOf(zone, object.values, object.id) === 'inside').length : 0;
  const alongs = zone?.corners.map(([along]) => along) ?? [];
  const [left, right, reach] = [
    Math.min(...alongs),
    Math.max(...alongs),
    Math.max(...(zone?.corners ?? []).map(([, out]) => out)),
  ];
  // Its name stands over its far edge, where nothing inside it is covered.
  const edge = (zone?.corners ?? []).filter(([, out]) => out >= reach - 1e-6).map(([along]) => along);
  const outline = (zone?.corners ?? [])
    .map(([along, out]) => `${round(x(along))} ${round(y(Math.max(out, -0.05)))}`)
    .join(' L');
  const zoneWords = zone?.planning ? "planning shape, not a maker's" : 'protective zone';
  const wallFaced = position['wall_faced'];
  const wallWords =
    typeof wallFaced === 'string'
      ? choiceLabel(fieldOf('outdoor_position', 'wall_faced'), wallFaced)
      : 'Wall behind the unit';
  const words = `${PLACE_VIEW}. ${zone?.is_drawn ? `The ${zone.planning ? "planning shape, not a maker's," : 'protective zone'} reaches ${round(Math.max(0, -left))} m to the left, ${round(Math.max(0, right))} m to the right and ${round(reach)} m out. ` : ''}${objects.length} things nearby${zone ? `, ${inside} inside ${zone.planning ? 'the planning shape' : 'the zone'}` : ''}. The same is said in the list below; things can be added with the button below.`;
  return (
    <Sideways words={words}>
      {/* The click only adds a short cut for a finger: the button and the list below do the same for everyone. */}
      <svg
        ref={drawing}
        class="plan"
        viewBox={`0 0 ${WIDE} ${round(frame.tall)}`}
        role="img"
        aria-label={words}
        onClick={tap}
      >
        <defs>
          <pattern id="plan-wall" width="8" height="8" patternUnits="userSpaceOnUse">
            <path d="M-2 10 L10 -2 M-2 2 L2 -2 M6 10 L10 6" class="hatch" />
          </pattern>
          <clipPath id="plan-ground">
            <rect x="0" y="0" width={WIDE} height={round(wallY)} />
          </clipPath>
        </defs>
        <rect x="0" y="0" width={WIDE} height={round(frame.tall)} class="plan-ground" />
        <g clip-path="url(#plan-ground)">
          <Metres frame={frame} x={x} y={y} />
          {zone?.is_drawn && (
            <>
              <path d={`M${outline} Z`} class="plan-zone" />
              <text
                x={round(Math.min(Math.max(x((Math.min(...edge) + Math.max(...edge)) / 2), WORDS), WIDE - WORDS))}
                y={round(y(reach) - 6)}
                class="plan-zone-words"
              >
                {zoneWords}
              </text>
            </>
          )}
          <Clear position={position} unit={unit} frame={frame} x={x} y={y} />
        </g>
        {unit.width_m !== null && unit.depth_m !== null ? (
          <g>
            <rect
              x={round(x(-unit.width_m / 2))}
              y={round(y(unit.back_m + unit.depth_m))}
              width={round(unit.width_m * frame.scale)}
              height={round(unit.depth_m * frame.scale)}
              rx="3"
              class="plan-unit"
            />
            <text x={round(x(0))} y={round(y(unit.back_m + unit.depth_m / 2))} class="plan-unit-words">
              unit
            </text>
          </g>
        ) : (
          <g>
            <path
              d={`M${round(x(0))} ${round(y(unit.back_m + 0.5))} V${round(y(0))} M${round(x(-0.18))} ${round(y(unit.back_m + 0.25))} H${round(x(0.18))}`}
              class="plan-unit-unknown"
            />
            <text x={round(x(0))} y={round(y(unit.back_m + 0.5) - 8)} class="plan-unit-words">
              unit, size not known
            </text>
          </g>
        )}
        <rect
          x="0"
          y={round(wallY)}
          width={WIDE}
          height={WALL}
          class={wallFaced === 'free' ? 'plan-free' : 'plan-wall'}
        />
        <path d={`M0 ${round(wallY)} H${WIDE}`} class={wallFaced === 'free' ? 'plan-free-edge' : 'plan-wall-edge'} />
        <text x="8" y={round(wallY + 20)} class="plan-label">
          ◂ left
        </text>
        <text x={WIDE / 2} y={round(wallY + 20)} class="plan-label plan-label-middle">
          {wallWords}
        </text>
        <text x={WIDE - 8} y={round(wallY + 20)} class="plan-label plan-label-end">
          right ▸
        </text>
        {marks.map(
          (mark) =>
            mark.markY !== mark.y && (
              <path
                key={mark.object.id}
                d={`M${round(mark.x)} ${round(mark.markY)} V${round(mark.y)} m-3 0 a3 3 0 1 0 6 0 a3 3 0 1 0 -6 0`}
                class="marker-leader"
              />
            ),
        )}
        {marks.map(({ object, number, x: px, markY, isFar }) => (
          <Marker
            key={object.id}
            x={px}
            y={markY}
            number={number}
            object={object.values}
            isSelected={object.id === selected}
            standing={zone ? standingOf(zone, object.values, object.id) : null}
            isFar={isFar}
          />
        ))}
        {pending && (
          <path
            d={`M${round(x(pending.along_m) - 16)} ${round(y(pending.out_m))} h32 M${round(x(pending.along_m))} ${round(y(pending.out_m) - 16)} v32`}
            class="plan-pending"
          />
        )}
      </svg>
    </Sideways>
  );
}

const round = (value: number): number => Math.round(value * 100) / 100;

/** Where each marker is drawn: at its place, or moved out from the wall on a line of its own when another would cover it. */
function apart<P extends { x: number; y: number; isInside: boolean }>(places: readonly P[]): (P & { markY: number })[] {
  const set: (P & { markY: number })[] = [];
  // What is inside the zone keeps its place, and room above it for its word.
  for (const place of [...places].sort((a, b) => Number(b.isInside) - Number(a.isInside))) {
    let markY = place.y;
    const isCovered = (other: P & { markY: number }): boolean => {
      const isOver = other.isInside && markY < other.markY;
      return (
        Math.abs(other.x - place.x) < APART + (isOver ? 8 : 0) &&
        Math.abs(other.markY - markY) < APART + (isOver ? 18 : 0)
      );
    };
    while (set.some(isCovered)) markY -= APART / 2;
    set.push({ ...place, markY });
  }
  return set;
}

/** Lines every metre, so that the eye can measure. */
function Metres({ frame, x, y }: { frame: Frame; x: (along: number) => number; y: (out: number) => number }) {
  const across = Array.from(
    { length: Math.floor(frame.left_m) + Math.floor(frame.right_m) + 1 },
    (_item, place) => place - Math.floor(frame.left_m),
  );
  const outs = Array.from({ length: Math.floor(frame.out_m) }, (_item, place) => place + 1);
  return (
    <>
      <path
        d={[
          ...across.map((metre) => `M${round(x(metre))} 0 V${round(y(0))}`),
          ...outs.map((metre) => `M0 ${round(y(metre))} H${WIDE}`),
        ].join(' ')}
        class="plan-metres"
      />
      {outs.map((metre) => (
        <text key={metre} x="4" y={round(y(metre) - 4)} class="plan-metre-words">
          {metre} m out
        </text>
      ))}
    </>
  );
}

/** How far it is to the next obstacle on each side of the unit, as far as it was measured; an arrow where it goes on beyond the plan. */
function Clear({
  position,
  unit,
  frame,
  x,
  y,
}: {
  position: Values;
  unit: UnitPlan;
  frame: Frame;
  x: (along: number) => number;
  y: (out: number) => number;
}) {
  if (unit.width_m === null || unit.depth_m === null) return null;
  const [half, middle, front] = [unit.width_m / 2, unit.back_m + unit.depth_m / 2, unit.back_m + unit.depth_m];
  const clear = (name: string): number => (numberOf(position, name) ?? 0) / 1000;
  const parts: ComponentChildren[] = [];
  const line = (name: string, from: number, edge: number, sign: 1 | -1, isOut: boolean) => {
    const length = clear(name);
    if (length === 0) return;
    const end = Math.min(from + length, edge - 0.08);
    const goesOn = end < from + length - 0.01;
    const [ex, ey] = isOut ? [x(0), y(end)] : [x(sign * end), y(middle)];
    const [sx, sy] = isOut ? [x(0), y(from)] : [x(sign * from), y(middle)];
    const tip = isOut
      ? goesOn
        ? 'm-6 9 l6 -9 l6 9'
        : 'm-9 0 h18'
      : goesOn
        ? `m${-9 * sign} -6 l${9 * sign} 6 l${-9 * sign} 6`
        : 'm0 -9 v18';
    parts.push(
      <path key={name} d={`M${round(sx)} ${round(sy)} L${round(ex)} ${round(ey)} ${tip}`} class="plan-clear" />,
    );
    const words = `${plainNumber(length, 2)} m clear`;
    if (isOut)
      parts.push(
        <text key={`${name}-words`} x={round(ex + 8)} y={round(ey + 14)} class="plan-clear-words">
          {words}
        </text>,
      );
    else
      parts.push(
        <text
          key={`${name}-words`}
          x={round(ex - sign * 4)}
          y={round(ey - 10)}
          class={sign === 1 ? 'plan-clear-words plan-label-end' : 'plan-clear-words'}
        >
          {words}
        </text>,
      );
  };
  line('clear_left_mm', half, frame.left_m, -1, false);
  line('clear_right_mm', half, frame.right_m, 1, false);
  line('clear_front_mm', front, frame.out_m, 1, true);
  return <>{parts}</>;
}

interface MarkerProps {
  x: number;
  y: number;
  number: number;
  object: Values;
  standing: Standing | null;
  isSelected: boolean;
  isFar: boolean;
}

/** Square: an opening; triangle: a hollow; diamond: a spark; bar: a boundary; disc: anything else. Filled when it is inside the zone. */
function markerPath(object: Values): string {
  switch (dangerOf(object)) {
    case 'opening':
      return 'M-11 -11 h22 v22 h-22 z';
    case 'hollow':
      return 'M-15 -11 h30 l-15 24 z';
    case 'spark':
      return 'M0 -15 l15 15 l-15 15 l-15 -15 z';
    case 'boundary':
      return 'M-17 -9 h34 v18 h-34 z';
    default:
      return 'M-12 0 a12 12 0 1 0 24 0 a12 12 0 1 0 -24 0 z';
  }
}

function Marker({ x, y, number, object, standing, isSelected, isFar }: MarkerProps) {
  return (
    <g transform={`translate(${round(x)} ${round(y)})`} class={`marker marker-${standing ?? 'none'}`}>
      {standing === 'inside' && (
        <path d="M-20 -12 v-8 h8 M12 -20 h8 v8 M20 12 v8 h-8 M-12 20 h-8 v-8" class="marker-corners" />
      )}
      {isSelected && <circle r="23" class="marker-ring" />}
      <path d={markerPath(object)} class="marker-shape" />
      <text y={dangerOf(object) === 'hollow' ? -2 : 0.5} class="marker-number">
        {number}
      </text>
      {standing === 'inside' && (
        <text y="-25" class="marker-words">
          inside
        </text>
      )}
      {isFar && (
        <text y="26" class="marker-words">
          farther off
        </text>
      )}
    </g>
  );
}

/** The marker of an object beside its words in the list. */
export function ListMarker({
  number,
  object,
  standing,
}: {
  number: number;
  object: Values;
  standing: Standing | null;
}) {
  return (
    <svg class="list-marker" viewBox="-22 -22 44 44" width="44" height="44" aria-hidden="true">
      <g class={`marker marker-${standing ?? 'none'}`}>
        {standing === 'inside' && (
          <path d="M-20 -12 v-8 h8 M12 -20 h8 v8 M20 12 v8 h-8 M-12 20 h-8 v-8" class="marker-corners" />
        )}
        <path d={markerPath(object)} class="marker-shape" />
        <text y={dangerOf(object) === 'hollow' ? -2 : 0.5} class="marker-number">
          {number}
        </text>
      </g>
    </svg>
  );
}
