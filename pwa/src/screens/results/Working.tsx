/** The working behind a figure: formula, numbers, source. */
import { Sideways } from '../../pictures/letters.tsx';
import {
  celsius,
  watts,
  type Assessment,
  type ColdFace,
  type RoomAssessment,
  type Step,
} from '../../domain/assessment.ts';
import { NBSP, plainNumber, withUnit } from '../../domain/check.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { Cell, Head, Table } from '../../ui/Cards.tsx';
import { Notice } from '../../ui/Notice.tsx';
import { SoFar } from '../../ui/SoFar.tsx';
import { Page } from '../../ui/Page.tsx';
import { recordLink, surveyLink } from '../../ui/router.ts';
import { resultsToCome } from './come.ts';

export function WorkingScreen({ open, kind, id }: { open: OpenSurvey; kind: string; id: string }) {
  const { survey, assessment: kept } = open;
  const found = kept?.assessment;
  const room = kind === 'room' ? found?.rooms.find((item) => item.id === id) : undefined;
  const construction = kind === 'construction' ? found?.constructions.find((item) => item.id === id) : undefined;
  const base = kind === 'base' ? found?.bases.find((item) => item.id === id) : undefined;
  const title = room?.name ?? construction?.name ?? base?.name ?? (kind === 'house' ? 'The house' : 'Not known');
  const back = kind === 'house' || !id ? surveyLink(survey.id, 'results') : recordLink(survey.id, kind, id);
  return (
    <Page title={title} over="How it was worked out" back={back} backWords="the figures" isWide>
      {!found && (
        <Notice tone="plain">
          <p>No results on this phone yet. {resultsToCome()}</p>
        </Notice>
      )}
      {found && !room && !construction && !base && kind !== 'house' && (
        <Notice tone="plain">
          <p>This has not been worked out yet. {resultsToCome()}</p>
        </Notice>
      )}
      {room && found && <RoomWorking room={room} all={found} />}
      {construction && (
        <>
          <p>{construction.words}</p>
          <Steps steps={construction.steps} />
        </>
      )}
      {base && (
        <>
          <p>{base.falls_toward}</p>
          <Steps steps={base.steps} />
        </>
      )}
      {kind === 'house' && found && <HouseWorking all={found} />}
    </Page>
  );
}

export function Steps({ steps }: { steps: readonly Step[] }) {
  return (
    <ol class="steps">
      {steps.map((step, place) => (
        <li key={place} class="step">
          <p>
            <b>{step.what}</b>: {withUnit(plainNumber(step.result, 3), step.unit)}
          </p>
          <code>{step.formula}</code>
          <code>{step.numbers}</code>
          {step.source && <small>{step.source}</small>}
        </li>
      ))}
    </ol>
  );
}

