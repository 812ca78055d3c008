/** Words for what the engine says of the unit, the hot water and the running cost. */
import type { CylinderFit, PlantAssessment, RunningCost, Severity, UnitResult, Verdict } from '../generated/answers.ts';
import { FACTOR_SETS } from '../generated/answers.ts';
import { NBSP, fixedPlaces, grouped } from './check.ts';

export type UnitVerdict = UnitResult['verdict'];

export const UNIT_SHAPES: Record<UnitVerdict, Verdict | Severity> = {
  covers: 'enough',
  large: 'check',
  short: 'short',
  too_cool: 'short',
  not_known: 'not_known',
};
export const FIT_SHAPES: Record<CylinderFit['state'], Verdict | Severity> = {
  fits: 'enough',
  tight: 'check',
  too_small: 'stop',
  not_known: 'not_known',
};
/** What each set of carbon factors is called. */
export const FACTOR_WORDS: Record<string, string> = FACTOR_SETS;

export const amount = (value: number | null, decimals = 0, unit = ''): string =>
  value === null ? '–' : `${grouped(fixedPlaces(value, decimals))}${unit && `${NBSP}${unit}`}`;
export const percent = (share: number | null): string =>
  share === null ? '–' : `${fixedPlaces(100 * share, 0)}${NBSP}%`;

/** `3,181 to 4,258 kWh`; one figure where both are written alike. */
export function span(low: number | null, high: number | null, decimals = 0, unit = ''): string {
  const [from, to] = [amount(low, decimals), amount(high, decimals)];
  return `${from === to ? from : `${from} to ${to}`}${unit && low !== null ? `${NBSP}${unit}` : ''}`;
}

/** `£808 to £1,082` from decimal text: a range of a year needs no pence. */
export function poundsSpan(low: string | null, high: string | null): string {
  if (low === null || high === null) return 'not known';
  const whole = (text: string): string => {
    const value = Number(text);
    return `${value <= -0.5 ? '−' : ''}£${grouped(fixedPlaces(Math.abs(value), 0))}`;
  };
  return whole(low) === whole(high) ? whole(low) : `${whole(low)} to ${whole(high)}`;
}

/** What a year saves against the present heating: `between £61 more and £213 less`. */
export function savedWords(cost: RunningCost): string | null {
  if (cost.saved_low_pounds === null || cost.saved_high_pounds === null) return null;
  const [low, high] = [Math.round(Number(cost.saved_low_pounds)), Math.round(Number(cost.saved_high_pounds))];
  const said = (value: number): string =>
    value === 0 ? 'the same' : `£${grouped(String(Math.abs(value)))} ${value < 0 ? 'more' : 'less'}`;
  return low === high ? said(low) : `between ${said(low)} and ${said(high)}`;
}

export const chosenUnit = (plant: PlantAssessment | undefined): UnitResult | null =>
  plant?.units.find((unit) => unit.is_chosen) ?? null;
