/** What came of it: the house's loss, the lowest flow temperature and the room that sets it, drawings, findings. */
import { celsius, kilowatts, lowestCelsius, type Answer, type Pictures, VERDICT_WORDS, watts, workedOutWords } from '../../domain/assessment.ts';
import { plainNumber } from '../../domain/check.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { isDark } from '../../store/theme.ts';
import { Notice } from '../../ui/Notice.tsx';
import { Page } from '../../ui/Page.tsx';
import { recordLink, surveyLink } from '../../ui/router.ts';
import { VerdictShape } from '../../ui/shapes.tsx';
import { later } from '../../ui/later.tsx';
import { resultsToCome } from './come.ts';
import { Findings } from './Findings.tsx';
import type { PlantSummaryProps } from './Plant.tsx';
import { Season } from './Season.tsx';

const PlantSummary = later<PlantSummaryProps>(async () => (await import('./Plant.tsx')).PlantSummary);

/** The drawings that fit the theme; an older answer of the office has them for light paper only. */
export function picturesFor(kept: Answer): Pictures & { isForDark: boolean } {
  return isDark.value && kept.pictures_dark ? { ...kept.pictures_dark, isForDark: true } : { ...kept.pictures, isForDark: false };
}

export const ZONE_WORDS = 'The place of the unit from above: its protective zone and everything near it, each said in the list under it.';
export const CIRCUIT_WORDS = 'Scheme of the heating water with sizes, flows and pressure drops, each said under it.';
export const CABLE_WORDS = 'Every cable with its length, who runs it and what was found.';

export interface DrawingProps {
  pictures: Pictures & { isForDark: boolean };
  /** Which drawing, and of which record where there is one for each. */
  of: keyof Omit<Pictures, 'narrow'>;
  id?: string;
  words: string;
  /** Show the narrow form however wide the screen is. */
  isNarrow?: boolean;
}

function svgOf(pictures: Pictures | undefined, of: DrawingProps['of'], id: string | undefined): string | undefined {
  const found = pictures?.[of];
  return (typeof found === 'string' ? found : id === undefined ? undefined : found?.[id]) ?? undefined;
}

const asAddress = (svg: string): string => `data:image/svg+xml;charset=utf-8,${encodeURIComponent(svg)}`;

/** A drawing of the engine's, shown as a picture, so that nothing in it can act in this page. Nothing while there is none. */
export function Drawing({ pictures, of, id, words, isNarrow }: DrawingProps) {
  const svg = svgOf(pictures, of, id);
  const narrow = svgOf(pictures.narrow, of, id);
  if (!svg) return null;
  return (
    <figure class={`drawing scroll${pictures.isForDark ? ' drawing-dark' : ''}${narrow ? ' drawing-fits' : ''}${narrow && isNarrow ? ' drawing-narrow' : ''}`} tabIndex={0} role="group" aria-label={words}>
      <picture>
        {narrow && !isNarrow && <source media="(max-width: 38rem)" srcset={asAddress(narrow)} />}
        <img src={asAddress(narrow && isNarrow ? narrow : svg)} alt="" />
      </picture>
    </figure>
  );
}

function Big({ words }: { words: string }) {
  return <dd class={words === 'not known' ? 'figure-none' : 'figure-big'}>{words}</dd>;
}

export function ResultsScreen({ open }: { open: OpenSurvey }) {
  const { survey, assessment: kept } = open;
  const frame = { title: 'Results', over: survey.title(), back: surveyLink(survey.id), backWords: 'the walk', isWide: true };
  if (!kept) {
    return (
      <Page {...frame}>
        <Notice tone="plain"><p><b>No results on this phone yet.</b> {resultsToCome()}</p></Notice>
      </Page>
    );
  }
  const { assessment } = kept;
  const pictures = picturesFor(kept);
  const { building, flow, rooms, climate } = assessment;
  const setting = rooms.find((room) => room.id === flow?.set_by_room);
  return (
    <Page {...frame}>
      <p class="field-notes">{workedOutWords(open, true)}</p>
      <section class="sheet" aria-label="The house">
        <dl class="figures">
          <div>
            <dt>The house loses</dt>
            <Big words={kilowatts(building.total_w)} />
            {building.total_w === null && <dd>{kilowatts(building.known_so_far_w)} in the rooms known so far; {building.rooms_missing.length} not known</dd>}
            {climate && <dd>at {celsius(climate.outside_c)} outside</dd>}
          </div>
          <div>
            <dt>Lowest flow temperature</dt>
            <Big words={lowestCelsius(flow?.lowest_c ?? null)} />
            <dd>{setting ? <>set by <a href={recordLink(survey.id, 'room', setting.id)}>{setting.name}</a></> : flow?.words}</dd>
          </div>
          <div>
            <dt>Looked at</dt>
            <Big words={celsius(flow?.design_c ?? null)} />
            <dd><small>{flow?.design_words}</small></dd>
          </div>
          <div>
            <dt>Unit must carry</dt>
            <Big words={kilowatts(building.unit_size_w)} />
            <dd>{building.loss_w_m2 !== null ? `${plainNumber(building.loss_w_m2, 0)} W for each m²` : ''}</dd>
          </div>
        </dl>
        <a class="more" href={surveyLink(survey.id, 'working', 'house')}>How the house's figures were worked out</a>
      </section>
      <Drawing pictures={pictures} of="room_losses" words="Loss of each room against what its emitters give; the same figures stand in the table below." />
      <section class="sheet" aria-label="Rooms">
        <table>
          <thead><tr><th>Room</th><th class="number">Loses</th><th class="number">Emitters give</th></tr></thead>
          <tbody>
            {rooms.map((room) => (
              <tr key={room.id}>
                <td class="room-cell">
                  <a class="more" href={surveyLink(survey.id, 'working', 'room', room.id)}>{room.name}</a>
                  <span class="verdict"><VerdictShape verdict={room.verdict} /> {VERDICT_WORDS[room.verdict]}</span>
                </td>
                <td class="number">{watts(room.total_w)}</td>
                <td class="number">{watts(room.output_w)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </section>
      <PlantSummary survey={survey.id} all={assessment} pictures={pictures} />
      <section aria-label="Findings">
        <h2>{assessment.findings.length === 0 ? 'No findings' : 'Findings'}</h2>
        <Findings open={open} findings={assessment.findings} />
      </section>
      <Drawing pictures={pictures} of="flow" words="Rooms left short at each flow temperature." />
      <Season all={assessment} pictures={pictures} />
      {Object.keys(pictures.zones ?? {}).map((id) => <Drawing key={id} pictures={pictures} of="zones" id={id} words={ZONE_WORDS} />)}
      {Object.keys(pictures.bases ?? {}).map((id) => <Drawing key={id} pictures={pictures} of="bases" id={id} words="The base with its readings, its fall, and the packing under each foot." />)}
      <Drawing pictures={pictures} of="circuit" words={CIRCUIT_WORDS} />
      <Drawing pictures={pictures} of="cables" words={CABLE_WORDS} />
      <p class="field-notes">Figures are for a competent designer to check. Electrical, gas, refrigerant, unvented hot water and structural work go to the licensed trade; the local code wins.</p>
    </Page>
  );
}