export function RoomWorking({ room, all }: { room: RoomAssessment; all: Assessment }) {
  const names = new Map(all.constructions.map((item) => [item.id, item.name]));
  return (
    <>
      {room.missing.length > 0 && (
        <Notice tone="warning">
          <p>
            <b>Still missing:</b>
          </p>
          <ul class="dashes">
            {room.missing.map((words) => (
              <li key={words}>{words}</li>
            ))}
          </ul>
        </Notice>
      )}
      {(room.holes ?? []).length > 0 && (
        <Notice tone="warning">
          <p>
            <b>The room does not close:</b> {(room.holes ?? []).map((hole) => hole.words).join(', ')}{' '}
            {room.holes?.length === 1 ? 'is' : 'are'} not said yet.
          </p>
        </Notice>
      )}
      <section class="sheet" aria-label="Sums">
        <p>
          Inside {celsius(room.inside_c)}: {room.inside_words}
        </p>
        <p>
          Through walls, floor, ceiling and glass {watts(room.fabric_w)}, with the air{' '}
          {watts(room.ventilation?.loss_w ?? null)}, in all <b>{watts(room.total_w)}</b>
          {room.so_far && (
            <>
              {' '}
              <SoFar words={room.so_far} />
            </>
          )}
          .
        </p>
      </section>
      {(room.size_steps ?? []).length > 0 && (
        <section class="sheet" aria-label="Size and shape">
          <h2>Size and shape</h2>
          <Steps steps={room.size_steps ?? []} />
        </section>
      )}
      <section class="sheet" aria-label="Surfaces">
        <h2>Surfaces</h2>
        <Table
          label="Surfaces"
          head={
            <tr role="row">
              <Head words="Surface" />
              <Head words="Net area" isNumber />
              <Head words="U-value + bridges" isNumber />
              <Head words="Factor" isNumber />
              <Head words="Difference" isNumber />
              <Head words="Loss" isNumber />
            </tr>
          }
        >
          {room.surfaces.map((item) => (
            <tr key={item.id} role="row">
              <Cell label="" class="cards-title">
                {item.words}
                <br />
                <small>{[names.get(item.construction), item.source].filter(Boolean).join(' · ')}</small>
              </Cell>
              <Cell label="Net area" isNumber>
                {withUnit(plainNumber(item.net_area_m2, 2), 'm²')}
              </Cell>
              <Cell label="U-value + bridges" isNumber>
                {plainNumber(item.u_value_w_m2k, 2)} + {withUnit(plainNumber(item.bridge_w_m2k, 2), 'W/m²K')}
              </Cell>
              <Cell label="Factor" isNumber>
                {plainNumber(item.factor, 2)}
              </Cell>
              <Cell label="Difference" isNumber>
                {withUnit(plainNumber(item.temperature_difference_k, 1), 'K')}
              </Cell>
              <Cell label="Loss" isNumber>
                {watts(item.loss_w)}
              </Cell>
            </tr>
          ))}
        </Table>
        <p class="field-notes">Loss = net area × (U-value + thermal bridges) × factor × temperature difference.</p>
      </section>
      {(room.bridges ?? []).length > 0 && (
        <section class="sheet" aria-label="Thermal bridges">
          <h2>Thermal bridges by length</h2>
          {(room.bridges ?? []).map((item, place) => (
            <p key={place}>
              {item.words}: {plainNumber(item.length_m, 2)}
              {NBSP}m × Ψ {plainNumber(item.psi_w_mk, 3)}
              {NBSP}W/mK × {plainNumber(item.temperature_difference_k, 1)} K = <b>{watts(item.loss_w)}</b>
            </p>
          ))}
        </section>
      )}
      {room.ventilation && (
        <section class="sheet" aria-label="Air">
          <h2>Air</h2>
          <p>
            {plainNumber(room.ventilation.heat_wh_m3k, 2)} Wh/m³K × {plainNumber(room.ventilation.air_changes_h, 2)} 1/h
            × {plainNumber(room.ventilation.volume_m3, 1)}
            {NBSP}m³ × {plainNumber(room.ventilation.temperature_difference_k, 1)} K ={' '}
            <b>{watts(room.ventilation.loss_w)}</b>
          </p>
          <p class="field-notes">
            {room.ventilation.words} {room.ventilation.source}
          </p>
        </section>
      )}
      <ColdFaces faces={(all.cold_faces ?? []).filter((item) => item.room === room.id)} />
      {room.emitters.map((item) => (
        <section key={item.id} class="sheet" aria-label={item.words}>
          <h2>{item.words}</h2>
          <p>
            {item.counts ? (
              <>
                Gives <b>{watts(item.output_w)}</b> at the flow temperature looked at.
              </>
            ) : (
              'Is to be taken out and does not count.'
            )}
          </p>
          {item.missing.map((words) => (
            <p key={words} class="field-problem">
              {words}
            </p>
          ))}
          <Steps steps={item.steps} />
        </section>
      ))}
    </>
  );
}

