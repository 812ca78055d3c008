/** What the engine says of the unit, the hot water and the running cost (`engine/plant_results.py`), and its words. */
import type { Severity, Step, Verdict } from './assessment.ts';
import { fixedPlaces, grouped } from './check.ts';

export type UnitVerdict = 'covers' | 'large' | 'short' | 'too_cool' | 'not_known';
export interface UnitResult {
  id: string; name: string; is_chosen: boolean; capacity_kw: number | null; cop: number | null; covers: number | null; bivalent_c: number | null; bivalent_words: string;
  seasonal_efficiency: number | null; electricity_kwh: number | null; heater_kwh: number | null; cycling_share: number | null; verdict: UnitVerdict; edges: string[]; missing: string[]; table_from: string;
}
export interface DayPart { outside_c: number; flow_c: number; load_kw: number; capacity_kw: number; least_kw: number; cop: number }
export interface HotWaterNeed {
  method: string; label: string; is_used: boolean; people: number | null; litres_low: number | null; litres_high: number | null; water_c: number | null; heat_kwh_day: number | null; words: string; source: string;
}
export interface HotWaterCharge { outside_c: number; from_c: number; to_c: number; minutes: number; end_flow_c: number; end_kw: number; efficiency: number; is_held_back: boolean }
export interface Discharge { pipe_mm: number; length_m: number; elbows: number; equivalent_m: number; longest_m: number | null; is_allowed: boolean; words: string; source: string }
export interface CylinderFit { what: string; has_mm: number | null; needs_mm: number | null; state: 'fits' | 'tight' | 'too_small' | 'not_known' }
export interface HotWaterResult {
  needs: HotWaterNeed[]; content_l: number | null; content_words: string; usable_l: number | null; at_the_tap_l: number | null; shower_min: number | null; charges: HotWaterCharge[];
  loss_kwh_day: number | null; hours_day: number | null; share_of_day: number | null; capacity_asked_kw: number | null; heat_kwh: number | null; electricity_kwh: number | null;
  discharge: Discharge | null; fits?: CylinderFit[]; cautions: string[]; missing: string[]; steps: Step[]; source: string;
}
export interface CarbonLine { factor_set: string; kg_low: number; kg_high: number; source: string }
export interface CostLine { key: string; name: string; energy_low_kwh: number; energy_high_kwh: number; price_p_kwh: number | null; pounds_low: string | null; pounds_high: string | null; carbon: CarbonLine[]; words: string }
export interface Grant { pounds: string | null; words: string; source: string }
export interface RunningCost {
  lines: CostLine[]; heat_low_kwh: number | null; heat_high_kwh: number | null; efficiency: number | null; break_even_low: number | null; break_even_high: number | null;
  saved_low_pounds: string | null; saved_high_pounds: string | null; grant: Grant | null; words: string[]; missing: string[]; steps: Step[]; source: string;
}
export interface Plant {
  load_kw: number | null; units: UnitResult[]; day_parts: DayPart[]; scop_35: number | null; scop_55: number | null; steps: Step[]; hot_water: HotWaterResult | null; cost: RunningCost | null;
}

export const UNIT_WORDS: Record<UnitVerdict, string> = {
  covers: 'Covers the house', large: 'Covers it, but is large', short: 'Too small', too_cool: 'Water not hot enough', not_known: 'Not known yet',
};
export const UNIT_SHAPES: Record<UnitVerdict, Verdict | Severity> = { covers: 'enough', large: 'check', short: 'short', too_cool: 'short', not_known: 'not_known' };
export const FIT_WORDS: Record<CylinderFit['state'], string> = { fits: 'Fits', tight: 'Tight', too_small: 'Does not fit', not_known: 'Not known yet' };
export const FIT_SHAPES: Record<CylinderFit['state'], Verdict | Severity> = { fits: 'enough', tight: 'check', too_small: 'stop', not_known: 'not_known' };
export const FACTOR_SETS: Record<string, string> = { sap_10_2: 'SAP 10.2', sap_10_3: 'SAP 10.3' };

/** A figure and its unit stay on one line. */
const NBSP = '\u00a0';

export const amount = (value: number | null, decimals = 0, unit = ''): string => (value === null ? '–' : `${grouped(fixedPlaces(value, decimals))}${unit && `${NBSP}${unit}`}`);
export const percent = (share: number | null): string => (share === null ? '–' : `${fixedPlaces(100 * share, 0)}${NBSP}%`);

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
  const said = (value: number): string => (value === 0 ? 'the same' : `£${grouped(String(Math.abs(value)))} ${value < 0 ? 'more' : 'less'}`);
  return low === high ? said(low) : `between ${said(low)} and ${said(high)}`;
}

export const chosenUnit = (plant: Plant | undefined): UnitResult | null => plant?.units.find((unit) => unit.is_chosen) ?? null;
