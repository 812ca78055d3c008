/** Before you leave: what stands against the job, then every gap in the order of the walk, what it spoils, and the way straight to it. */
import { heldTogether } from '../domain/check.ts';
import type { ComponentChildren } from 'preact';
import { useEffect } from 'preact/hooks';
import { rangesOf, workedOutWords } from '../domain/assessment.ts';
import { fieldLabel, loggedWords, type ContestedField } from '../domain/contested.ts';
import { singleId } from '../domain/ids.ts';
import { isOfOffice, type Gap } from '../domain/gaps.ts';
import { fieldOf, kindOf, model, ownerKindOf } from '../domain/model.ts';
import { wantedPhotos } from '../domain/photos.ts';
import { checkWords, findingsOf, gapsOnSite, gapWords, inWalkOrder, stopWords } from '../domain/progress.ts';
import { momentWords } from '../domain/words.ts';
import { SEVERITY_WORDS } from '../generated/answers.ts';
import { Contest } from '../forms/Contest.tsx';
import { wordsFor } from '../forms/names.ts';
import type { OpenSurvey } from '../store/live.ts';
import { Notice } from '../ui/Notice.tsx';
import { fromList, leaveRow, returnToRow } from '../ui/lists.ts';
import { Page } from '../ui/Page.tsx';
import { recordLink, sideLink, stageLink, surveyLink } from '../ui/router.ts';
import { ProgressShape } from '../ui/shapes.tsx';
import { likelyOwner } from './photos/Photos.tsx';
import { TakePhoto } from './photos/TakePhoto.tsx';
import { resultsToCome } from './results/come.ts';
import { Findings } from './results/Findings.tsx';
import { Facts, worthAsking } from './results/Sure.tsx';
import type { StageScreenProps } from './props.ts';

export function gapLink(survey: string, gap: Gap): string {
  if (gap.record && gap.side) return sideLink(survey, gap.record, gap.side);
  if (gap.record) return recordLink(survey, gap.kind, gap.record, gap.field);
  const kind = kindOf(gap.kind);
  if (kind.single) return recordLink(survey, gap.kind, singleId(survey, gap.kind));
  const owner = gap.parent ? ownerKindOf(kind) : null;
  return gap.parent && owner
    ? `${recordLink(survey, owner, gap.parent)}?add=${kind.name}`
    : stageLink(survey, gap.stage);
}

/** The gap's words, with the room or run that the record belongs to. */
function gapTitle(open: OpenSurvey, gap: Gap): string {
  return gap.record && gap.field
    ? `${wordsFor(open.survey, gap.kind, gap.record)}: ${fieldOf(gap.kind, gap.field).label}`
    : gap.words;
}

/** What a missing photo has to show, so that it can be taken from here. */
function photoWanted(gap: Gap): string | null {
  if (gap.kind !== 'photo' || gap.record) return null;
  const expected = model.expectations.find((item) => item.kind === 'photo' && item.words === gap.words);
  const category = expected?.where['category'];
  return typeof category === 'string' ? category : null;
}

export function LeavingScreen({ open }: StageScreenProps) {
  const { survey } = open;
  const gaps = gapsOnSite(open);
  const ofOffice = open.gaps.filter(isOfOffice);
  const findings = findingsOf(open);
  useEffect(returnToRow, []);
  const stops = inWalkOrder(findings, 'stop');
  const checks = inWalkOrder(findings, 'check');
  const wishes = wantedPhotos(survey).filter((item) => item.expected.is_wish && item.found.length === 0).length;
  const doubts = open.row.contested.length + open.refused.length;
  const tells = worthAsking(open.assessment && rangesOf(open.assessment));
  const stages = model.stages.flatMap((stage) => {
    const here = gaps.filter((gap) => gap.stage === stage.name);
    return here.length > 0 ? [{ stage, here }] : [];
  });
  return (
    <Page title="Before you leave" over={survey.name()} back={surveyLink(survey.id)} backWords="the walk">
      <Summary
        open={open}
        parts={[
          ['stops', stops.length > 0 ? stopWords(stops.length) : ''],
          ['checks', checks.length > 0 ? checkWords(checks.length) : ''],
          ['doubts', doubts > 0 ? `${doubts} to decide` : ''],
          ['gaps', gaps.length > 0 ? gapWords(gaps.length) : ''],
        ]}
      />
      {stops.length > 0 && (
        <Part id="stops" title={SEVERITY_WORDS.stop}>
          <Findings open={open} findings={stops} isBrief from="leaving" />
        </Part>
      )}
      {checks.length > 0 && (
        <Part id="checks" title="To check">
          <Findings open={open} findings={checks} isBrief from="leaving" />
        </Part>
      )}
      <Doubtful open={open} />
      {stages.map(({ stage, here }, place) => (
        <Part key={stage.name} id={place === 0 ? 'gaps' : null} title={stage.label}>
          <GapList open={open} gaps={here} />
        </Part>
      ))}
      {ofOffice.length > 0 && (
        <Part id="office" title="For the office">
          <p class="field-notes">Answered from methods and papers; nobody has to stay in the house for these.</p>
          <GapList open={open} gaps={ofOffice} />
        </Part>
      )}
      {tells.length > 0 && (
        <Part id={null} title="What would tell most, measured better">
          <Facts
            survey={survey.id}
            facts={tells}
            more={(fact) => (
              <small>
                Known {fact.how_words}. {heldTogether(fact.advice)}
              </small>
            )}
          />
        </Part>
      )}
      {wishes > 0 && (
        <p>
          <a class="button" href={stageLink(survey.id, 'photos')}>
            {wishes === 1 ? 'One emitter is' : `${wishes} emitters are`} not photographed yet: it would help
          </a>
        </p>
      )}
    </Page>
  );
}

