/** The office's choices, each with what it does to the house beside it: heating, unit, hot water, running cost. */
import {
  celsius,
  kilowatts,
  lowestCelsius,
  recordOf,
  workedOutWords,
  type Assessment,
  type UnitResult,
} from '../../domain/assessment.ts';
import { singleId } from '../../domain/ids.ts';
import type { SurveyRecord } from '../../domain/survey.ts';
import { RecordForm } from '../../forms/RecordForm.tsx';
import { keep } from '../../forms/saving.tsx';
import type { OpenSurvey } from '../../store/live.ts';
import { saveEdits } from '../../store/surveys.ts';
import { Notice } from '../../ui/Notice.tsx';
import { SoFar } from '../../ui/SoFar.tsx';
import { link, recordLink } from '../../ui/router.ts';
import { Findings } from '../results/Findings.tsx';
import { ChosenUnit, CostSheet, UnitShortlist, WaterSheet } from '../results/Plant.tsx';
import { Drawing, picturesFor } from '../results/Drawing.tsx';
import { officeLink } from './parts.tsx';

export function Design({ open }: { open: OpenSurvey }) {
  const { survey, assessment: kept } = open;
  const record: SurveyRecord = survey.single('design') ?? {
    kind: 'design',
    id: singleId(survey.id, 'design'),
    values: {},
  };
  const pictures = kept ? picturesFor(kept) : null;
  const plant = kept?.assessment.plant;
  // The table of the chosen unit knows better than a typed figure.
  const capacity = plant?.units.find((unit) => unit.is_chosen)?.capacity_kw ?? record.values['unit_capacity_kw'];
  // The chosen unit's own name and table take the place of what was typed.
  const choose = (unit: UnitResult) =>
    keep(() =>
      saveEdits(survey.id, [
        {
          kind: 'design',
          id: record.id,
          values: {
            unit: unit.id,
            ...(record.values['unit_name'] === undefined ? {} : { unit_name: null }),
            ...(record.values['unit_capacity_kw'] === undefined ? {} : { unit_capacity_kw: null }),
          },
        },
      ]),
    );
  const house = survey.single('survey');
  const form = (group: string) => <RecordForm open={open} record={record} groups={[group]} answered="both" />;
  const pressing = (kept?.assessment.findings ?? []).filter((finding) => finding.severity !== 'note');
  const ofWater = pressing.filter((finding) => finding.chapter === 'water');
  const ofUnit = pressing.filter(
    (finding) => finding.chapter !== 'water' && ['unit', 'design'].includes(recordOf(finding)?.kind ?? ''),
  );
  return (
    <>
      {kept ? (
        <>
          <p class="field-notes" role="status">
            {workedOutWords(open, true)}
          </p>
          <Beside
            all={kept.assessment}
            capacityKw={typeof capacity === 'number' ? capacity : null}
            survey={survey.id}
          />
        </>
      ) : (
        <Notice tone="plain">
          <p>What the choices do to the rooms appears here as soon as the office has worked the survey out.</p>
        </Notice>
      )}
      <div class="office-halves">
        {form('heat')}
        {pictures && (
          <Drawing
            pictures={pictures}
            of="flow"
            isNarrow
            words="Rooms left short at each flow temperature that was looked at."
          />
        )}
      </div>
      <section class="office-stack" aria-labelledby="units">
        <h3 id="units">Units in question</h3>
        {plant && plant.units.length > 0 && (
          <UnitShortlist survey={survey.id} plant={plant} onChoose={(unit) => void choose(unit)} />
        )}
        {survey.ofKind('unit').length === 0 && (
          <p>No unit yet. Take in the firm's list once, and each unit is compared with every house.</p>
        )}
        <p>
          <a class="more" href={link('office', 'firm')}>
            The firm's units
          </a>
        </p>
      </section>
      <div class="office-halves">
        {form('unit')}
        {kept && (
          <div class="office-stack">
            <ChosenUnit all={kept.assessment} />
            <Findings open={open} findings={ofUnit} />
          </div>
        )}
      </div>
      <div class="office-halves">
        {form('water')}
        {plant?.hot_water ? (
          <div class="office-stack">
            <WaterSheet water={plant.hot_water} />
            <Findings open={open} findings={ofWater} />
          </div>
        ) : (
          <Notice tone="plain">
            <p>The figures for hot water appear here once ‘Hot water’ has been surveyed.</p>
          </Notice>
        )}
      </div>
      {plant?.cost && pictures && <CostSheet cost={plant.cost} pictures={pictures} />}
      {house && (
        <p>
          <a href={recordLink(survey.id, 'survey', house.id)}>Present fuel, its use and the household's prices</a> are
          answered on the walk.
        </p>
      )}
    </>
  );
}

function Beside({ all, capacityKw, survey }: { all: Assessment; capacityKw: number | null; survey: string }) {
  const { flow, building } = all;
  const short = all.rooms.filter((room) => room.verdict === 'short' || room.verdict === 'no_emitter');
  return (
    <section class="sheet" aria-label="What the choices do">
      <dl class="figures">
        <div>
          <dt>Rooms too cold at {celsius(flow?.design_c ?? null)}</dt>
          <dd class="figure-big">
            {short.length} of {all.rooms.length}
          </dd>
          {building.so_far && (
            <dd>
              <SoFar words={building.so_far} />
            </dd>
          )}
          <dd>{short.map((room) => room.name).join(', ')}</dd>
        </div>
        <div>
          <dt>{flow?.so_far ? 'Lowest flow' : 'Lowest flow that serves all'}</dt>
          <dd class="figure-big">{lowestCelsius(flow?.lowest_c ?? null)}</dd>
          {flow?.so_far && (
            <dd>
              <SoFar words={flow.so_far} />
            </dd>
          )}
          <dd>{all.rooms.find((room) => room.id === flow?.set_by_room)?.name ?? ''}</dd>
        </div>
        <div>
          <dt>The unit must carry</dt>
          <dd class="figure-big">{kilowatts(building.unit_size_w)}</dd>
          {building.so_far && (
            <dd>
              <SoFar words={building.so_far} />
            </dd>
          )}
          <dd>{capacityKw === null ? 'its output is not filled in' : `chosen: ${kilowatts(capacityKw * 1000)}`}</dd>
        </div>
      </dl>
      <p>
        <a class="more" href={officeLink(survey, 'results')}>
          All results
        </a>
      </p>
    </section>
  );
}
