/** Usual constructions in two minutes: what is seen becomes a construction that fills the whole house. */
import { LOOKS_OF, READY_OF } from '../generated/answers.ts';
import { fieldOf, type Choice, type Value, type Values } from './model.ts';
import type { Edit, Survey, SurveyRecord } from './survey.ts';

export interface Slot {
  key: string;
  element: string;
  label: string;
  /** Looks that belong here: whole words, or the start of several up to the underscore. */
  looks: string[];
  ask: string;
  /** What was measured and sharpens the published default. */
  measured: string[];
}

/** Walls to neighbours are walls too, but not the usual outside ones. */
const PARTY = 'party';

/** A loft's ceiling may be entered as 'ceiling' or as 'roof'. */
const PLACE_OF_SLOT: Record<string, Serves> = { roof: 'loft' };

export const SLOTS: Slot[] = [
  {
    key: 'wall',
    element: 'wall',
    label: 'Outside walls',
    looks: ['wall_'],
    ask: 'Look at the brick pattern and the depth of a window reveal.',
    measured: ['thickness_mm', 'insulation_mm'],
  },
  {
    key: 'window',
    element: 'window',
    label: 'Glazing',
    looks: ['window_'],
    ask: 'Hold a flame or a torch to the pane and count the reflections.',
    measured: [],
  },
  { key: 'door', element: 'door', label: 'Outside doors', looks: ['door_'], ask: '', measured: [] },
  {
    key: 'roof',
    element: 'roof',
    label: 'Loft and roof',
    looks: ['roof_'],
    ask: 'Measure the quilt in three places.',
    measured: ['insulation_mm'],
  },
  {
    key: 'ground_floor',
    element: 'ground_floor',
    label: 'Ground floor',
    looks: ['floor_solid', 'floor_suspended', 'floor_cellar'],
    ask: 'Springy or hard? Air bricks outside?',
    measured: ['insulation_mm', 'thickness_mm'],
  },
  {
    key: 'partition',
    element: 'partition',
    label: 'Walls between rooms',
    looks: ['partition_'],
    ask: 'Knock on it.',
    measured: [],
  },
  { key: 'floor', element: 'floor', label: 'Floors between storeys', looks: ['floor_between'], ask: '', measured: [] },
  { key: PARTY, element: 'wall', label: 'Walls to neighbours', looks: ['party_'], ask: '', measured: [] },
];

function isOneOf(look: unknown, looks: readonly string[]): boolean {
  return typeof look === 'string' && looks.some((item) => (item.endsWith('_') ? look.startsWith(item) : look === item));
}

function among(looks: readonly string[]): Choice[] {
  return (fieldOf('construction', 'look').choices ?? []).filter((choice) => isOneOf(choice.value, looks));
}

/** The choices of a construction's field that an element can be, as the engine says; all when nothing is known of the element. */
function fitting(field: string, of: Readonly<Record<string, readonly string[]>>, element: string): Choice[] {
  const all = fieldOf('construction', field).choices ?? [];
  const own = of[element];
  return own ? all.filter((choice) => own.includes(choice.value)) : all;
}

/** The looks that fit an element; all when nothing is known of it. */
export function looksFor(element: string): Choice[] {
  return fitting('look', LOOKS_OF, element);
}

/** The constructions of the library that fit an element; all when nothing is known of it. */
export function readyFor(element: string): Choice[] {
  return fitting('ready', READY_OF, element);
}

/** The ways to know a U-value that fit an element: glazing goes by its panes, the rest by its layers. */
const WAYS_OF: Record<string, string[]> = {
  window: ['look', 'window_table', 'window_parts', 'declared'],
  rooflight: ['look', 'window_table', 'window_parts', 'declared'],
  door: ['look', 'ready', 'layers', 'window_parts', 'declared'],
  ground_floor: ['look', 'layers', 'declared'],
};
const WAYS = ['look', 'ready', 'layers', 'declared'];

export function waysFor(element: string): Choice[] {
  const fitting = WAYS_OF[element] ?? WAYS;
  return (fieldOf('construction', 'known_by').choices ?? []).filter((choice) => fitting.includes(choice.value));
}

/** Where an element can serve: a wall to outside or to a neighbour, a ceiling under a loft or between storeys. */
const SERVES_OF: Record<string, Serves[]> = { wall: ['outside', 'neighbour'], ceiling: ['loft', 'storeys'] };

export function servesFor(element: string): Choice[] {
  return (fieldOf('construction', 'serves').choices ?? []).filter((choice) =>
    SERVES_OF[element]?.includes(choice.value as Serves),
  );
}

