/** Results as the office reads them: figures, drawings, rooms with their working in place, findings, gaps. */
import { VERDICT_WORDS } from '../../generated/answers.ts';
import { useState } from 'preact/hooks';
import {
  celsius,
  kilowatts,
  lowestCelsius,
  rangesOf,
  watts,
  workedOutWords,
  type Assessment,
  type RoomAssessment,
} from '../../domain/assessment.ts';
import { NBSP, plainNumber } from '../../domain/check.ts';
import { OFFICE_STAGE } from '../../domain/gaps.ts';
import { model, type Stage } from '../../domain/model.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { syncState } from '../../sync/loop.ts';
import { Notice } from '../../ui/Notice.tsx';
import { SoFar } from '../../ui/SoFar.tsx';
import { recordLink, stageLink } from '../../ui/router.ts';
import { VerdictShape } from '../../ui/shapes.tsx';
import { gapLink } from '../Leaving.tsx';
import { CABLE_WORDS, CIRCUIT_WORDS, Drawing, picturesFor, ZONE_WORDS } from '../results/Drawing.tsx';
import { Findings } from '../results/Findings.tsx';
import { WaterBalance, WaterVolumes } from '../results/Balance.tsx';
import { LoadSum } from '../results/Load.tsx';
import { ChosenUnit, CostSheet, UnitShortlist, WaterSheet } from '../results/Plant.tsx';
import { Season } from '../results/Season.tsx';
import { StoreyPlans } from '../results/StoreyPlans.tsx';
import { Sure } from '../results/Sure.tsx';
import { HouseWorking, RoomWorking } from '../results/Working.tsx';
import { Cell, Head, Table } from '../../ui/Cards.tsx';
import { Foldout } from '../../ui/Foldout.tsx';
import { InTurns } from '../../ui/InTurns.tsx';

export function Results({ open }: { open: OpenSurvey }) {
  const kept = open.assessment;
  if (!kept) {
    return (
      <Notice tone="plain">
        <p>
          <b>No results yet.</b>{' '}
          {syncState.value.last?.kind === 'no_answer'
            ? 'The office does not answer; they come as soon as it does.'
            : 'The office works them out as soon as the survey has reached it.'}
        </p>
      </Notice>
    );
  }
  const { assessment } = kept;
  const { plant } = assessment;
  const pictures = picturesFor(kept);
  return (
    <InTurns>
      <p class="field-notes" role="status">
        {workedOutWords(open, true)}
      </p>
      <House open={open} all={assessment} />
      {(kept.plans === null || (kept.plans?.storeys.length ?? 0) > 0) && (
        <section aria-labelledby="plans" class="office-stack">
          <h3 id="plans">Plans</h3>
          <StoreyPlans open={open} heading="h4" />
        </section>
      )}
      <Drawing
        pictures={pictures}
        of="room_losses"
        words="Loss of each room against what its emitters give; the table of rooms below holds the same figures."
      />
      <Rooms open={open} all={assessment} />
      <section aria-labelledby="findings" class="office-stack">
        <h3 id="findings">
          {assessment.findings.length === 0 ? 'No findings' : `Findings (${assessment.findings.length})`}
        </h3>
        <Findings open={open} findings={assessment.findings} />
      </section>
      <Drawing pictures={pictures} of="flow" words="Rooms left short at each flow temperature that was looked at." />
      <Season all={assessment} pictures={pictures} heading="h3" />
      <LoadSum all={assessment} />
      <Sure survey={open.survey.id} ranges={rangesOf(kept)} rooms={assessment.rooms} />
      {plant && plant.units.length > 0 && (
        <section aria-labelledby="units" class="office-stack">
          <h3 id="units">Units in question</h3>
          <UnitShortlist survey={open.survey.id} plant={plant} />
          <ChosenUnit all={assessment} />
        </section>
      )}
      {plant?.hot_water && <WaterSheet water={plant.hot_water} />}
      {plant?.cost && <CostSheet cost={plant.cost} pictures={pictures} />}
      {Object.keys(pictures.zones ?? {}).map((id) => (
        <Drawing key={id} pictures={pictures} of="zones" id={id} words={ZONE_WORDS} />
      ))}
      <Drawing pictures={pictures} of="circuit" words={CIRCUIT_WORDS} />
      <WaterVolumes all={assessment} />
      <WaterBalance survey={open.survey.id} all={assessment} />
      <Drawing pictures={pictures} of="cables" words={CABLE_WORDS} />
      {assessment.bases.map((base) => (
        <Drawing
          key={base.id}
          pictures={pictures}
          of="bases"
          id={base.id}
          words={`${base.name}: readings, fall, and the packing under each foot.`}
        />
      ))}
      <Gaps open={open} />
      <p class="field-notes">
        Figures are for a competent designer to check. Electrical, gas, refrigerant, unvented hot water and structural
        work go to the licensed trade; the local code wins.
      </p>
    </InTurns>
  );
}

