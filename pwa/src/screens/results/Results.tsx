/** What came of it: the house's loss, the lowest flow temperature and the room that sets it, drawings, findings. */
import { Sideways } from '../../pictures/letters.tsx';
import { VERDICT_WORDS } from '../../generated/answers.ts';
import { celsius, kilowatts, lowestCelsius, rangesOf, watts, workedOutWords } from '../../domain/assessment.ts';
import { NBSP, heldTogether, plainNumber } from '../../domain/check.ts';
import { useEffect } from 'preact/hooks';
import type { OpenSurvey } from '../../store/live.ts';
import { returnToRow } from '../../ui/lists.ts';
import { InTurns } from '../../ui/InTurns.tsx';
import { Notice } from '../../ui/Notice.tsx';
import { SoFar } from '../../ui/SoFar.tsx';
import { Page } from '../../ui/Page.tsx';
import { recordLink, surveyLink } from '../../ui/router.ts';
import { VerdictShape } from '../../ui/shapes.tsx';
import { later } from '../../ui/later.tsx';
import { resultsToCome } from './come.ts';
import { CABLE_WORDS, CIRCUIT_WORDS, Drawing, picturesFor, ZONE_WORDS } from './Drawing.tsx';
import { Findings } from './Findings.tsx';
import { LoadSum } from './Load.tsx';
import type { PlantSummaryProps } from './Plant.tsx';
import { Season } from './Season.tsx';
import { Sure } from './Sure.tsx';

const PlantSummary = later<PlantSummaryProps>(async () => (await import('./Plant.tsx')).PlantSummary);

function Big({ words }: { words: string }) {
  return <dd class={words === 'not known' ? 'figure-none' : 'figure-big'}>{words}</dd>;
}

export function ResultsScreen({ open }: { open: OpenSurvey }) {
  useEffect(returnToRow, []);
  const { survey, assessment: kept } = open;
  const frame = {
    title: 'Results',
    over: survey.name(),
    back: surveyLink(survey.id),
    backWords: 'the walk',
    isWide: true,
  };
  if (!kept) {
    return (
      <Page {...frame}>
        <Notice tone="plain">
          <p>
            <b>No results on this phone yet.</b> {resultsToCome()}
          </p>
        </Notice>
      </Page>
    );
  }
  const { assessment } = kept;
  const pictures = picturesFor(kept);
  const { building, flow, rooms, climate } = assessment;
  const setting = rooms.find((room) => room.id === flow?.set_by_room);
  return (
    <Page {...frame}>
      <InTurns>
        <p class="field-notes">{workedOutWords(open, true)}</p>
        <section class="sheet" aria-label="The house">
          <dl class="figures">
            <div>
              <dt>The house loses</dt>
              <Big words={kilowatts(building.total_w)} />
              {building.so_far && (
                <dd>
                  <SoFar words={building.so_far} />
                </dd>
              )}
              {building.total_w === null && (
                <dd>
                  {kilowatts(building.known_so_far_w)} in the rooms known so far; {building.rooms_missing.length} not
                  known
                </dd>
              )}
              {climate && <dd>at {celsius(climate.outside_c)} outside</dd>}
            </div>
            <div>
              <dt>Lowest flow temperature</dt>
              <Big words={lowestCelsius(flow?.lowest_c ?? null)} />
              {flow?.so_far && (
                <dd>
                  <SoFar words={flow.so_far} />
                </dd>
              )}
              <dd>
                {setting ? (
                  <>
                    set by{' '}
                    <a class="more" href={recordLink(survey.id, 'room', setting.id)}>
                      {setting.name}
                    </a>
                  </>
                ) : (
                  flow?.words
                )}
              </dd>
            </div>
            <div>
              <dt>Looked at</dt>
              <Big words={celsius(flow?.design_c ?? null)} />
              <dd>
                <small>{flow?.design_words}</small>
              </dd>
            </div>
            <div>
              <dt>Unit must carry</dt>
              <Big words={kilowatts(building.unit_size_w)} />
              {building.so_far && (
                <dd>
                  <SoFar words={building.so_far} />
                </dd>
              )}
              <dd>{building.loss_w_m2 !== null ? `${plainNumber(building.loss_w_m2, 0)}${NBSP}W for each m²` : ''}</dd>
            </div>
          </dl>
          <a class="more" href={surveyLink(survey.id, 'working', 'house')}>
            How the house's figures were worked out
          </a>
        </section>
        <Drawing
          pictures={pictures}
          of="room_losses"
          words="Loss of each room against what its emitters give; the same figures stand in the table below."
        />
        <section class="sheet" aria-label="Rooms">
          <Sideways words="Rooms, what they lose and what their emitters give">
            <table>
              <thead>
                <tr>
                  <th>Room</th>
                  <th class="number">Loses</th>
                  <th class="number">Emitters give</th>
                </tr>
              </thead>
              <tbody>
                {rooms.map((room) => (
                  <tr key={room.id}>
                    <td class="room-cell">
                      <a class="more" href={surveyLink(survey.id, 'working', 'room', room.id)}>
                        {room.name}
                      </a>
                      <span class="verdict">
                        <VerdictShape verdict={room.verdict} /> {VERDICT_WORDS[room.verdict]}
                      </span>{' '}
                      <SoFar words={room.so_far} />
                    </td>
                    <td class="number">{watts(room.total_w)}</td>
                    <td class="number">{watts(room.output_w)}</td>
                  </tr>
                ))}
              </tbody>
            </table>
          </Sideways>
        </section>
        {(assessment.parts ?? []).length > 0 && (
          <section class="sheet" aria-label="The parts of the house">
            <h2>The parts of the house</h2>
            <ul class="list">
              {(assessment.parts ?? []).map((part) => (
                <li key={part.id} class="row">
                  <span class="row-words">
                    <span>{part.name}</span>
                    <small>
                      {part.rooms.map((id) => rooms.find((room) => room.id === id)?.name ?? 'Room').join(', ') ||
                        'No room yet'}
                    </small>
                    <small>{heldTogether(part.words)}</small>
                  </span>
                </li>
              ))}
            </ul>
          </section>
        )}
        <LoadSum all={assessment} heading="h2" />
        <Sure survey={survey.id} ranges={rangesOf(kept)} rooms={rooms} heading="h2" />
        <PlantSummary survey={survey.id} all={assessment} pictures={pictures} />
        <section aria-label="Findings">
          <h2>{assessment.findings.length === 0 ? 'No findings' : 'Findings'}</h2>
          <Findings open={open} findings={assessment.findings} from="results" />
        </section>
        <Drawing pictures={pictures} of="flow" words="Rooms left short at each flow temperature." />
        <Season all={assessment} pictures={pictures} />
        {Object.keys(pictures.zones ?? {}).map((id) => (
          <Drawing key={id} pictures={pictures} of="zones" id={id} words={ZONE_WORDS} />
        ))}
        {Object.keys(pictures.bases ?? {}).map((id) => (
          <Drawing
            key={id}
            pictures={pictures}
            of="bases"
            id={id}
            words="The base with its readings, its fall, and the packing under each foot."
          />
        ))}
        <Drawing pictures={pictures} of="circuit" words={CIRCUIT_WORDS} />
        <Drawing pictures={pictures} of="cables" words={CABLE_WORDS} />
        <p class="field-notes">
          Figures are for a competent designer to check. Electrical, gas, refrigerant, unvented hot water and structural
          work go to the licensed trade; the local code wins.
        </p>
      </InTurns>
    </Page>
  );
}
