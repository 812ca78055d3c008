/** The home of a survey: the walk, stage by stage, and what came of it. */
import { model } from '../domain/model.ts';
import { progressOf } from '../domain/progress.ts';
import type { OpenSurvey } from '../store/live.ts';
import { Page } from '../ui/Page.tsx';
import { stageLink, surveyLink } from '../ui/router.ts';
import { ProgressShape, ProgressSide } from '../ui/shapes.tsx';
import { Notice } from '../ui/Notice.tsx';
import { HouseFoot } from './results/Foot.tsx';
import { syncState } from '../sync/loop.ts';

export function HomeScreen({ open }: { open: OpenSurvey }) {
  const { survey } = open;
  const values = survey.single('survey')?.values ?? {};
  const isEmpty = [...survey.all()].length === 0;
  return (
    <Page
      title={survey.name()}
      over={[values['reference'], values['postcode']].filter(Boolean).join(' · ') || 'Survey'}
      back="#/"
      backWords="surveys"
      foot={<HouseFoot open={open} />}
    >
      {typeof values['address'] === 'string' && <p class="field-notes">{values['address']}</p>}
      {isEmpty && (
        <Notice tone="plain">
          <p>
            {syncState.value.isBusy
              ? 'Fetching this survey from the office.'
              : 'Nothing of this survey is on this phone yet. It comes with the next answer from the office.'}
          </p>
        </Notice>
      )}
      {open.row.contested.length > 0 && (
        <Notice tone="warning">
          <p>
            <b>
              {open.row.contested.length === 1 ? 'One answer was' : `${open.row.contested.length} answers were`} given
              twice.
            </b>{' '}
            A report waits until somebody has picked.
          </p>
          <a class="button" href={surveyLink(survey.id, 'stage', 'leaving')}>
            See which
          </a>
        </Notice>
      )}
      <ol class="list walk">
        {model.stages.map((stage) => {
          const progress = progressOf(stage.name, survey, open);
          return (
            <li key={stage.name}>
              <a class="row" href={stageLink(survey.id, stage.name)}>
                <ProgressShape progress={progress} />
                <span class="row-words">
                  <span>{stage.label}</span>
                  <ProgressSide progress={progress} />
                  <small>{stage.help}</small>
                </span>
              </a>
            </li>
          );
        })}
      </ol>
      {open.hasTaken && (
        <p>
          <a class="more" href={surveyLink(survey.id, 'taken')}>
            What was taken away
          </a>
        </p>
      )}
    </Page>
  );
}