/** Where damp was seen, or a room is kept cool: how cold its walls and panes get inside, and how dry its air has to be. */
function ColdFaces({ faces }: { faces: readonly ColdFace[] }) {
  if (faces.length === 0) return null;
  return (
    <section class="sheet" aria-label="Cold faces">
      <h2>Cold faces</h2>
      <p class="field-notes">
        A caution, not a verdict: damp has other causes too. The share is of the room's air, at its design temperature.
      </p>
      <Table
        label="Cold faces"
        head={
          <tr role="row">
            <Head words="Face" />
            <Head words="Inside face" isNumber />
            <Head words="Mould from" isNumber />
            <Head words="Wet from" isNumber />
          </tr>
        }
      >
        {faces.map((item) => (
          <tr key={item.surface} role="row">
            <Cell label="" class="cards-title">
              {item.words}
            </Cell>
            <Cell label="Inside face" isNumber>
              {celsius(item.face_c)}
            </Cell>
            <Cell label="Mould from" isNumber>
              {withUnit(plainNumber(item.mould_limit_pct, 0), '%')}
            </Cell>
            <Cell label="Wet from" isNumber>
              {withUnit(plainNumber(item.condensation_limit_pct, 0), '%')}
            </Cell>
          </tr>
        ))}
      </Table>
      <Steps steps={faces.map((item) => item.step)} />
    </section>
  );
}

export function HouseWorking({ all }: { all: Assessment }) {
  const { building, climate, flow } = all;
  const rows: [string, number][] = [
    ['Through walls, roof, windows and doors to the outside', building.outside_w],
    ['Into the ground', building.ground_w],
    ['To unheated spaces', building.unheated_w],
    ['To neighbours', building.neighbour_w],
    ['With the air', building.ventilation_w],
    ['Between rooms, which cancel', building.between_rooms_w],
  ];
  return (
    <>
      <section class="sheet" aria-label="Where the heat goes">
        <h2>Where the heat goes</h2>
        <Sideways words="Where the heat goes">
          <table>
            <tbody>
              {rows.map(([words, value]) => (
                <tr key={words}>
                  <td>{words}</td>
                  <td class="number">{watts(value)}</td>
                </tr>
              ))}
              <tr>
                <th>In all</th>
                <th class="number">
                  {watts(building.total_w)} <SoFar words={building.so_far} />
                </th>
              </tr>
            </tbody>
          </table>
        </Sideways>
      </section>
      {climate && (
        <section class="sheet" aria-label="Design cold">
          <h2>Design cold</h2>
          <p>
            {celsius(climate.outside_c)}: {climate.words}
          </p>
          <Steps steps={climate.steps} />
        </section>
      )}
      {(all.spaces ?? []).map((item) => (
        <section key={item.id} class="sheet" aria-label={item.name}>
          <h2>
            {item.name}: {celsius(item.temperature_c)}
          </h2>
          {item.missing.map((words) => (
            <p key={words} class="field-problem">
              Missing: {words}
            </p>
          ))}
          <Steps steps={item.steps} />
        </section>
      ))}
      {flow && (
        <section class="sheet" aria-label="Flow temperature">
          <h2>Flow temperature</h2>
          <p>{flow.words}</p>
          <p class="field-notes">{flow.source}</p>
        </section>
      )}
      <section class="sheet" aria-label="Methods">
        <h2>Methods</h2>
        <ul class="steps">
          {all.methods.map((words) => (
            <li key={words} class="step">
              {words}
            </li>
          ))}
        </ul>
      </section>
      <section class="sheet" aria-label="Sources">
        <h2>Sources</h2>
        <ul class="steps">
          {all.sources.map((source) => (
            <li key={source.key} class="step">
              {source.title}, {source.edition}
              {source.clause ? `, ${source.clause}` : ''} ({source.confidence})
            </li>
          ))}
        </ul>
      </section>
    </>
  );
}
