/** The office's choices, with what they do to the house beside them. */
import { celsius, kilowatts, lowestCelsius, workedOutWords, type Assessment } from '../../domain/assessment.ts';
import { singleId } from '../../domain/ids.ts';
import type { SurveyRecord } from '../../domain/survey.ts';
import { RecordForm } from '../../forms/RecordForm.tsx';
import type { OpenSurvey } from '../../store/live.ts';
import { Notice } from '../../ui/Notice.tsx';
import { Drawing, picturesFor } from '../results/Results.tsx';
import { officeLink } from './parts.tsx';

export function Design({ open }: { open: OpenSurvey }) {
  const { survey, assessment: kept } = open;
  const record: SurveyRecord = survey.single('design') ?? { kind: 'design', id: singleId(survey.id, 'design'), values: {} };
  const pictures = kept ? picturesFor(kept) : null;
  // The table of the chosen unit knows better than a typed figure.
  const capacity = kept?.assessment.plant?.units.find((unit) => unit.is_chosen)?.capacity_kw ?? record.values['unit_capacity_kw'];
  return (
    <>
      {kept ? (
        <>
          <p class="field-notes" role="status">{workedOutWords(open, true)}</p>
          <Beside all={kept.assessment} capacityKw={typeof capacity === 'number' ? capacity : null} survey={survey.id} />
        </>
      ) : <Notice tone="plain"><p>What the choices do to the rooms appears here as soon as the office has worked the survey out.</p></Notice>}
      <div class="office-halves"><RecordForm open={open} record={record} isOffice /></div>
      {pictures?.flow && <Drawing isForDark={pictures.isForDark} svg={pictures.flow} words="Rooms left short at each flow temperature that was looked at." />}
    </>
  );
}

function Beside({ all, capacityKw, survey }: { all: Assessment; capacityKw: number | null; survey: string }) {
  const { flow, building } = all;
  const short = all.rooms.filter((room) => room.verdict === 'short' || room.verdict === 'no_emitter');
  return (
    <section class="sheet" aria-label="What the choices do">
      <dl class="figures">
        <div><dt>Rooms too cold at {celsius(flow?.design_c ?? null)}</dt><dd class="figure-big">{short.length} of {all.rooms.length}</dd><dd>{short.map((room) => room.name).join(', ')}</dd></div>
        <div><dt>Lowest flow that serves all</dt><dd class="figure-big">{lowestCelsius(flow?.lowest_c ?? null)}</dd><dd>{all.rooms.find((room) => room.id === flow?.set_by_room)?.name ?? ''}</dd></div>
        <div><dt>The unit must carry</dt><dd class="figure-big">{kilowatts(building.unit_size_w)}</dd><dd>{capacityKw === null ? 'its output is not filled in' : `chosen: ${kilowatts(capacityKw * 1000)}`}</dd></div>
      </dl>
      <p><a href={officeLink(survey, 'results')}>All results</a></p>
    </section>
  );
}
