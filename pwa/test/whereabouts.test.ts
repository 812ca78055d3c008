/** Station and nation by postcode, as the engine has them, and by position. */
import { expect, test } from 'vitest';
import golden from '../../tests/golden/places.json';
import { byPosition, byPostcode } from '../src/domain/whereabouts.ts';

const cases = golden as unknown as Record<string, [string | null, string[]]>;

test('a postcode has the station and the nation that the engine gives it', () => {
  expect(Object.keys(cases).length).toBeGreaterThan(400);
  for (const [code, [station, nations]] of Object.entries(cases)) {
    const said = byPostcode(code);
    expect([code, said?.station ?? null]).toEqual([code, station]);
    expect([code, said?.nation ?? null]).toEqual([code, nations.length === 1 ? nations[0] : null]);
  }
});

const leeds = { latitude: 53.8, longitude: -1.55, accuracy_m: 20 };

test('a position has the nearest station, and a nation only where there is no doubt', () => {
  expect(byPosition(leeds)).toMatchObject({ station: 'leeds_bradford', nation: 'england' });
  expect(byPosition(leeds)!.station_km).toBeGreaterThan(0);
  expect(byPosition(leeds)!.station_km).toBeLessThan(20);
  // At the border, and where the circle reaches over it.
  expect(byPosition({ latitude: 55.0, longitude: -3.05, accuracy_m: 20 })!.nation).toBeNull();
  expect(byPosition({ latitude: 54.88, longitude: -1.55, accuracy_m: 100 })!.nation).toBe('england');
  expect(byPosition({ latitude: 54.88, longitude: -1.55, accuracy_m: 5_000 })!.nation).toBeNull();
});

test('a position that is too rough, or abroad, says nothing', () => {
  expect(byPosition({ ...leeds, accuracy_m: 30_000 })).toBeNull();
  expect(byPosition({ ...leeds, accuracy_m: Number.NaN })).toBeNull();
  expect(byPosition({ latitude: 40.4, longitude: -3.7, accuracy_m: 10 })).toBeNull();
});
