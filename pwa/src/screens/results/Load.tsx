/** What the unit must carry at the design cold, and what the year's heat is made of, as sums: what counts, what does not, and why. */
import { Sideways } from '../../pictures/letters.tsx';
import { heldTogether } from '../../domain/check.ts';
import { kilowattHours, watts, type Assessment } from '../../domain/assessment.ts';
import { SoFar } from '../../ui/SoFar.tsx';

export function LoadSum({ all, heading: Title = 'h3' }: { all: Assessment; heading?: 'h2' | 'h3' }) {
  const terms = all.plant?.load_terms ?? [];
  if (terms.length === 0) return null;
  return (
    <section class="sheet" aria-label="What the unit must carry">
      <Title>What the unit must carry</Title>
      <Sideways words="What the unit must carry, part by part">
        <table class="load-sum">
          <thead>
            <tr>
              <th scope="col">At the design cold</th>
              <th class="number" scope="col">
                Counts
              </th>
            </tr>
          </thead>
          <tbody>
            {terms.map((term) => (
              <tr key={term.code}>
                <td>
                  {term.label}
                  {!term.counts && term.watts ? `: ${watts(term.watts)}` : ''}
                  <small>{heldTogether(term.words)}</small>
                  {term.switch && <small>{term.switch}</small>}
                  <small>{term.source}</small>
                </td>
                <td class="number">{term.counts ? watts(term.watts) : term.watts ? 'left out' : '–'}</td>
              </tr>
            ))}
            <tr>
              <th scope="row">
                Together <SoFar words={all.building.so_far} />
              </th>
              <td class="number">
                <b>{watts(all.building.unit_size_w)}</b>
              </td>
            </tr>
          </tbody>
        </table>
      </Sideways>
    </section>
  );
}

export function YearSum({ all, heading: Title = 'h3' }: { all: Assessment; heading?: 'h2' | 'h3' }) {
  const year = all.plant?.year;
  if (!year) return null;
  return (
    <section class="sheet" aria-label="What the year’s heat is made of">
      <Title>What the year’s heat is made of</Title>
      <Sideways words="What the year’s heat is made of, part by part">
        <table class="load-sum">
          <thead>
            <tr>
              <th scope="col">In a year</th>
              <th class="number" scope="col">
                Counts
              </th>
            </tr>
          </thead>
          <tbody>
            {year.terms.map((term) => (
              <tr key={term.code}>
                <td>
                  {term.label}
                  {!term.counts && term.heat_kwh ? `: ${kilowattHours(term.heat_kwh)}` : ''}
                  <small>{heldTogether(term.words)}</small>
                  <small>{term.source}</small>
                </td>
                <td class="number">
                  {term.counts && term.heat_kwh !== null
                    ? kilowattHours(term.heat_kwh)
                    : term.heat_kwh
                      ? 'left out'
                      : '–'}
                </td>
              </tr>
            ))}
            <tr>
              <th scope="row">
                Together <SoFar words={year.so_far} />
              </th>
              <td class="number">
                <b>{kilowattHours(year.heat_kwh)}</b>
              </td>
            </tr>
          </tbody>
        </table>
      </Sideways>
    </section>
  );
}
