/** Which weather station and nation a house belongs to, by its postcode or by a position: to be offered, never taken by itself. */
import {
  NATIONS_OF_AREA,
  REGIONS_OF_AREA,
  STATION_OF_REGION,
  STATION_PLACES,
  SURE_NATIONS,
} from '../generated/places.ts';

export interface Whereabouts {
  /** The nearest weather station's choice; null where nothing says it. */
  station: string | null;
  /** About how far that is, km; null by a postcode, whose region has one. */
  station_km: number | null;
  nation: string | null;
}

export interface Position {
  latitude: number;
  longitude: number;
  /** The circle in which it lies, m: 95 % sure, as browsers give it. */
  accuracy_m: number;
}

/** A position that may lie farther off than this says nothing that can be chosen by, m: towers and networks alone can be a county off. */
const TOO_ROUGH_M = 20_000;
/** Beyond this no station of ours stands for the place, km. */
const FARTHEST_KM = 600;
const DEGREE_KM = 111.2;

const OUTWARD = /^([A-Z]{1,2})([0-9]{1,2})[A-Z]?$/;

/** The twin of the engine's `split_postcode`: area letters and district. */
function splitPostcode(postcode: string): [string, number] | null {
  const compact = postcode.replace(/\s/g, '').toUpperCase();
  const outward = compact.length >= 5 ? compact.replace(/[0-9][A-Z]{2}$/, '') : compact;
  const found = OUTWARD.exec(outward);
  return found ? [found[1]!, Number(found[2])] : null;
}

/** What a postcode says; null when it is none that is known. Where its area lies in two nations it says no nation. */
export function byPostcode(postcode: string): Whereabouts | null {
  const parts = splitPostcode(postcode);
  if (!parts) return null;
  const [area, district] = parts;
  const rows = (REGIONS_OF_AREA as Record<string, readonly (readonly [number | null, number | null, number])[]>)[area];
  const nations = (NATIONS_OF_AREA as Record<string, readonly string[]>)[area] ?? [];
  if (!rows && nations.length === 0) return null;
  // A row that names districts wins over the row for the rest of its area.
  const row =
    rows?.find(([from, to]) => from !== null && to !== null && from <= district && district <= to) ??
    rows?.find(([from]) => from === null);
  return {
    station: row ? ((STATION_OF_REGION as Record<string, string>)[String(row[2])] ?? null) : null,
    station_km: null,
    nation: nations.length === 1 ? nations[0]! : null,
  };
}

/** What a position says; null when it is too rough, or far from everywhere that we know of. */
export function byPosition({ latitude, longitude, accuracy_m }: Position): Whereabouts | null {
  if (!(accuracy_m <= TOO_ROUGH_M)) return null;
  const far = ([north, east]: readonly [number, number]): number =>
    DEGREE_KM * Math.hypot(latitude - north, (longitude - east) * Math.cos((((latitude + north) / 2) * Math.PI) / 180));
  const nearest = (Object.entries(STATION_PLACES) as [string, readonly [number, number]][])
    .map(([station, place]) => ({ station, km: far(place) }))
    .sort((a, b) => a.km - b.km)[0];
  if (!nearest || nearest.km > FARTHEST_KM) return null;
  // The whole circle has to lie in one nation.
  const [up, aside] = [
    accuracy_m / 1000 / DEGREE_KM,
    accuracy_m / 1000 / (DEGREE_KM * Math.cos((latitude * Math.PI) / 180)),
  ];
  const sure = SURE_NATIONS.find(
    ([, south, north, west, east]) =>
      latitude - up >= south && latitude + up <= north && longitude - aside >= west && longitude + aside <= east,
  );
  return { station: nearest.station, station_km: nearest.km, nation: sure ? sure[0] : null };
}