export const looksOf = (slot: Slot): Choice[] => among(slot.looks);

/** Where a wall or a ceiling serves: its look says it, or its place in the library, or somebody has. */
export type Serves = 'outside' | 'neighbour' | 'loft' | 'storeys';
const SEEN_AS: [Serves, string[]][] = [
  ['neighbour', ['party_']],
  ['loft', ['roof_']],
  ['storeys', ['floor_between', 'floor_between_wool']],
];

export function servesWhere({ values }: SurveyRecord): Serves | null {
  if (values['element'] === 'roof') return 'loft';
  const seen = values['known_by'] === 'ready' ? values['ready'] : values['known_by'] === 'look' ? values['look'] : null;
  if (seen === undefined || seen === null) return (values['serves'] as Serves | undefined) ?? null;
  return SEEN_AS.find(([, looks]) => isOneOf(seen, looks))?.[0] ?? null;
}

/** The usual wall to a neighbour, however it is known: one that says it is usual, else the first. */
export function partyWall(survey: Survey): SurveyRecord | undefined {
  const all = survey
    .ofKind('construction')
    .filter((item) => item.values['element'] === 'wall' && servesWhere(item) === 'neighbour');
  return all.find((item) => isUsualIn(item, null)) ?? all[0];
}

/** Whether a construction is the usual one of its kind in a part of the house: in an extension, or in the main house without one. */
export const isUsualIn = (item: SurveyRecord, extension: Value | undefined): boolean =>
  item.values['is_usual'] === true && (item.values['extension'] ?? null) === (extension ?? null);

/** The construction that fills a slot at present; extensions have usual ones of their own. */
export function usualOf(survey: Survey, slot: Slot): SurveyRecord | undefined {
  if (slot.key === PARTY) return partyWall(survey);
  const elements = slot.element === 'roof' ? ['roof', 'ceiling'] : [slot.element];
  const place = PLACE_OF_SLOT[slot.key];
  return survey
    .ofKind('construction')
    .filter((item) => elements.includes(String(item.values['element'])) && isUsualIn(item, null))
    .sort(
      (one, other) =>
        elements.indexOf(String(one.values['element'])) - elements.indexOf(String(other.values['element'])),
    )
    .find((item) => (place === undefined ? servesWhere(item) !== 'neighbour' : servesWhere(item) === place));
}

/** What a look means for the construction: its name follows the look unless somebody named it. */
function lookValues(present: SurveyRecord | undefined, look: Choice): Values {
  const names = (fieldOf('construction', 'look').choices ?? []).map((item) => item.label);
  const name = present?.values['name'];
  const isOurs = typeof name !== 'string' || name === '' || names.includes(name);
  return { ...(isOurs ? { name: look.label } : {}), known_by: 'look', look: look.value };
}

function isFilledBy(slot: Slot, surface: Values): boolean {
  if (slot.key === PARTY) return surface['element'] === 'wall' && surface['other_side'] === 'neighbour';
  return surface['element'] === slot.element || (slot.element === 'floor' && surface['element'] === 'ceiling');
}

/**
 * The edits that give a slot its look, or take it back: a new construction, or the present one changed.
 * Surfaces of that kind that have no construction yet get it, so the answer fills the whole house.
 */
export function setLook(survey: Survey, slot: Slot, look: string | null, makeId: () => string): Edit[] {
  const present = usualOf(survey, slot);
  const choice = looksOf(slot).find((item) => item.value === look);
  if (!choice) return present ? [{ kind: 'construction', id: present.id, values: { look: null } }] : [];
  const values = lookValues(present, choice);
  if (present) return [{ kind: 'construction', id: present.id, values }];
  const id = makeId();
  const waiting = survey
    .ofKind('surface')
    .filter((item) => isFilledBy(slot, item.values) && !item.values['construction']);
  return [
    {
      kind: 'construction',
      id,
      values: { element: slot.element, ...(slot.key === PARTY ? {} : { is_usual: true }), ...values },
    },
    ...waiting.map((item) => ({ kind: 'surface', id: item.id, values: { construction: id } })),
  ];
}

/** One more construction of a slot's kind by its look, beside the usual one: nothing starts with it. It is called by its look until somebody names it. */
export function anotherLook(survey: Survey, slot: Slot, look: Choice, id: string): Edit {
  const taken = survey.ofKind('construction').map((item) => item.values['name']);
  let name = look.label;
  for (let number = 2; taken.includes(name); number += 1) name = `${look.label} (${number})`;
  return { kind: 'construction', id, values: { element: slot.element, name, known_by: 'look', look: look.value } };
}