/** The house in four figures, each with what it was made from one tap away. */
export function House({ open, all }: { open: OpenSurvey; all: Assessment }) {
  const [isOpen, setOpen] = useState(false);
  const { building, flow, climate } = all;
  const setting = all.rooms.find((room) => room.id === flow?.set_by_room);
  const toggle = () => setOpen(!isOpen);
  const button = (words: string) => (
    <button type="button" class="figure-button figure-big" aria-expanded={isOpen} onClick={toggle}>
      {words}
    </button>
  );
  return (
    <section class="sheet" aria-label="The house">
      <dl class="figures">
        <div>
          <dt>The house loses</dt>
          <dd>{button(kilowatts(building.total_w))}</dd>
          {building.total_w === null && <dd>{kilowatts(building.known_so_far_w)} in the rooms known so far</dd>}
          {building.so_far && (
            <dd>
              <SoFar words={building.so_far} />
            </dd>
          )}
          {climate && <dd>at {celsius(climate.outside_c)} outside</dd>}
        </div>
        <div>
          <dt>For each m² of floor</dt>
          <dd>{button(building.loss_w_m2 === null ? 'not known' : `${plainNumber(building.loss_w_m2, 0)} W/m²`)}</dd>
          {building.so_far && (
            <dd>
              <SoFar words={building.so_far} />
            </dd>
          )}
          <dd>
            over {plainNumber(building.floor_area_m2, 0)}
            {NBSP}m²
          </dd>
        </div>
        <div>
          <dt>Lowest flow temperature</dt>
          <dd>{button(lowestCelsius(flow?.lowest_c ?? null))}</dd>
          {flow?.so_far && (
            <dd>
              <SoFar words={flow.so_far} />
            </dd>
          )}
          <dd>
            {setting ? (
              <>
                set by{' '}
                <a class="more" href={recordLink(open.survey.id, 'room', setting.id)}>
                  {setting.name}
                </a>
              </>
            ) : (
              flow?.words
            )}
          </dd>
        </div>
        <div>
          <dt>The unit must carry</dt>
          <dd>{button(kilowatts(building.unit_size_w))}</dd>
          {building.so_far && (
            <dd>
              <SoFar words={building.so_far} />
            </dd>
          )}
          <dd>at the design cold; its sum stands below</dd>
        </div>
      </dl>
      {building.rooms_missing.length > 0 && (
        <p>
          <b>Not worked out yet:</b> {building.rooms_missing.join(', ')}.
        </p>
      )}
      <button type="button" class="button button-quiet" aria-expanded={isOpen} onClick={toggle}>
        {isOpen ? 'Close the working' : 'How these were worked out'}
      </button>
      {isOpen && (
        <div class="office-working">
          <HouseWorking all={all} />
        </div>
      )}
    </section>
  );
}

