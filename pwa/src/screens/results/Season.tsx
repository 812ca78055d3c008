/** The year: the line to set on the controller, what would lower the flow, and how the air was counted. */
import { heldTogether } from '../../domain/check.ts';
import { kilowattHours, lowestCelsius, watts, type Assessment, type Pictures } from '../../domain/assessment.ts';
import { SoFar } from '../../ui/SoFar.tsx';
import { Drawing } from './Drawing.tsx';
import { YearSum } from './Load.tsx';

/** `heading` is one level below the page's own. */
export function Season({
  all,
  pictures,
  heading: Heading = 'h2',
}: {
  all: Assessment;
  pictures: Pictures & { isForDark: boolean };
  heading?: 'h2' | 'h3';
}) {
  const { compensation, energy, improvements, ventilation } = all;
  const changes = improvements?.single ?? [];
  return (
    <>
      {improvements && (
        <section class="office-stack" aria-label="What would lower the flow temperature">
          <Heading>
            What would lower the flow temperature <SoFar words={improvements.so_far} />
          </Heading>
          <p>{heldTogether(improvements.words)}</p>
          <Drawing
            pictures={pictures}
            of="improvements"
            words="The lowest flow temperature that serves every room, as the house is and after each of the best changes."
          />
          {changes.length > 0 && (
            <ul class="list">
              {changes.map((item) => (
                <li key={`${item.record} ${item.what}`} class="row">
                  <span class="row-words">
                    <span>{item.what}</span>
                    <small>
                      {item.lowest_flow_c === null
                        ? 'By itself no flow serves every room yet.'
                        : `By itself: every room warm from ${lowestCelsius(item.lowest_flow_c)}`}
                      {item.saved_kwh !== null && `; saves about ${kilowattHours(item.saved_kwh)} a year`}
                      {item.limits && `. ${item.limits}`}
                    </small>
                  </span>
                </li>
              ))}
            </ul>
          )}
        </section>
      )}
      {compensation && (
        <section class="office-stack" aria-label="Weather compensation">
          <Heading>
            Weather compensation <SoFar words={compensation.so_far} />
          </Heading>
          <p>{heldTogether(compensation.words)}</p>
          <Drawing
            pictures={pictures}
            of="compensation"
            words="The flow temperature needed at each outside temperature, and the two points to set."
          />
          {energy && (
            <p class="field-notes">
              A year of heating takes about {kilowattHours(energy.electricity_kwh)} of electricity for{' '}
              {kilowattHours(energy.heat_kwh)} of heat{energy.so_far && ' '}
              <SoFar words={energy.so_far} />. {heldTogether(energy.words)}
            </p>
          )}
        </section>
      )}
      <YearSum all={all} heading={Heading} />
      {ventilation && ventilation.length > 0 && (
        <section class="office-stack" aria-label="How the air was counted">
          <Heading>
            How the air was counted <SoFar words={ventilation[0]!.so_far} />
          </Heading>
          <ul class="list">
            {ventilation.map((item) => (
              <li key={item.method} class="row">
                <span class="row-words">
                  <span>
                    {item.label}: {watts(item.house_w)}
                    {item.is_used && <b> (used here)</b>}
                  </span>
                  <small>
                    {item.words}
                    {item.missing.length > 0 && `; missing: ${item.missing.join(', ')}`}
                  </small>
                </span>
              </li>
            ))}
          </ul>
        </section>
      )}
    </>
  );
}
