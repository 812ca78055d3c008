/** The plan judges what lies in the zone as the engine does: the golden file is held by the Python too. */
import { expect, test } from 'vitest';
import golden from '../../tests/golden/zone.json';
import type { Answer, ZonePlan } from '../src/domain/assessment.ts';
import type { Values } from '../src/domain/model.ts';
import { placeOf, placeWords, planOf, standingOf, standingWords, zoneOf } from '../src/domain/siting.ts';

const places = golden.places as unknown as Record<string, { position: Values; unit: Values | null }>;
const zoneAt = (name: string, more: Values = {}, unit: Values = {}, plan?: ZonePlan) =>
  zoneOf(
    { ...places[name]!.position, ...more },
    places[name]!.unit ? { ...places[name]!.unit, ...unit } : undefined,
    plan,
  );
const objects = golden.objects as unknown as Values[];
const said = golden.said as unknown as Record<string, (string | null)[]>;

test.each(Object.keys(places))('the phone finds inside what the engine finds inside: %s', (name) => {
  const zone = zoneAt(name);
  expect(said[name]!.length).toBe(objects.length);
  if (!zone) {
    expect(said[name]!.every((answer) => answer === null)).toBe(true);
    return;
  }
  const phone = objects.map((object) => (standingOf(zone, object) === 'inside' ? 'inside' : null));
  const engine = said[name]!.map((answer) => (answer === null ? null : 'inside'));
  expect(phone).toEqual(engine);
});

test('beyond a shape that is drawn too small may be inside before nothing could reach it, and is never called outside', () => {
  const zone = zoneOf({}, undefined)!;
  expect(zone.missing.map(({ of, field }) => `${of}.${field}`)).toEqual([
    'unit.width_mm',
    'unit.depth_mm',
    'outdoor_position.clear_back_mm',
    'outdoor_position.wall_faced',
  ]);
  expect(standingOf(zone, { type: 'drain', along_m: 3.3, out_m: 0, up_m: 0 })).toBe('not_known');
  expect(standingOf(zone, { type: 'drain', along_m: 4.8, out_m: 0, up_m: 0 })).toBe('undecided');
  expect(standingWords(zone, { type: 'drain', along_m: 4.8, out_m: 0, up_m: 0 })).toBe(
    "Not inside; the maker's drawing decides",
  );
});

test('an older name of the shape goes on being understood', () => {
  expect(zoneAt('whole', { zone_shape: 'sides' })).toEqual(zoneAt('whole'));
});

test('a missing measure decides nothing unless another one does', () => {
  const zone = zoneAt('whole')!;
  expect(standingOf(zone, { type: 'window', along_m: 0, out_m: 0 })).toBe('not_known');
  expect(standingOf(zone, { type: 'window', along_m: 5 })).toBe('undecided');
  expect(standingOf(zone, { along_m: 0, out_m: 0, up_m: 0 })).toBe('not_known');
  expect(standingOf(zone, { type: 'other', along_m: 0, out_m: 0, up_m: 0 })).toBe('harmless');
});

test('closed off or moved counts when somebody has seen it, another remedy never does', () => {
  const zone = zoneAt('whole')!;
  const door = { type: 'door', along_m: 0.4, out_m: 0.5, up_m: 0.1 };
  expect(standingOf(zone, { ...door, remedy: 'move' })).toBe('inside');
  expect(standingOf(zone, { ...door, remedy: 'move', remedy_done: true })).toBe('dealt_with');
  expect(standingOf(zone, { ...door, remedy: 'other', remedy_done: true })).toBe('inside');
  expect(standingOf(zone, { ...door, remedy_done: true })).toBe('inside');
});

test('what is high enough is not clear either while the shape is a planning shape', () => {
  const zone = zoneAt('whole')!;
  expect(standingOf(zone, { type: 'window', along_m: 0, out_m: 0, up_m: 1.1 })).toBe('undecided');
  expect(standingWords(zone, { type: 'window', along_m: 0, out_m: 0, up_m: 0.5 })).toBe('Inside the planning shape');
});

test('a place in words: left is minus', () => {
  expect(placeWords({ along_m: -0.6, out_m: 0, up_m: 0.15 })).toBe(
    '0.6\u00a0m to the left, at the wall, 0.15\u00a0m up',
  );
  expect(placeWords({ along_m: 0, out_m: 1.5, up_m: -0.4 })).toBe(
    "at the unit's centre, 1.5\u00a0m out, 0.4\u00a0m below the ground",
  );
  expect(placeWords({ along_m: 2 })).toBe('2\u00a0m to the right, how far out and how high not known');
});

