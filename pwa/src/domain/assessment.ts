/** The office's answer in the form in which the phone keeps it (the JSON form of the engine's results). */
import { fixedPlaces, grouped } from './check.ts';
import type { Gap } from './gaps.ts';
import type { Plant } from './plant.ts';
import type { ZonePlan } from './siting.ts';
import { momentWords } from './words.ts';

export type Severity = 'stop' | 'check' | 'note';
export type Verdict = 'enough' | 'short' | 'no_emitter' | 'not_known';

export interface Source { key: string; title: string; edition: string; clause: string; confidence: string }
export interface Finding { severity: Severity; code: string; record: string; field: string | null; message: string; remedy: string; source: string }
export interface Step { what: string; formula: string; numbers: string; result: number; unit: string; source: string }
export interface Climate { outside_c: number; annual_mean_c: number; words: string; steps: Step[] }
export interface ConstructionValue { id: string; name: string; element: string; u_value_w_m2k: number | null; words: string; source: string; steps: Step[] }
export interface SurfaceLoss {
  id: string; room: string; words: string; element: string; other_side: string; construction: string; gross_area_m2: number; openings_m2: number; net_area_m2: number;
  u_value_w_m2k: number; bridge_w_m2k: number; factor: number; temperature_difference_k: number; loss_w: number; source: string;
}
export interface BridgeLoss { words: string; length_m: number; psi_w_mk: number; temperature_difference_k: number; loss_w: number; source: string }
export interface SpaceBalance { id: string; name: string; temperature_c: number | null; inside_w_k: number; outside_w_k: number | null; missing: string[]; steps: Step[]; source: string }
export interface ColdFace { room: string; surface: string; words: string; face_c: number; mould_limit_pct: number; condensation_limit_pct: number; step: Step }
export interface VentilationLoss { air_changes_h: number; volume_m3: number; heat_wh_m3k: number; temperature_difference_k: number; loss_w: number; words: string; source: string }
export interface EmitterOutput {
  id: string; type: string; words: string; counts: boolean; rated_w: number | null; exponent: number | null; driving_k: number | null; output_w: number | null;
  missing: string[]; steps: Step[]; source: string;
}
export interface RoomAssessment {
  id: string; name: string; storey: string; inside_c: number | null; inside_words: string; floor_area_m2: number | null; volume_m3: number | null; surfaces: SurfaceLoss[];
  ventilation: VentilationLoss | null; fabric_w: number | null; total_w: number | null; emitters: EmitterOutput[]; output_w: number | null; margin_w: number | null;
  verdict: Verdict; lowest_flow_c: number | null; missing: string[]; bridges?: BridgeLoss[];
}
export interface BuildingLoss {
  total_w: number | null; known_so_far_w: number; outside_w: number; ground_w: number; unheated_w: number; neighbour_w: number; between_rooms_w: number; ventilation_w: number;
  unit_size_w: number | null; floor_area_m2: number; loss_w_m2: number | null; coefficient_w_k: number | null; rooms_missing: string[];
}
export interface FlowCandidate { flow_c: number; rooms_short: number; output_w: number }
export interface FlowTemperature {
  design_c: number; difference_k: number; design_words: string; lowest_c: number | null; set_by_room: string | null; candidates: FlowCandidate[]; words: string; source: string;
}
export interface VentilationMethod {
  method: string; label: string; is_used: boolean; house_w: number | null; at_once_w: number | null; air_changes_h: number | null; words: string; missing: string[]; steps: Step[]; source: string;
}
export interface Compensation { cold_outside_c: number; cold_flow_c: number; mild_outside_c: number; mild_flow_c: number; words: string; steps: Step[] }
export interface EnergyEstimate { flow_c: number; heat_kwh: number; electricity_kwh: number; seasonal_efficiency: number; cost_pounds: string | null; words: string; steps: Step[] }
export interface Improvement {
  kind: string; what: string; record: string; lowest_flow_c: number | null; reduction_k: number | null; seasonal_efficiency: number | null; saved_kwh: number | null; saved_pounds: string | null;
}
export interface Improvements { words: string; single: Improvement[]; in_turn: Improvement[] }
export interface BasePoint { id: string; x_mm: number; y_mm: number; height_mm: number; residual_mm: number }
export interface BaseFoot { name: string; x_mm: number; y_mm: number; height_mm: number; packing_mm: number }
export interface BaseAssessment {
  id: string; name: string; length_mm: number | null; width_mm: number | null; points: BasePoint[]; slope_x_mm_m: number | null; slope_y_mm_m: number | null;
  fall_mm_m: number | null; fall_across_base_mm: number | null; falls_toward: string | null; worst_residual_mm: number | null; feet: BaseFoot[]; missing: string[]; steps: Step[]; source: string;
}
export interface CableAssessment { id: string; purpose: string; words: string; length_m: number | null; run_by: string | null; verdict: string; missing: string[] }

