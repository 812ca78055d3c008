/** The plans of the storeys as they follow from what was said: a tap opens a room, and what is not settled is asked in one. */
import { PLAN_STATE_WORDS, type PlanAsk, type PlanState, type StoreyPlan } from '../../generated/answers.ts';
import { choiceLabel, fieldOf } from '../../domain/model.ts';
import type { Edit } from '../../domain/survey.ts';
import { keep, useOneAtATime } from '../../forms/saving.tsx';
import type { OpenSurvey } from '../../store/live.ts';
import { saveEdits } from '../../store/surveys.ts';
import { go, recordLink } from '../../ui/router.ts';
import { SeverityShape } from '../../ui/shapes.tsx';
import { picturesFor } from './Drawing.tsx';
import { Findings } from './Findings.tsx';

/** Smaller than this on the drawing, in its own units, a room is opened from the list beside it. */
const LEAST_TAP = 24;

interface StoreyPlansProps {
  open: OpenSurvey;
  /** Show the narrow form however wide the screen is. */
  isNarrow?: boolean;
  /** The heading of each plan, one step below what it stands under. */
  heading: 'h2' | 'h4';
}

/** Every storey with its drawing, what it is worth, what to answer and what disagrees; nothing while no room is there. */
export function StoreyPlans({ open, isNarrow, heading }: StoreyPlansProps) {
  const plans = open.assessment?.plans;
  if (plans === null) {
    return <p class="field-notes">The plans could not be worked out. The figures are not touched by that.</p>;
  }
  if (!plans || plans.storeys.length === 0) return null;
  return (
    <>
      {plans.storeys.map((storey) => (
        <OneStorey
          key={storey.storey}
          open={open}
          storey={storey}
          heading={heading}
          {...(isNarrow ? { isNarrow } : {})}
        />
      ))}
      {plans.findings.length > 0 && (
        <section aria-label="What disagrees on the plans">
          <Findings open={open} findings={plans.findings} isBrief />
        </section>
      )}
    </>
  );
}

function OneStorey({ open, storey, isNarrow, heading: Heading }: StoreyPlansProps & { storey: StoreyPlan }) {
  return (
    <section class="sheet" aria-label={`Plan: ${storey.label}`}>
      <Heading class="plan-head">
        <PlanShape state={storey.state} />
        <span>
          {storey.label}: {PLAN_STATE_WORDS[storey.state].toLowerCase()}
        </span>
      </Heading>
      <Drawn open={open} storey={storey} isNarrow={isNarrow ?? false} />
      <p class="field-notes">{storey.words}</p>
      {storey.asks.length > 0 && (
        <ul class="plan-asks">
          {storey.asks.slice(0, 3).map((ask) => (
            <li key={`${ask.record} ${ask.field ?? ''} ${ask.words}`}>
              <Ask open={open} storey={storey} ask={ask} />
            </li>
          ))}
          {storey.asks.length > 3 && <li>and {storey.asks.length - 3} more</li>}
        </ul>
      )}
    </section>
  );
}

/** A tick only where the drawing is a proof. */
function PlanShape({ state }: { state: PlanState }) {
  if (state === 'none') return <SeverityShape severity="check" size={20} />;
  return (
    <svg class="shape" viewBox="0 0 24 24" width="20" height="20" aria-hidden="true">
      {state === 'one' ? (
        <path d="M4 13 l5 5 L20 6" class="shape-line" />
      ) : (
        <path d="M4 4 h16 v16 h-16 z" class="shape-line" stroke-dasharray="4 4" />
      )}
    </svg>
  );
}

function Drawn({ open, storey, isNarrow }: { open: OpenSurvey; storey: StoreyPlan; isNarrow: boolean }) {
  const kept = open.assessment;
  if (!kept) return null;
  const pictures = picturesFor(kept);
  const svg = (isNarrow ? pictures.narrow?.plans : pictures.plans)?.[storey.storey];
  const places = (isNarrow ? kept.plans?.narrow_places : kept.plans?.places)?.[storey.storey] ?? {};
  const size = svg && /viewBox="0 0 ([\d.]+) ([\d.]+)"/.exec(svg);
  if (!svg || !size) return null;
  return (
    <figure class={`drawing scroll${pictures.isForDark ? ' drawing-dark' : ''}`}>
      <div class={`plan-page${isNarrow ? ' plan-narrow' : ''}`}>
        <img src={`data:image/svg+xml;charset=utf-8,${encodeURIComponent(svg)}`} alt={storey.words} />
        <svg
          class="plan-taps"
          viewBox={`0 0 ${size[1]} ${size[2]}`}
          role="group"
          aria-label={`${storey.label}: rooms to open`}
        >
          {storey.rooms.map((room) => {
            const [x, y, width, height] = places[room.id] ?? [0, 0, 0, 0];
            if (width < LEAST_TAP || height < LEAST_TAP || !open.survey.find('room', room.id)) return null;
            return (
              <g
                key={room.id}
                role="button"
                // As SVG spells it: an attribute of HTML's spelling is not known on its elements, and leaves them out of reach.
                tabindex={0}
                aria-label={`Open ${room.name}`}
                onClick={() => go(recordLink(open.survey.id, 'room', room.id))}
                onKeyDown={(event) => {
                  if (event.key !== 'Enter' && event.key !== ' ') return;
                  event.preventDefault();
                  go(recordLink(open.survey.id, 'room', room.id));
                }}
              >
                <rect x={x} y={y} width={width} height={height} />
              </g>
            );
          })}
        </svg>
      </div>
    </figure>
  );
}

function Ask({ open, storey, ask }: { open: OpenSurvey; storey: StoreyPlan; ask: PlanAsk }) {
  const { survey } = open;
  const [kind, id] = ask.record.split('/') as [string, string];
  const answer = useOneAtATime(async (turn: string) => {
    const edits: Edit[] = [{ kind: 'room', id, values: { turn } }];
    // As it is drawn beside it, so that the answer says how the two lie to each other.
    const beside = storey.rooms.find((room) => room.id === ask.beside);
    if (beside) edits.push({ kind: 'room', id: beside.id, values: { turn: beside.faces } });
    await keep(() => saveEdits(survey.id, edits));
  });
  const asDrawn = useOneAtATime(async () => {
    const edits = storey.rooms.map((room): Edit => ({ kind: 'room', id: room.id, values: { turn: room.faces } }));
    await keep(() => saveEdits(survey.id, edits));
  });
  if (!survey.find(kind, id)) return null;
  if (ask.field !== 'turn') {
    return (
      <button type="button" class="button" onClick={() => go(recordLink(survey.id, kind, id, ask.field))}>
        {ask.words}
      </button>
    );
  }
  const choices = fieldOf('room', 'turn').choices ?? [];
  return (
    <fieldset class="plan-ask">
      <legend>{ask.words}</legend>
      <div class="buttons">
        {ask.beside && (
          <button type="button" class="button button-main" onClick={() => asDrawn()}>
            All rooms lie as drawn
          </button>
        )}
        {choices.map((choice) => (
          <button key={choice.value} type="button" class="button" onClick={() => answer(choice.value)}>
            {ask.beside ? ON_DRAWING[choice.value] : choiceLabel(fieldOf('room', 'turn'), choice.value)}
          </button>
        ))}
      </div>
    </fieldset>
  );
}

const ON_DRAWING: Record<string, string> = {
  front: 'Up on the drawing',
  right: 'To the right',
  back: 'Down',
  left: 'To the left',
};