function Rooms({ open, all }: { open: OpenSurvey; all: Assessment }) {
  const [shown, setShown] = useState<string | null>(null);
  if (all.rooms.length === 0)
    return (
      <Notice tone="plain">
        <p>
          No room has been recorded yet. <a href={stageLink(open.survey.id, 'rooms')}>The walk's rooms</a>
        </p>
      </Notice>
    );
  return (
    <div class="sheet sheet-table">
      <Table
        label="Rooms"
        head={
          <tr role="row">
            <Head words="Room" />
            <Head words="Inside" isNumber />
            <Head words="Loses" isNumber />
            <Head words="Emitters give" isNumber />
            <Head words="Left over" isNumber />
            <Head words="Verdict" />
            <Head words="Lowest flow" isNumber />
          </tr>
        }
      >
        {all.rooms.map((room) => (
          <Room
            key={room.id}
            open={open}
            all={all}
            room={room}
            isOpen={shown === room.id}
            onToggle={() => setShown(shown === room.id ? null : room.id)}
          />
        ))}
      </Table>
      <p class="field-notes">
        Emitters at {celsius(all.flow?.design_c ?? null)} flow. A tap on a figure opens its working.
      </p>
    </div>
  );
}

function Room({
  open,
  all,
  room,
  isOpen,
  onToggle,
}: {
  open: OpenSurvey;
  all: Assessment;
  room: RoomAssessment;
  isOpen: boolean;
  onToggle: () => void;
}) {
  const figure = (words: string, of: string) => (
    <button
      type="button"
      class="figure-button"
      aria-expanded={isOpen}
      aria-label={`${of} of ${room.name}: ${words}. Working`}
      onClick={onToggle}
    >
      {words}
    </button>
  );
  return (
    <>
      <tr role="row" class={isOpen ? 'is-open' : undefined}>
        <Cell label="Room" class="cards-title">
          <a class="office-open" href={recordLink(open.survey.id, 'room', room.id)}>
            {room.name}
          </a>
        </Cell>
        <Cell label="Inside" isNumber>
          {celsius(room.inside_c)}
        </Cell>
        <Cell label="Loses" isNumber>
          {figure(watts(room.total_w), 'Loss')}
        </Cell>
        <Cell label="Emitters give" isNumber>
          {figure(watts(room.output_w), 'Output')}
        </Cell>
        <Cell label="Left over" isNumber>
          {figure(watts(room.margin_w), 'Margin')}
        </Cell>
        <Cell label="Verdict">
          <span class="verdict">
            <VerdictShape verdict={room.verdict} /> {VERDICT_WORDS[room.verdict]}
          </span>{' '}
          <SoFar words={room.so_far} />
        </Cell>
        <Cell label="Lowest flow" isNumber>
          {figure(lowestCelsius(room.lowest_flow_c), 'Lowest flow temperature')}
        </Cell>
      </tr>
      {isOpen && (
        <tr role="row" class="cards-whole">
          <td role="cell" colSpan={7}>
            <div class="office-working">
              <RoomWorking room={room} all={all} />
            </div>
          </td>
        </tr>
      )}
    </>
  );
}

const byOffice = (one: Stage, other: Stage): number =>
  Number(other.name === OFFICE_STAGE) - Number(one.name === OFFICE_STAGE);

function Gaps({ open }: { open: OpenSurvey }) {
  const { survey, gaps } = open;
  if (gaps.length === 0)
    return (
      <section>
        <h3>No gaps</h3>
        <p>Everything the job asks for has been answered.</p>
      </section>
    );
  return (
    <section aria-labelledby="gaps" class="office-stack">
      <h3 id="gaps">{gaps.length === 1 ? 'One gap' : `${gaps.length} gaps`}, and what each spoils</h3>
      {/* The office's own come first: nobody else can answer them. */}
      {[...model.stages].sort(byOffice).map((stage) => {
        const here = gaps.filter((gap) => gap.stage === stage.name);
        if (here.length === 0) return null;
        return (
          <Foldout
            key={stage.name}
            opens={gaps.length <= 12}
            summary={
              <>
                {stage.name === OFFICE_STAGE ? 'For the office' : stage.label}:{' '}
                {here.length === 1 ? '1 gap' : `${here.length} gaps`}
              </>
            }
          >
            <ul class="list">
              {here.map((gap) => (
                <li key={`${gap.kind}/${gap.record ?? gap.parent ?? gap.words}/${gap.field ?? gap.side ?? ''}`}>
                  <a class="row" href={gapLink(survey.id, gap)}>
                    <span class="row-words">
                      <span>{gap.words}</span>
                      <small>{gap.spoils}</small>
                    </span>
                  </a>
                </li>
              ))}
            </ul>
          </Foldout>
        );
      })}
    </section>
  );
}
