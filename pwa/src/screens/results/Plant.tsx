/** The unit, the hot water and the running cost: what was worked out, for the office's pages and the phone's results. */
import { Sideways } from '../../pictures/letters.tsx';
import { heldTogether } from '../../domain/check.ts';
import { FIT_WORDS, UNIT_WORDS } from '../../generated/answers.ts';
import type { ComponentChildren } from 'preact';
import {
  celsius,
  type Assessment,
  type CostLine,
  type HotWaterResult,
  type Pictures,
  type PlantAssessment,
  type RunningCost,
  type Severity,
  type Step,
  type UnitResult,
  type Verdict,
} from '../../domain/assessment.ts';
import {
  amount,
  chosenUnit,
  FACTOR_WORDS,
  FIT_SHAPES,
  percent,
  poundsSpan,
  savedWords,
  span,
  UNIT_SHAPES,
} from '../../domain/plant.ts';
import { recordLink } from '../../ui/router.ts';
import { SeverityShape, VerdictShape } from '../../ui/shapes.tsx';
import { SoFar } from '../../ui/SoFar.tsx';
import { Cell, Head, Table } from '../../ui/Cards.tsx';
import { Drawing } from './Drawing.tsx';
import { Steps } from './Working.tsx';

type Shown = Pictures & { isForDark: boolean };
type Heading = 'h2' | 'h3';

/** A state as a word with its shape before it. */
function State({ shape, words }: { shape: Verdict | Severity; words: string }) {
  const isSeverity = shape === 'stop' || shape === 'check' || shape === 'note';
  return (
    <span class="verdict">
      {isSeverity ? <SeverityShape severity={shape} /> : <VerdictShape verdict={shape} />} {words}
    </span>
  );
}

/** Facts by name; what is not known is left out. */
function Facts({ rows }: { rows: [string, ComponentChildren | null][] }) {
  const known = rows.filter(([, words]) => words !== null);
  if (known.length === 0) return null;
  return (
    <dl class="facts">
      {known.map(([name, words]) => (
        <div key={name}>
          <dt>{name}</dt>
          <dd>{typeof words === 'string' ? heldTogether(words) : words}</dd>
        </div>
      ))}
    </dl>
  );
}

function HowWorked({ steps }: { steps: readonly Step[] }) {
  return steps.length === 0 ? null : (
    <details>
      <summary>How these were worked out</summary>
      <Steps steps={steps} />
    </details>
  );
}

const missingWords = (missing: readonly string[]) =>
  missing.length > 0 && (
    <p>
      <b>Missing:</b> {missing.join('; ')}.
    </p>
  );

