/** The foot of a screen: what stands against the job, the figures or what they still want, and the ways to both. */
import type { ComponentChildren } from 'preact';
import { VERDICT_WORDS } from '../../generated/answers.ts';
import { celsius, kilowatts, lowestCelsius, watts, workedOutWords, type Assessment } from '../../domain/assessment.ts';
import { findingsOf, stopWords } from '../../domain/progress.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { stageLink, surveyLink } from '../../ui/router.ts';
import { SeverityShape, VerdictShape } from '../../ui/shapes.tsx';
import { SoFar } from '../../ui/SoFar.tsx';
import { resultsToCome } from './come.ts';

function FootLink({ to, words, from, class: name, children }: FootLinkProps) {
  return (
    <a class={`foot-link ${name}`} href={to}>
      <span class="foot-words">
        <span class="foot-title">{words}</span>
        {from && <small>{from}</small>}
        {children}
      </span>
      <svg class="chevron" viewBox="0 0 24 24" width="24" height="24" aria-hidden="true">
        <path d="M9 5 L16 12 L9 19" class="line" />
      </svg>
    </a>
  );
}

interface FootLinkProps {
  to: string;
  words: ComponentChildren;
  /** Where the figures are from, beside the words. */
  from?: string;
  class: string;
  children?: ComponentChildren;
}

/** The first of these by name, the rest by number: the foot may not grow over the screen. */
function listed(names: readonly string[], most: number): string {
  const rest = names.length - most;
  return rest <= 0 ? names.join(', ') : `${names.slice(0, most).join(', ')} and ${rest} more`;
}

/** What the house's figures still want, by name. */
function houseWants({ rooms }: Assessment): string {
  const without = rooms.filter((room) => room.total_w === null);
  const [first, second] = without;
  if (!first) return 'No room is entered yet.';
  if (!second) return `Not known yet: ${first.name}. Wanted: ${listed(first.missing, 1)}.`;
  // What every room waits for is one thing, and not the rooms'.
  const shared = first.missing.filter((words) => without.every((room) => room.missing.includes(words)));
  return shared.length > 0
    ? `Wanted by every room: ${listed(shared, 1)}.`
    : `Not known yet: ${listed(
        without.map((room) => room.name),
        3,
      )}.`;
}

/** Both figures of the house; while there is none to say, what it wants and nothing else: the thumb needs the room. */
function HouseFigures({ assessment }: { assessment: Assessment }) {
  const { building, flow } = assessment;
  if (building.total_w === null)
    return (
      <>
        <SoFar words={building.so_far} />
        <span class="foot-wants">{houseWants(assessment)}</span>
      </>
    );
  return (
    <>
      <span>
        Heat loss <b>{kilowatts(building.total_w)}</b> <SoFar words={building.so_far} />
      </span>
      <span>
        Lowest flow <b>{lowestCelsius(flow?.lowest_c ?? null)}</b> <SoFar words={flow?.so_far} />
      </span>
    </>
  );
}

export function HouseFoot({ open }: { open: OpenSurvey }) {
  const { survey, assessment: kept } = open;
  const stops = findingsOf(open).filter((finding) => finding.severity === 'stop').length;
  return (
    <div class="foot-ways">
      {stops > 0 && (
        <FootLink
          to={stageLink(survey.id, 'leaving')}
          class="foot-stops"
          words={
            <>
              <SeverityShape severity="stop" /> {stopWords(stops)}
            </>
          }
        />
      )}
      <FootLink to={surveyLink(survey.id, 'results')} words="Results" from={workedOutWords(open)} class="foot-figures">
        {kept ? <HouseFigures assessment={kept.assessment} /> : <span>{resultsToCome()}</span>}
      </FootLink>
    </div>
  );
}

export function RoomFoot({ open, room }: { open: OpenSurvey; room: string }) {
  const found = open.assessment?.assessment.rooms.find((item) => item.id === room);
  if (!open.assessment || !found) return <p class="foot-figures">{resultsToCome()}</p>;
  const { flow } = open.assessment.assessment;
  return (
    <FootLink
      to={surveyLink(open.survey.id, 'working', 'room', room)}
      words="Working"
      from={workedOutWords(open)}
      class="foot-figures"
    >
      {found.total_w !== null && (
        <span>
          Loses <b>{watts(found.total_w)}</b> <SoFar words={found.so_far} />
        </span>
      )}
      {(found.total_w !== null || (found.output_w ?? 0) > 0) && (
        <span>
          emitters give <b>{watts(found.output_w)}</b>
          {flow ? ` at ${celsius(flow.design_c)}` : ''}
        </span>
      )}
      <span class="verdict">
        <VerdictShape verdict={found.verdict} /> <b>{VERDICT_WORDS[found.verdict]}</b>
      </span>
      {found.total_w === null && <SoFar words={found.so_far} />}
      {found.missing.length > 0 && <span class="foot-wants">Wanted: {listed(found.missing, 1)}.</span>}
    </FootLink>
  );
}
