/** What was worked out of a survey, and its words. The shapes themselves are derived from the engine's. */
import { fixedPlaces, grouped, NBSP } from './check.ts';
import type { Gap } from './gaps.ts';
import { momentWords } from './words.ts';
import type { Assessment, Finding, Plans, Ranges, Suggestions } from '../generated/answers.ts';

export type * from '../generated/answers.ts';

export interface NarrowPictures {
  room_losses?: string | null;
  flow?: string | null;
  compensation?: string | null;
  improvements?: string | null;
  cost?: string | null;
  bases?: Record<string, string>;
  zones?: Record<string, string>;
  plans?: Record<string, string>;
}
/** `narrow` are those that fit a phone; an older office does not send them. */
export interface Pictures extends NarrowPictures {
  circuit?: string | null;
  cables?: string | null;
  narrow?: NarrowPictures;
}

type Places = Record<string, Record<string, [number, number, number, number]>>;

/** The plans of the storeys, and where each room lies in the drawing of its storey: left, top, width, height in the drawing's own units. */
export interface DrawnPlans extends Plans {
  places: Places;
  narrow_places: Places;
}

/** The plans as they are answered, their drawings apart from the others. */
export interface PlansAnswer {
  plans: DrawnPlans;
  pictures: Pictures;
  pictures_dark: Pictures;
}

/** Everything that is worked out of a survey: the same engine on the phone and at the office, the same shape. */
export interface WorkedOut {
  assessment: Assessment;
  gaps: Gap[];
  /** Works and price lines that the survey asks for; an older office does not send them. */
  suggestions?: Suggestions;
  /** How sure the figures are; an older office does not send it. */
  ranges?: Ranges;
  pictures: Pictures;
  /** The same drawings for the dark theme; an older office does not send them. */
  pictures_dark?: Pictures;
  /** An older office does not send them; null where they could not be worked out. */
  plans?: DrawnPlans | null;
}

/** How sure the figures are; null while that was worked out of other figures than those that stand. */
export function rangesOf({ assessment, ranges }: WorkedOut): Ranges | null {
  return ranges &&
    (ranges.load_w?.middle ?? null) === (assessment.building.so_far ? null : assessment.building.unit_size_w)
    ? ranges
    : null;
}

/** What was worked out at one moment, here or at the office. */
export interface Answer extends WorkedOut {
  by: 'phone' | 'office';
  at: number;
}

/** What was worked out, without what else came with it. */
export const workedOut = ({
  assessment,
  gaps,
  suggestions,
  ranges,
  pictures,
  pictures_dark,
  plans,
}: WorkedOut): WorkedOut => ({
  assessment,
  gaps,
  pictures,
  ...(suggestions ? { suggestions } : {}),
  ...(ranges ? { ranges } : {}),
  ...(pictures_dark ? { pictures_dark } : {}),
  ...(plans === undefined ? {} : { plans }),
});

const joined = (one: Pictures | undefined, more: Pictures | undefined): Pictures => ({
  ...one,
  plans: more?.plans ?? {},
  narrow: { ...one?.narrow, plans: more?.narrow?.plans ?? {} },
});

/** The plans of an answer with their drawings, or null where it has none. */
export const plansOf = (answer: WorkedOut): PlansAnswer | null =>
  answer.plans ? { plans: answer.plans, pictures: answer.pictures, pictures_dark: answer.pictures_dark ?? {} } : null;

/** An answer with other plans, their drawings among the others. */
export const withPlans = <T extends WorkedOut>(answer: T, found: PlansAnswer | null): T => ({
  ...answer,
  plans: found?.plans ?? null,
  pictures: joined(answer.pictures, found?.pictures),
  pictures_dark: joined(answer.pictures_dark, found?.pictures_dark),
});

/** `live on this phone`, or who worked it out and when, and whether it may no longer hold. Starts a sentence when asked to. */
export function workedOutWords(
  found: { assessment: Answer | null; changedSince: boolean; isLive?: boolean },
  isSentence = false,
): string {
  const answer = found.assessment;
  if (!answer) return '';
  const when =
    answer.by === 'office'
      ? `worked out at the office ${momentWords(answer.at)}`
      : `worked out on this phone ${momentWords(answer.at)}`;
  const words = found.isLive
    ? 'live on this phone'
    : `${when}${found.changedSince ? '; changed since, so it may no longer hold' : ''}`;
  return isSentence ? `${words[0]!.toUpperCase()}${words.slice(1)}.` : words;
}

export function watts(value: number | null): string {
  return value === null ? 'not known' : `${grouped(fixedPlaces(value, 0))}${NBSP}W`;
}

export function kilowatts(value: number | null): string {
  return value === null ? 'not known' : `${grouped(fixedPlaces(value / 1000, 1))}${NBSP}kW`;
}

/** Heat or electricity of a year. */
export function kilowattHours(value: number | null): string {
  return value === null ? 'not known' : `${grouped(fixedPlaces(value, 0))}${NBSP}kWh`;
}

export function celsius(value: number | null): string {
  return value === null ? 'not known' : `${fixedPlaces(value, 1).replace(/\.0$/, '')}${NBSP}°C`;
}

/** A lowest flow temperature, rounded up: what is written must still serve. */
export function lowestCelsius(value: number | null): string {
  return celsius(value === null ? null : Math.ceil(Number(fixedPlaces(value * 10, 6).replace('−', '-'))) / 10);
}

/** What is known of a construction's U-value: `U 0.57`, or that it has none; empty before anything was worked out of it. */
export function uValueWords(answer: Answer | null, construction: string | undefined): string {
  const found = answer?.assessment.constructions.find((item) => item.id === construction);
  if (!found) return '';
  return found.u_value_w_m2k === null ? 'no U-value yet' : `U ${fixedPlaces(found.u_value_w_m2k, 2)}${NBSP}W/m²K`;
}

/** The U-value that a surface counts with where it lies, else that of its construction. */
export function surfaceUValueWords(answer: Answer | null, surface: string, construction: string | undefined): string {
  const found = answer?.assessment.rooms.flatMap((room) => room.surfaces).find((item) => item.id === surface);
  return found ? `U ${fixedPlaces(found.u_value_w_m2k, 2)}${NBSP}W/m²K` : uValueWords(answer, construction);
}

/** Split a finding's `kind/id`. */
export function recordOf(finding: Finding): { kind: string; id: string } | null {
  const [kind, id] = finding.record.split('/');
  return kind && id ? { kind, id } : null;
}
