/** The water of every emitter: what flows, how cold it returns, what its valve must take and be set to. */
import { heldTogether } from '../../domain/check.ts';
import { WATER_WORDS } from '../../generated/answers.ts';
import { celsius, type Assessment, type Severity, type Verdict, type EmitterWater } from '../../domain/assessment.ts';
import { amount } from '../../domain/plant.ts';
import { recordLink } from '../../ui/router.ts';
import { Cell, Head, Table } from '../../ui/Cards.tsx';
import { SeverityShape, VerdictShape } from '../../ui/shapes.tsx';
import { SoFar } from '../../ui/SoFar.tsx';
import { Steps } from './Working.tsx';

const SHAPES: Record<EmitterWater['state'], Verdict | Severity> = {
  as_designed: 'enough',
  throttled: 'enough',
  short: 'short',
  idle: 'note',
  not_known: 'not_known',
};

function State({ state }: { state: EmitterWater['state'] }) {
  const shape = SHAPES[state];
  return (
    <span class="verdict">
      {shape === 'note' || shape === 'check' || shape === 'stop' ? (
        <SeverityShape severity={shape} />
      ) : (
        <VerdictShape verdict={shape} />
      )}{' '}
      {WATER_WORDS[state]}
    </span>
  );
}

const sold = (least: number | null, size: number | null | undefined, has: number | null = null): string =>
  `${amount(least, 1, 'l')}${size != null ? `; next size sold ${amount(size, 0, 'l')}` : has === null ? '' : `; ${amount(has, 0, 'l')} written down`}`;

/** How much water the circuit holds and needs, what was worked out for its vessels, and the next sizes sold. */
export function WaterVolumes({ all, heading: Title = 'h3' }: { all: Assessment; heading?: 'h2' | 'h3' }) {
  const circuit = all.site.circuit;
  if (!circuit) return null;
  const facts: [string, string][] = [
    ['Water in all', amount(circuit.content_l, 0, 'l')],
    ['Of it', circuit.content_parts.map(([words, litres]) => `${words} ${amount(litres, 1, 'l')}`).join(', ') || '–'],
    ['Always open to the unit', amount(circuit.open_l, 0, 'l')],
    ['Needed at least', circuit.needed_words],
    ['Volumiser to add', circuit.volumiser_l === 0 ? 'none' : sold(circuit.volumiser_l, circuit.volumiser_sold_l)],
    ['Expansion vessel at least', sold(circuit.expansion_l, circuit.expansion_sold_l, circuit.expansion_has_l)],
    ['Fill to, when cold', amount(circuit.fill_bar, 1, 'bar')],
  ];
  return (
    <section class="sheet" aria-label="Water in the circuit">
      <Title>
        Water in the circuit <SoFar words={circuit.so_far} />
      </Title>
      <dl class="facts">
        {facts.map(([name, words]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>{heldTogether(words)}</dd>
          </div>
        ))}
      </dl>
      <p class="field-notes">Sizes sold are the ordinary ones: common practice, no source.</p>
    </section>
  );
}