/** Every unit in question against the house, the best first. */
export function UnitShortlist({
  survey,
  plant,
  onChoose,
}: {
  survey: string;
  plant: PlantAssessment;
  onChoose?: (unit: UnitResult) => void;
}) {
  return (
    <div class="sheet sheet-table units">
      {plant.so_far && (
        <p>
          Against the load <SoFar words={plant.so_far} />
        </p>
      )}
      <Table
        label="Units in question"
        head={
          <tr role="row">
            <Head words="Unit" />
            <Head words="Gives at the design cold" isNumber />
            <Head words="Of the load" isNumber />
            <Head words="Meets the load" isNumber />
            <Head words="Season's efficiency" isNumber />
            <Head words="Electricity a year" isNumber />
            <Head words="Heat while cycling" isNumber />
            <Head words="Verdict" />
            {onChoose && (
              <th role="columnheader">
                <span class="hidden-words">Choose</span>
              </th>
            )}
          </tr>
        }
      >
        {plant.units.map((unit) => (
          <tr key={unit.id} role="row" class={unit.is_chosen ? 'is-chosen' : undefined}>
            <Cell label="Unit" class="cards-title">
              <a class="office-open" href={recordLink(survey, 'unit', unit.id)}>
                {unit.name}
              </a>
              {unit.missing.length > 0 && <small>Missing: {unit.missing.join('; ')}</small>}
              {unit.edges.length > 0 && <small>{unit.edges.join('; ')}</small>}
            </Cell>
            <Cell label="Gives at the design cold" isNumber>
              {amount(unit.capacity_kw, 1, 'kW')}
            </Cell>
            <Cell label="Of the load" isNumber>
              {percent(unit.covers)}
            </Cell>
            <Cell label="Meets the load" isNumber>
              {heldTogether(unit.bivalent_words)}
            </Cell>
            <Cell label="Season's efficiency" isNumber>
              {amount(unit.seasonal_efficiency, 2)}
            </Cell>
            <Cell label="Electricity a year" isNumber>
              {amount(unit.electricity_kwh, 0, 'kWh')}
            </Cell>
            <Cell label="Heat while cycling" isNumber>
              {percent(unit.cycling_share)}
            </Cell>
            <Cell label="Verdict">
              <State shape={UNIT_SHAPES[unit.verdict]} words={UNIT_WORDS[unit.verdict]} />
            </Cell>
            {onChoose && (
              <Cell label="">
                {unit.is_chosen ? (
                  <b>Chosen</b>
                ) : (
                  <button
                    type="button"
                    class="button"
                    aria-label={`Choose ${unit.name}`}
                    onClick={() => onChoose(unit)}
                  >
                    Choose
                  </button>
                )}
              </Cell>
            )}
          </tr>
        ))}
      </Table>
      <p class="field-notes">
        For heating without hot water, through a year of this region's weather. ‘Heat while cycling’ is the share of the
        year's heat that the unit gives while it switches on and off, because the house takes less than its least
        output.
      </p>
    </div>
  );
}