export interface Assessment {
  engine: string; survey: string; climate: Climate | null; constructions: ConstructionValue[]; rooms: RoomAssessment[]; building: BuildingLoss; flow: FlowTemperature | null;
  bases: BaseAssessment[]; cables: CableAssessment[]; findings: Finding[]; methods: string[]; sources: Source[]; spaces?: SpaceBalance[]; cold_faces?: ColdFace[];
  ventilation?: VentilationMethod[]; compensation?: Compensation | null; energy?: EnergyEstimate | null; improvements?: Improvements | null;
  plant?: Plant; site?: { zones?: ZonePlan[] };
}

export interface NarrowPictures { room_losses?: string | null; flow?: string | null; compensation?: string | null; improvements?: string | null; cost?: string | null; bases?: Record<string, string>; zones?: Record<string, string> }
/** `narrow` are those that fit a phone; an older office does not send them. */
export interface Pictures extends NarrowPictures { circuit?: string | null; cables?: string | null; narrow?: NarrowPictures }

/** Everything that was worked out of a survey at one moment, here or at the office: the same engine, the same shape. */
export interface Answer {
  assessment: Assessment;
  gaps: Gap[];
  pictures: Pictures;
  /** The same drawings for the dark theme; an older office does not send them. */
  pictures_dark?: Pictures;
  by: 'phone' | 'office';
  at: number;
}

/** `live on this phone`, or who worked it out and when, and whether it may no longer hold. Starts a sentence when asked to. */
export function workedOutWords(found: { assessment: Answer | null; changedSince: boolean; isLive?: boolean }, isSentence = false): string {
  const answer = found.assessment;
  if (!answer) return '';
  const when = answer.by === 'office' ? `worked out at the office ${momentWords(answer.at)}` : `worked out on this phone ${momentWords(answer.at)}`;
  const words = found.isLive ? 'live on this phone' : `${when}${found.changedSince ? '; changed since, so it may no longer hold' : ''}`;
  return isSentence ? `${words[0]!.toUpperCase()}${words.slice(1)}.` : words;
}

export const SEVERITY_WORDS: Record<Severity, string> = { stop: 'Stop', check: 'Check', note: 'Note' };

export const VERDICT_WORDS: Record<Verdict, string> = {
  enough: 'Enough', short: 'Too small', no_emitter: 'No emitter', not_known: 'Not known yet',
};

export function watts(value: number | null): string {
  return value === null ? 'not known' : `${grouped(fixedPlaces(value, 0))} W`;
}

export function kilowatts(value: number | null): string {
  return value === null ? 'not known' : `${grouped(fixedPlaces(value / 1000, 1))} kW`;
}

export function celsius(value: number | null): string {
  return value === null ? 'not known' : `${fixedPlaces(value, 1).replace(/\.0$/, '')} °C`;
}

/** A lowest flow temperature, rounded up: what is written must still serve. */
export function lowestCelsius(value: number | null): string {
  return celsius(value === null ? null : Math.ceil(Number(fixedPlaces(value * 10, 6).replace('−', '-'))) / 10);
}

/** Split a finding's `kind/id`. */
export function recordOf(finding: Finding): { kind: string; id: string } | null {
  const [kind, id] = finding.record.split('/');
  return kind && id ? { kind, id } : null;
}