/** Every emitter with its water; a line under the table says what they take together. */
export function WaterBalance({
  survey,
  all,
  heading: Title = 'h3',
}: {
  survey: string;
  all: Assessment;
  heading?: 'h2' | 'h3';
}) {
  const circuit = all.site.circuit;
  const balance = circuit?.balance;
  if (!balance) return null;
  const rooms = new Map(all.rooms.map((room) => [room.id, room]));
  const mixed = balance.mixed ?? [];
  const circuits = new Map(mixed.map((item) => [item.id, item.name]));
  const valves = [...new Set(balance.rows.map((row) => row.valve).filter(Boolean))];
  const steps = [...balance.rows, ...mixed].flatMap((row) => row.steps);
  return (
    <section class="office-stack" aria-labelledby="balance">
      <Title id="balance">
        Water of each emitter <SoFar words={circuit.so_far} />
      </Title>
      <div class="sheet sheet-table">
        <Table
          label="Water of each emitter"
          head={
            <tr role="row">
              <Head words="Emitter" />
              <Head words="Heat" isNumber />
              <Head words="Flow" isNumber />
              <Head words="Return" isNumber />
              <Head words="Mean / verdict’s" isNumber />
              <Head words="Left for valve" isNumber />
              <Head words="Kv" isNumber />
              <Head words="Setting" isNumber />
            </tr>
          }
        >
          {balance.rows.map((row) => (
            <tr key={row.id} role="row">
              <Cell label="Emitter" class="cards-title">
                <a class="office-open" href={recordLink(survey, 'emitter', row.id)}>
                  {rooms.get(row.room)?.name}
                </a>{' '}
                <SoFar words={rooms.get(row.room)?.so_far} />
                <small>
                  {row.words}
                  {row.loops > 1 && `, ${row.loops} loops`}
                  {row.circuit && `, mixed circuit ${circuits.get(row.circuit)}`}
                </small>
                <small>
                  <State state={row.state} />
                </small>
                {row.says && <small>{row.says}</small>}
                {row.missing.length > 0 && <small>Missing: {row.missing.join('; ')}</small>}
              </Cell>
              <Cell label="Heat" isNumber>
                {amount(row.heat_w, 0, 'W')}
              </Cell>
              <Cell label="Flow" isNumber>
                {amount(row.flow_l_min, 2, 'l/min')}
              </Cell>
              <Cell label="Return" isNumber>
                {row.return_c === null ? '–' : celsius(row.return_c)}
              </Cell>
              <Cell label="Mean / verdict’s" isNumber>
                {amount(row.mean_c, 1)} / {amount(row.verdict_mean_c, 1, '°C')}
              </Cell>
              <Cell label="Left for valve" isNumber>
                {amount(row.left_kpa, 1, 'kPa')}
              </Cell>
              <Cell label="Kv" isNumber>
                {amount(row.kv_m3_h, 3)}
              </Cell>
              <Cell label="Setting" isNumber>
                {row.setting ? <b>{row.setting}</b> : '–'}
              </Cell>
            </tr>
          ))}
        </Table>
        <p class="field-notes">
          {heldTogether(balance.words)} Flow at {celsius(balance.flow_c)}; each emitter is throttled to what its room
          needs, so it works at a lower mean temperature than its verdict counts with; every one of a branch is taken at
          the end of that branch. Kv in m³/h. For a heated floor the heat counts what goes downward too, and the valve
          is that of one loop.
          {valves.length > 0 && ` Settings by the table of ${valves.join('; ')}.`}
        </p>
        {mixed.length > 0 && (
          <Table
            label="Mixed circuits"
            head={
              <tr role="row">
                <Head words="Mixed circuit" />
                <Head words="Flow / return" isNumber />
                <Head words="Heat" isNumber />
                <Head words="Its water" isNumber />
                <Head words="From the unit" isNumber />
                <Head words="Valve Kvs" isNumber />
                <Head words="Authority" isNumber />
                <Head words="Pump" isNumber />
              </tr>
            }
          >
            {mixed.map((item) => (
              <tr key={item.id} role="row">
                <Cell label="Mixed circuit" class="cards-title">
                  <a class="office-open" href={recordLink(survey, 'mixed_circuit', item.id)}>
                    {item.name}
                  </a>
                  <small>{heldTogether(item.words)}</small>
                  {item.missing.length > 0 && <small>Missing: {item.missing.join('; ')}</small>}
                </Cell>
                <Cell label="Flow / return" isNumber>
                  {amount(item.flow_c, 1)} / {amount(item.return_c, 1, '°C')}
                </Cell>
                <Cell label="Heat" isNumber>
                  {amount(item.heat_w, 0, 'W')}
                </Cell>
                <Cell label="Its water" isNumber>
                  {amount(item.flow_l_min, 2, 'l/min')}
                </Cell>
                <Cell label="From the unit" isNumber>
                  {amount(item.primary_l_min, 2, 'l/min')}
                </Cell>
                <Cell label="Valve Kvs" isNumber>
                  {amount(item.kvs_m3_h, 2)}
                </Cell>
                <Cell label="Authority" isNumber>
                  {amount(item.authority, 2)}
                </Cell>
                <Cell label="Pump" isNumber>
                  {amount(item.pump_kpa, 1, 'kPa')}
                </Cell>
              </tr>
            ))}
          </Table>
        )}
        {steps.length > 0 && (
          <details>
            <summary>How these were worked out</summary>
            <Steps steps={steps} />
          </details>
        )}
      </div>
    </section>
  );
}