test('a tap is a place in steps of 5 cm, at the wall when close to it, within the limits of the fields', () => {
  expect(placeOf(-0.613, 0.487)).toEqual({ along_m: -0.6, out_m: 0.5 });
  expect(placeOf(0.01, 0.1)).toEqual({ along_m: 0, out_m: 0 });
  expect(Object.is(placeOf(-0.01, 0).along_m, 0)).toBe(true);
  expect(placeOf(-99, 99)).toEqual({ along_m: -20, out_m: 30 });
});

test('a shape that only the engine knows calls nothing outside', () => {
  const zone = zoneAt('whole', {}, { zone_drawing: 'corners' })!;
  expect(zone.is_drawn).toBe(false);
  expect(zone.missing).toEqual([]);
  expect(standingOf(zone, { type: 'drain', along_m: 15, out_m: 9, up_m: 0 })).toBe('not_known');
  expect(standingOf(zone, { type: 'drain', along_m: 0, out_m: 0, up_m: 0, remedy: 'move', remedy_done: true })).toBe(
    'dealt_with',
  );
  expect(standingOf(zone, { type: 'other', along_m: 0, out_m: 0, up_m: 0 })).toBe('harmless');
});

const PLAN: ZonePlan = {
  id: 'place',
  name: 'Yard',
  shape: "The maker's own shape, by its corners",
  is_makers: true,
  corners: [
    [-3.65, 0],
    [3.65, 0],
    [2.65, 2.85],
    [-2.65, 2.85],
  ],
  top_m: 1,
  missing: [],
  source: '',
  unit: null,
  clearances: [],
  objects: (['inside', 'above', 'dealt_with', 'outside'] as const).map((state, at) => ({
    id: 'abcd'[at]!,
    type: 'drain',
    words: 'Drain',
    along_m: 3,
    out_m: 0.2,
    up_m: 0,
    state,
  })),
};
const own = (plan: ZonePlan) => zoneAt('whole', {}, { zone_drawing: 'corners' }, plan)!;

test("the engine's polygon and its word for each thing are what is shown", () => {
  const zone = own(PLAN);
  expect(zone.corners).toEqual(PLAN.corners);
  expect(zone.is_drawn).toBe(true);
  const drain = { type: 'drain', along_m: 3, out_m: 0.2, up_m: 0 };
  expect(['a', 'b', 'c', 'd'].map((id) => standingOf(zone, drain, id))).toEqual([
    'inside',
    'outside',
    'dealt_with',
    'outside',
  ]);
  expect(standingWords(zone, drain, 'b')).toBe('Outside the zone, above it');
  expect(standingWords(zone, drain, 'd')).toBe('Outside the zone');
});

test("what the engine has not seen yet may be inside the maker's corners, and is judged here in the planning shape", () => {
  const drain = { type: 'drain', along_m: 9, out_m: 0.2, up_m: 0 };
  expect(standingOf(own(PLAN), drain, 'new')).toBe('not_known');
  const planning = zoneAt(
    'whole',
    {},
    {},
    {
      ...PLAN,
      is_makers: false,
      corners: zoneAt('whole')!.corners,
    },
  )!;
  expect(standingOf(planning, drain, 'new')).toBe('undecided');
});

test('a polygon that may no longer hold is not drawn', () => {
  const answer = { assessment: { site: { zones: [PLAN] } } } as unknown as Answer;
  expect(planOf({ assessment: answer, changedSince: false }, 'place')).toBe(PLAN);
  expect(planOf({ assessment: answer, changedSince: true }, 'place')).toBeNull();
  expect(planOf({ assessment: answer, changedSince: false }, 'other')).toBeNull();
  expect(planOf({ assessment: null, changedSince: false }, 'place')).toBeNull();
});

test('corners that make no zone leave the planning shape in force and are asked for', () => {
  const place = { wall_faced: 'free', clear_back_mm: 200 };
  const unit = { zone_drawing: 'corners', refrigerant: 'r290', width_mm: 1000, depth_mm: 400 };
  const zone = zoneOf(place, unit, {
    ...PLAN,
    is_makers: false,
    corners: [
      [-1, 0],
      [1, 0],
      [1, 1],
    ],
  })!;
  expect(zone.is_drawn).toBe(true);
  expect(zone.planning).not.toBeNull();
  expect(zone.missing).toEqual([{ of: 'unit', field: 'zone_corners' }]);
});
