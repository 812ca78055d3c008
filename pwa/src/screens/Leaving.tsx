/** Before you leave: every gap in the order of the walk, what it spoils, and the way straight to it. */
import { fieldLabel, loggedWords, type ContestedField } from '../domain/contested.ts';
import { singleId } from '../domain/ids.ts';
import type { Gap } from '../domain/gaps.ts';
import { fieldOf, kindOf, model, ownerKindOf } from '../domain/model.ts';
import { wantedPhotos } from '../domain/photos.ts';
import { momentWords } from '../domain/words.ts';
import { Contest } from '../forms/Contest.tsx';
import { wordsFor } from '../forms/names.ts';
import type { OpenSurvey } from '../store/live.ts';
import { Notice } from '../ui/Notice.tsx';
import { Page } from '../ui/Page.tsx';
import { recordLink, stageLink, surveyLink } from '../ui/router.ts';
import { ProgressShape } from '../ui/shapes.tsx';
import { likelyOwner } from './photos/Photos.tsx';
import { TakePhoto } from './photos/TakePhoto.tsx';
import type { StageScreenProps } from './props.ts';

export function gapLink(survey: string, gap: Gap): string {
  if (gap.record) return recordLink(survey, gap.kind, gap.record, gap.field);
  const kind = kindOf(gap.kind);
  if (kind.single) return recordLink(survey, gap.kind, singleId(survey, gap.kind));
  const owner = gap.parent ? ownerKindOf(kind) : null;
  return gap.parent && owner ? recordLink(survey, owner, gap.parent) : stageLink(survey, gap.stage);
}

/** The gap's words, with the room or run that the record belongs to. */
function gapWords(open: OpenSurvey, gap: Gap): string {
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
  const { survey, gaps } = open;
  const wishes = wantedPhotos(survey).filter((item) => item.expected.is_wish && item.found.length === 0).length;
  return (
    <Page title="Before you leave" over={survey.name()} back={surveyLink(survey.id)} backWords="the walk">
      {gaps.length === 0 ? (
        <Notice tone="plain">
          <p>
            <b>Nothing is missing.</b> You can leave.
          </p>
        </Notice>
      ) : (
        <p>
          {gaps.length === 1 ? 'One gap' : `${gaps.length} gaps`}, in the order of the walk back. Nothing blocks you;
          each says what it spoils.
        </p>
      )}
      <Doubtful open={open} />
      {model.stages.map((stage) => {
        const here = gaps.filter((gap) => gap.stage === stage.name);
        if (here.length === 0) return null;
        return (
          <section key={stage.name}>
            <h2>{stage.label}</h2>
            <ul class="list">
              {here.map((gap) => (
                <li key={`${gap.kind}/${gap.record ?? gap.parent ?? gap.words}/${gap.field ?? ''}`}>
                  <a class="row" href={gapLink(survey.id, gap)}>
                    <ProgressShape progress={{ state: 'gaps', count: 1 }} />
                    <span class="row-words">
                      <span>{gapWords(open, gap)}</span>
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
                        about={gapWords(open, gap)}
                        isShort
                      />
                    </div>
                  )}
                </li>
              ))}
            </ul>
          </section>
        );
      })}
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

/** Answers given twice, and answers that the office refused. */
function Doubtful({ open }: { open: OpenSurvey }) {
  const { survey, row, refused } = open;
  const contested: ContestedField[] = row.contested;
  if (contested.length + refused.length === 0) return null;
  return (
    <section>
      <h2>Somebody must decide</h2>
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
    </section>
  );
}
