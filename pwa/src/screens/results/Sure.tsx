/** How sure the figures are: ranges, what would narrow them most, and what the bill says. */
import type { ComponentChildren } from 'preact';
import { AGREEMENT_WORDS, SURELY_WORDS } from '../../generated/answers.ts';
import type { FactSpan, Ranges, Span, Witness } from '../../domain/assessment.ts';
import { amount } from '../../domain/plant.ts';
import { recordLink } from '../../ui/router.ts';

/** Answers named on site: more than these nobody goes back for. */
const FIRST = 3;
/** Facts shown with the results; the report has all of them. */
const SHOWN = 8;

/** `5.4 kW to 7.8 kW`, or from where it begins when its upper end lies beyond what can be worked out. */
function spanWords({ low, high }: Span, words: (value: number) => string): string {
  if (low === null) return high === null ? 'not known' : `up to ${words(high)}`;
  return high === null ? `${words(low)} or more` : `${words(low)} to ${words(high)}`;
}

const kilowatts = (watts: number) => amount(watts / 1000, 1, 'kW');
const kilowattHours = (value: number) => amount(value, 0, 'kWh');
const celsius = (value: number) => amount(value, 1, '°C');

/** What one fact does: to the load, to the flow, or both. */
function effectWords(fact: FactSpan): string {
  const parts = [
    fact.load_w >= 50 ? `load ±${kilowatts(fact.load_w)}` : '',
    fact.flow_k >= 0.05 ? `flow ±${amount(fact.flow_k, 1, 'K')}` : '',
  ].filter(Boolean);
  return parts.length > 0 ? parts.join(', ') : 'little';
}

const spreadWords = (fact: FactSpan) =>
  `Known ${fact.how_words}, ±${amount(fact.spread_pct, 0, fact.code === 'neighbour_k' ? 'K' : '%')}`;

function couldChange(fact: FactSpan, names: Map<string, string>): string {
  const rooms = fact.rooms.map((id) => names.get(id) ?? 'a room');
  return [fact.changes_unit ? 'the unit' : '', ...rooms].filter(Boolean).join(', ');
}

/** Answers worth measuring better while one is there: those for which something can be done. */
export const worthAsking = (ranges: Ranges | null): FactSpan[] =>
  (ranges?.facts ?? []).filter((fact) => fact.advice !== '').slice(0, FIRST);

function factLink(survey: string, fact: FactSpan): string {
  const [kind = '', id = ''] = fact.record.split('/');
  return recordLink(survey, kind, id);
}

export function Sure({
  survey,
  ranges,
  rooms,
  heading: Title = 'h3',
}: {
  survey: string;
  ranges: Ranges | null;
  rooms: readonly { id: string; name: string }[];
  heading?: 'h2' | 'h3';
}) {
  if (!ranges) return null;
  const names = new Map(rooms.map((room) => [room.id, room.name]));
  const { load_w: load, flow_c: flow } = ranges;
  if (!load)
    return (
      <section class="sheet" aria-label="How sure this is">
        <Title>How sure this is</Title>
        <p>{ranges.words.join(' ')}</p>
      </section>
    );
  const open = ranges.rooms.filter((room) => room.surely === 'either');
  return (
    <section class="sheet" aria-label="How sure this is">
      <Title>How sure this is</Title>
      <dl class="facts">
        <div>
          <dt>Unit must carry, in 90 of 100 cases</dt>
          <dd>
            {spanWords(load, kilowatts)}
            {ranges.unit_is_open && <small> Another unit may be the right one at one end of it.</small>}
          </dd>
        </div>
        <div>
          <dt>Lowest flow temperature</dt>
          <dd>{flow ? spanWords(flow, celsius) : 'not known'}</dd>
        </div>
        <div>
          <dt>{SURELY_WORDS.either}: too small or enough</dt>
          <dd>{open.length > 0 ? open.map((room) => names.get(room.room) ?? 'a room').join(', ') : 'no room'}</dd>
        </div>
      </dl>
      {ranges.facts.length > 0 && (
        <>
          <p>
            <b>What would narrow it most</b>
          </p>
          <Facts
            survey={survey}
            facts={ranges.facts.slice(0, SHOWN)}
            more={(fact) => {
              const changes = couldChange(fact, names);
              return (
                <>
                  <small>
                    {spreadWords(fact)}
                    {changes && `. By itself it could change ${changes}`}
                  </small>
                  {fact.advice && <small>{fact.advice}</small>}
                </>
              );
            }}
          />
        </>
      )}
      <p class="field-notes">
        {ranges.words.join(' ')} Each spread has its source in the report; most are common practice, no source.
      </p>
      {ranges.witness && <Bill witness={ranges.witness} />}
    </section>
  );
}

/** Facts with what each moves, and `more` of it below. Each leads to the record that says it. */
export function Facts({
  survey,
  facts,
  more,
}: {
  survey: string;
  facts: readonly FactSpan[];
  more: (fact: FactSpan) => ComponentChildren;
}) {
  return (
    <ul class="list">
      {facts.map((fact) => (
        <li key={`${fact.code}/${fact.record}/${fact.about}`}>
          <a class="row" href={factLink(survey, fact)}>
            <span class="row-words">
              <span>
                {fact.title}: {effectWords(fact)}
              </span>
              {more(fact)}
            </span>
          </a>
        </li>
      ))}
    </ul>
  );
}

function Bill({ witness }: { witness: Witness }) {
  return (
    <>
      <p>
        <b>{AGREEMENT_WORDS[witness.agreement]}.</b> A year of heating by the bill:{' '}
        {spanWords(witness.bill_kwh, kilowattHours)}; as worked out here: {spanWords(witness.worked_kwh, kilowattHours)}
        . By the bill the unit would have to carry {spanWords(witness.load_by_bill_w, kilowatts)}.
      </p>
      {witness.agreement !== 'agree' && witness.brings.length > 0 && (
        <>
          <p>
            By one of these alone the two would meet
            {witness.brings.some((bring) => bring.is_within)
              ? ':'
              : ', and none of them is likely: ask how the house is heated, and look at the bill again.'}
          </p>
          <ul>
            {witness.brings.map((bring) => (
              <li key={`${bring.code}/${bring.record}`}>{bring.words}</li>
            ))}
          </ul>
        </>
      )}
      <p class="field-notes">{witness.words.join(' ')} Nothing is changed by this: the designer decides.</p>
    </>
  );
}