function GapList({ open, gaps }: { open: OpenSurvey; gaps: readonly Gap[] }) {
  const { survey } = open;
  return (
    <ul class="list">
      {gaps.map((gap) => (
        <li key={`${gap.kind}/${gap.record ?? gap.parent ?? gap.words}/${gap.field ?? gap.side ?? ''}`}>
          <a class="row" href={fromList(gapLink(survey.id, gap), 'leaving')} onClick={leaveRow}>
            <ProgressShape progress={{ state: 'gaps' }} />
            <span class="row-words">
              <span>{gapTitle(open, gap)}</span>
              <small>{gap.spoils}</small>
            </span>
          </a>
          {photoWanted(gap) && (
            <div class="leaving-take">
              <TakePhoto
                survey={survey.id}
                of={likelyOwner(open, photoWanted(gap)!)}
                category={photoWanted(gap)}
                words="Take it"
                about={gapTitle(open, gap)}
                isShort
              />
            </div>
          )}
        </li>
      ))}
    </ul>
  );
}

/** What is open by number, each a way to its part of the page; and whether it was looked at as it stands now. */
function Summary({ open, parts }: { open: OpenSurvey; parts: [string, string][] }) {
  const there = parts.filter(([, words]) => words !== '');
  if (there.length === 0 && open.isCurrent)
    return (
      <Notice tone="plain">
        <p>
          <b>Nothing is missing, and nothing stands against the job.</b> You can leave.
        </p>
      </Notice>
    );
  const reach = (part: string) => {
    const heading = document.getElementById(`leaving-${part}`);
    heading?.scrollIntoView({ block: 'start' });
    heading?.focus({ preventScroll: true });
  };
  return (
    <>
      {there.length > 0 ? (
        <>
          <div class="buttons leaving-ways" role="group" aria-label="What is open">
            {there.map(([part, words]) => (
              <button key={part} type="button" class="button" onClick={() => reach(part)}>
                {words}
              </button>
            ))}
          </div>
          <p>What stands against the job comes first, then every gap in the order of the walk back.</p>
        </>
      ) : (
        <p>
          <b>No gap is left.</b>
        </p>
      )}
      {!open.isCurrent && (
        <Notice tone="warning">
          <p>
            <b>What stands against the job is not known for the survey as it is now.</b> {notCurrentWords(open)}
          </p>
        </Notice>
      )}
    </>
  );
}

function notCurrentWords(open: OpenSurvey): string {
  if (open.isLive) return 'This phone is working it out.';
  return open.assessment ? workedOutWords(open, true) : resultsToCome();
}

function Part({ id, title, children }: { id: string | null; title: string; children: ComponentChildren }) {
  return (
    <section class="leaving-part" aria-label={title}>
      <h2 {...(id ? { id: `leaving-${id}`, tabIndex: -1 } : {})}>{title}</h2>
      {children}
    </section>
  );
}

/** Answers given twice, and answers that the office refused. */
function Doubtful({ open }: { open: OpenSurvey }) {
  const { survey, row, refused } = open;
  const contested: ContestedField[] = row.contested;
  if (contested.length + refused.length === 0) return null;
  return (
    <Part id="doubts" title="Somebody must decide">
      <ul class="list">
        {contested.map((item) => (
          <li key={`${item.record}/${item.field}`} class="contest-row">
            <Contest open={open} item={item} />
          </li>
        ))}
        {refused.map((item) => (
          <li key={item.id}>
            <a class="row" href={recordLink(survey.id, item.kind, item.record, item.field)}>
              <span class="row-words">
                <span>
                  {wordsFor(survey, item.kind, item.record)}: {fieldLabel(item.kind, item.field)}
                </span>
                <small>
                  The office refused {loggedWords(survey, item.kind, item.field, item.value)}, typed{' '}
                  {momentWords(Date.parse(item.made_at))}: {item.problem.message}
                </small>
              </span>
              <span class="row-side">Answer anew</span>
            </a>
          </li>
        ))}
      </ul>
    </Part>
  );
}