/** The chosen unit from cold to mild. */
export function ChosenUnit({ all, heading: Title = 'h3' }: { all: Assessment; heading?: Heading }) {
  const plant = all.plant;
  const unit = chosenUnit(plant);
  if (!plant || !unit) return null;
  const rated = plant.scop_35 !== null && plant.scop_55 !== null;
  return (
    <section class="sheet plant" aria-label="The chosen unit">
      <Title>{unit.name}</Title>
      {unit.capacity_kw === null ? (
        missingWords(unit.missing)
      ) : (
        <p>
          The house needs {amount(plant.load_kw, 1, 'kW')} <SoFar words={plant.so_far} /> at{' '}
          {celsius(all.climate?.outside_c ?? null)} outside. The unit gives {amount(unit.capacity_kw, 1, 'kW')} there,{' '}
          {percent(unit.covers)} of it; output and load meet {heldTogether(unit.bivalent_words)}.
        </p>
      )}
      {plant.day_parts.length > 0 && (
        <div class="scroll" tabIndex={0} role="group" aria-label="Table of the unit from cold to mild">
          <table>
            <thead>
              <tr>
                <th class="number" scope="col">
                  Outside
                </th>
                <th class="number" scope="col">
                  Water
                </th>
                <th class="number" scope="col">
                  House needs
                </th>
                <th class="number" scope="col">
                  Unit gives
                </th>
                <th class="number" scope="col">
                  At least
                </th>
                <th class="number" scope="col">
                  Efficiency
                </th>
              </tr>
            </thead>
            <tbody>
              {plant.day_parts.map((part) => (
                <tr key={part.outside_c}>
                  <td class="number">{celsius(part.outside_c)}</td>
                  <td class="number">{celsius(part.flow_c)}</td>
                  <td class="number">{amount(part.load_kw, 1, 'kW')}</td>
                  <td class="number">{amount(part.capacity_kw, 1, 'kW')}</td>
                  <td class="number">{amount(part.least_kw, 1, 'kW')}</td>
                  <td class="number">{amount(part.cop, 2)}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
      {rated && (
        <p class="field-notes">
          By EN 14825, average climate, its table comes to a seasonal efficiency of {amount(plant.scop_35, 2)} at 35 °C
          and {amount(plant.scop_55, 2)} at 55 °C, to compare with what its maker declares.
          {plant.scop_words &&
            ` Makers declare for water that gets cooler as it gets milder; this table has not all of it, so a declared value may well be higher (${plant.scop_words}).`}
        </p>
      )}
      {unit.table_from && <p class="field-notes">Its table is from {unit.table_from}.</p>}
      <HowWorked steps={plant.steps} />
    </section>
  );
}

function chargeRows(water: HotWaterResult): [string, string][] {
  return water.charges.map((item) => [
    `Warming it from ${celsius(item.from_c)} to ${celsius(item.to_c)}, ${celsius(item.outside_c)} outside`,
    `${amount(item.minutes, 0)} minutes, ending at ${celsius(item.end_flow_c)} flow and ${amount(item.end_kw, 1, 'kW')}${item.is_held_back ? ', held back by its coil' : ''}; efficiency ${amount(item.efficiency, 2)}`,
  ]);
}

/** Hot water: need by three ways of counting, store and charge, what it takes from the heating, its place, its discharge. */
export function WaterSheet({ water, heading: Title = 'h3' }: { water: HotWaterResult; heading?: Heading }) {
  return (
    <section class="sheet plant" aria-label="Hot water worked out">
      <Title>Hot water</Title>
      <Sideways words="The hot water of a day">
        <table>
          <thead>
            <tr>
              <th scope="col">A day, three ways of counting</th>
              <th class="number" scope="col">
                Litres
              </th>
              <th class="number" scope="col">
                Heat
              </th>
            </tr>
          </thead>
          <tbody>
            {water.needs.map((need) => (
              <tr key={need.method}>
                <td>
                  {need.is_used ? <b>{need.label} (used)</b> : need.label}
                  <br />
                  <small>{heldTogether(need.words)}</small>
                </td>
                <td class="number">{need.litres_low === null ? '–' : span(need.litres_low, need.litres_high)}</td>
                <td class="number">{amount(need.heat_kwh_day, 1, 'kWh')}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Sideways>
      <Facts
        rows={[
          [
            'Content of the cylinder',
            water.content_l === null
              ? water.content_words
              : `${amount(water.content_l, 0, 'l')}, ${water.content_words}`,
          ],
          ['Of that, usable', water.usable_l === null ? null : amount(water.usable_l, 0, 'l')],
          [
            'At the tap, mixed to 40 °C',
            water.at_the_tap_l === null
              ? null
              : `${amount(water.at_the_tap_l, 0, 'l')}, about ${amount(water.shower_min)} minutes of shower`,
          ],
          ...chargeRows(water),
          [
            'On the coldest day it takes',
            water.hours_day === null
              ? null
              : `${amount(water.hours_day, 1)} hours, ${percent(water.share_of_day)} of the day, when the rooms are not heated`,
          ],
          [
            'Output that serves heating and hot water',
            water.capacity_asked_kw === null ? null : (
              <>
                {amount(water.capacity_asked_kw, 1, 'kW')} <SoFar words={water.so_far} />
              </>
            ),
          ],
          ['The cylinder loses in a day', water.loss_kwh_day === null ? null : amount(water.loss_kwh_day, 2, 'kWh')],
          [
            'A year of hot water',
            water.heat_kwh === null
              ? null
              : `${amount(water.heat_kwh, 0, 'kWh')} of heat from ${amount(water.electricity_kwh, 0, 'kWh')} of electricity`,
          ],
          [
            'Discharge pipe',
            water.discharge && (
              <>
                <State
                  shape={water.discharge.is_allowed ? 'enough' : 'stop'}
                  words={water.discharge.is_allowed ? 'Within the table' : 'Too long'}
                />{' '}
                {heldTogether(water.discharge.words)}
              </>
            ),
          ],
        ]}
      />
      {water.fits && water.fits.length > 0 && (
        <dl class="facts" aria-label="Whether the cylinder fits">
          {water.fits.map((item) => (
            <div key={item.what}>
              <dt>
                {item.what[0]!.toUpperCase()}
                {item.what.slice(1)}
              </dt>
              <dd>
                <State shape={FIT_SHAPES[item.state]} words={FIT_WORDS[item.state]} />
                {item.has_mm !== null && item.needs_mm !== null && (
                  <>
                    {' '}
                    {amount(item.has_mm, 0, 'mm')} for {amount(item.needs_mm, 0, 'mm')}
                  </>
                )}
              </dd>
            </div>
          ))}
        </dl>
      )}
      {missingWords(water.missing)}
      {water.cautions.map((words) => (
        <p key={words} class="field-notes">
          {heldTogether(words)}
        </p>
      ))}
      <HowWorked steps={water.steps} />
    </section>
  );
}

function carbonRows(lines: readonly CostLine[]): { set: string; kg: string[] }[] {
  // Sets of factors are never mixed: only those that every way of heating has.
  const sets = Object.keys(FACTOR_WORDS).filter(
    (name) => lines.length > 0 && lines.every((line) => line.carbon.some((item) => item.factor_set === name)),
  );
  return sets.map((set) => ({
    set,
    kg: lines.map((line) => {
      const item = line.carbon.find((found) => found.factor_set === set)!;
      return span(item.kg_low, item.kg_high, 0, 'kg');
    }),
  }));
}

/** A year's running cost and carbon: a range, not a promise. */
export function CostSheet({
  cost,
  pictures,
  heading: Title = 'h3',
}: {
  cost: RunningCost;
  pictures: Shown;
  heading?: Heading;
}) {
  const saved = savedWords(cost);
  const carbon = carbonRows(cost.lines);
  return (
    <section class="sheet plant" aria-label="Running cost and carbon">
      <Title>
        Running cost and carbon of a year <SoFar words={cost.so_far} />
      </Title>
      <Drawing
        pictures={pictures}
        of="cost"
        words="A year's running cost of the present heating and of the heat pump, from the lowest to the highest to be expected; the table below holds the same figures."
      />
      {cost.lines.length > 0 && (
        <Sideways words="Running cost of a year">
          <table>
            <thead>
              <tr>
                <th scope="col">Heating</th>
                <th class="number" scope="col">
                  Energy
                </th>
                <th class="number" scope="col">
                  Cost
                </th>
              </tr>
            </thead>
            <tbody>
              {cost.lines.map((line) => (
                <tr key={line.key}>
                  <td>
                    {line.name}
                    <br />
                    <small>{heldTogether(line.words)}</small>
                  </td>
                  <td class="number">{span(line.energy_low_kwh, line.energy_high_kwh, 0, 'kWh')}</td>
                  <td class="number">{poundsSpan(line.pounds_low, line.pounds_high)}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </Sideways>
      )}
      <Facts
        rows={[
          ['With the heat pump a year costs', saved],
          [
            'Efficiency of the year, heating and hot water',
            cost.efficiency === null ? null : amount(cost.efficiency, 2),
          ],
          [
            'It costs no more from an efficiency of',
            cost.break_even_low === null ? null : span(cost.break_even_low, cost.break_even_high, 2),
          ],
          [
            'Grant',
            cost.grant && (
              <>
                {heldTogether(cost.grant.words)}
                {cost.grant.source && (
                  <>
                    <br />
                    <small>{cost.grant.source}</small>
                  </>
                )}
              </>
            ),
          ],
        ]}
      />
      {carbon.length > 0 && (
        <Sideways words="Carbon dioxide of a year">
          <table>
            <thead>
              <tr>
                <th scope="col">Carbon dioxide</th>
                {cost.lines.map((line) => (
                  <th key={line.key} class="number" scope="col">
                    {line.name}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {carbon.map((row) => (
                <tr key={row.set}>
                  <td>By the factors of {FACTOR_WORDS[row.set]}</td>
                  {row.kg.map((kg, place) => (
                    <td key={place} class="number">
                      {kg}
                    </td>
                  ))}
                </tr>
              ))}
            </tbody>
          </table>
        </Sideways>
      )}
      {missingWords(cost.missing)}
      {cost.words.map((words) => (
        <p key={words} class="field-notes">
          {heldTogether(words)}
        </p>
      ))}
      <HowWorked steps={cost.steps} />
    </section>
  );
}

export interface PlantSummaryProps {
  survey: string;
  all: Assessment;
  pictures: Shown;
}

/** For the phone: the chosen unit, the hot water and the cost in a few figures, the rest one tap away. */
export function PlantSummary({ survey, all, pictures }: PlantSummaryProps) {
  const { plant } = all;
  const unit = chosenUnit(plant);
  if (!plant || (plant.units.length === 0 && !plant.hot_water && !plant.cost)) return null;
  const { hot_water: water, cost } = plant;
  const reheat = water?.charges[0];
  const used = water?.needs.find((need) => need.is_used);
  const pump = cost?.lines.find((line) => line.key === 'heat_pump');
  const present = cost?.lines.find((line) => line.key !== 'heat_pump');
  return (
    <>
      <section class="sheet" aria-label="Unit, hot water and cost">
        <h2>Unit, hot water and cost</h2>
        <dl class="figures">
          <div>
            <dt>Chosen unit gives</dt>
            {unit?.capacity_kw == null ? (
              <dd class="figure-none">
                {plant.units.length === 0 ? 'no unit yet' : unit ? 'not known' : 'none chosen'}
              </dd>
            ) : (
              <dd class="figure-big">{amount(unit.capacity_kw, 1, 'kW')}</dd>
            )}
            {unit && <dd>{unit.name}</dd>}
            {unit && (
              <dd>
                <State shape={UNIT_SHAPES[unit.verdict]} words={UNIT_WORDS[unit.verdict]} />
              </dd>
            )}
          </div>
          {unit?.seasonal_efficiency != null && (
            <div>
              <dt>Season's efficiency</dt>
              <dd class="figure-big">{amount(unit.seasonal_efficiency, 2)}</dd>
              {plant.so_far && (
                <dd>
                  <SoFar words={plant.so_far} />
                </dd>
              )}
              <dd>heating, without hot water</dd>
            </div>
          )}
          {water && (
            <div>
              <dt>Hot water a day</dt>
              {used?.heat_kwh_day == null ? (
                <dd class="figure-none">not known</dd>
              ) : (
                <dd class="figure-big">{amount(used.heat_kwh_day, 1, 'kWh')}</dd>
              )}
              {water.content_l !== null && (
                <dd>
                  cylinder holds {amount(water.content_l, 0, 'l')}
                  {reheat && `, warm again in ${amount(reheat.minutes)} minutes`}
                </dd>
              )}
            </div>
          )}
          {pump && (
            <div>
              <dt>Heat pump, a year</dt>
              <dd class={pump.pounds_low === null ? 'figure-none' : 'figure-big'}>
                {poundsSpan(pump.pounds_low, pump.pounds_high)}
              </dd>
              {cost?.so_far && (
                <dd>
                  <SoFar words={cost.so_far} />
                </dd>
              )}
              {present && (
                <dd>
                  {present.name[0]!.toLowerCase()}
                  {present.name.slice(1)} {poundsSpan(present.pounds_low, present.pounds_high)}
                </dd>
              )}
            </div>
          )}
        </dl>
        <p class="field-notes">The cost is a range, not a promise.</p>
      </section>
      {plant.units.length > 0 && (
        <details>
          <summary>Units in question ({plant.units.length})</summary>
          <div class="office-stack">
            <UnitShortlist survey={survey} plant={plant} />
            <ChosenUnit all={all} />
          </div>
        </details>
      )}
      {water && (
        <details>
          <summary>Hot water in full</summary>
          <WaterSheet water={water} />
        </details>
      )}
      {cost && (
        <details>
          <summary>Running cost and carbon in full</summary>
          <CostSheet cost={cost} pictures={pictures} />
        </details>
      )}
    </>
  );
}
