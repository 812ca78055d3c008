/** Usual constructions in two minutes: what is seen becomes a construction that fills the whole house. */
import { fieldOf, type Choice, type Values } from './model.ts';
import type { Edit, Survey, SurveyRecord } from './survey.ts';

export interface Slot {
  element: string;
  label: string;
  /** Looks whose stored word starts with this belong to the slot. */
  looks: string;
  ask: string;
}

export const LOOK_SLOTS: Slot[] = [
  { element: 'wall', label: 'Outside walls', looks: 'wall_', ask: 'Look at the brick pattern and the depth of a window reveal.' },
  { element: 'window', label: 'Glazing', looks: 'window_', ask: 'Hold a flame or a torch to the pane and count the reflections.' },
  { element: 'door', label: 'Outside doors', looks: 'door_', ask: '' },
  { element: 'roof', label: 'Loft and roof', looks: 'roof_', ask: 'Measure the quilt in three places.' },
  { element: 'ground_floor', label: 'Ground floor', looks: 'floor_', ask: 'Springy or hard? Air bricks outside?' },
];

/** Looks that fit an element; an exposed floor is an upper floor over outside air, not a ground floor. */
export function looksFor(element: string): Choice[] {
  const all = fieldOf('construction', 'look').choices ?? [];
  const prefix: Record<string, string> = { wall: 'wall_', partition: 'wall_', window: 'window_', rooflight: 'window_', door: 'door_', roof: 'roof_', ceiling: 'roof_' };
  if (element === 'ground_floor') return all.filter((item) => item.value === 'floor_solid' || item.value === 'floor_suspended');
  if (element === 'floor') return all.filter((item) => item.value === 'floor_exposed');
  const start = prefix[element];
  return start ? all.filter((item) => item.value.startsWith(start)) : all;
}

export interface InsideBuild {
  key: string;
  element: string;
  label: string;
  hint: string;
  layers: { material: string; thickness_mm: number; conductivity_w_mk?: number; resistance_m2k_w?: number }[];
}

/**
 * Usual builds inside the house. λ of plasterboard 0.25, of particle board 0.14 and of plaster 0.57 W/mK: EN ISO 10456:2007,
 * tables 3 and 4; brick indoors 0.56 W/mK: common practice, no source. Air layers of 25 mm and more: EN ISO 6946:2017,
 * table 8 (0.18 m²K/W sideways, 0.16 upwards).
 */
export const INSIDE_BUILDS: InsideBuild[] = [
  {
    key: 'stud', element: 'partition', label: 'Stud wall', hint: 'sounds hollow; plasterboard on both sides',
    layers: [
      { material: 'Plasterboard', thickness_mm: 12.5, conductivity_w_mk: 0.25 },
      { material: 'Air between studs', thickness_mm: 75, resistance_m2k_w: 0.18 },
      { material: 'Plasterboard', thickness_mm: 12.5, conductivity_w_mk: 0.25 },
    ],
  },
  {
    key: 'brick', element: 'partition', label: 'Brick or block, plastered', hint: 'sounds solid; about 130 mm',
    layers: [
      { material: 'Plaster', thickness_mm: 13, conductivity_w_mk: 0.57 },
      { material: 'Brick', thickness_mm: 102.5, conductivity_w_mk: 0.56 },
      { material: 'Plaster', thickness_mm: 13, conductivity_w_mk: 0.57 },
    ],
  },
  {
    key: 'timber_floor', element: 'floor', label: 'Timber floor between storeys', hint: 'boards above, plasterboard below',
    layers: [
      { material: 'Floor boards', thickness_mm: 22, conductivity_w_mk: 0.14 },
      { material: 'Air between joists', thickness_mm: 200, resistance_m2k_w: 0.16 },
      { material: 'Plasterboard', thickness_mm: 12.5, conductivity_w_mk: 0.25 },
    ],
  },
];

export function usualOf(survey: Survey, element: string): SurveyRecord | undefined {
  return survey.ofKind('construction').find((item) => item.values['element'] === element && item.values['is_usual'] === true);
}

/**
 * The edits that make `values` the usual construction of an element: a new one, or the present usual one changed.
 * Surfaces of that element that have no construction yet get it, so the answer fills the whole house.
 */
export function setUsual(survey: Survey, element: string, values: Values, makeId: () => string): Edit[] {
  const present = usualOf(survey, element);
  const id = present?.id ?? makeId();
  const made: Values = present ? values : { element, is_usual: true, ...values };
  const fills = new Set([element, ...(element === 'floor' ? ['ceiling'] : [])]);
  const waiting = survey.ofKind('surface').filter((item) => fills.has(String(item.values['element'])) && !item.values['construction']);
  return [
    { kind: 'construction', id, values: made },
    ...waiting.map((item) => ({ kind: 'surface', id: item.id, values: { construction: id } })),
  ];
}

/** What a look means for the usual construction: the name follows the look unless somebody named it. */
export function lookValues(present: SurveyRecord | undefined, look: Choice): Values {
  const names = (fieldOf('construction', 'look').choices ?? []).map((item) => item.label);
  const name = present?.values['name'];
  const isOurs = typeof name !== 'string' || name === '' || names.includes(name) || INSIDE_BUILDS.some((item) => item.label === name);
  return { ...(isOurs ? { name: look.label } : {}), known_by: 'look', look: look.value };
}
