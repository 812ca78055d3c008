/** What a survey shows of a record that the firm's book lends it. */
import { BOOK } from '../domain/book.ts';
import { titleOf, type Kind } from '../domain/model.ts';
import type { SurveyRecord } from '../domain/survey.ts';
import { Notice } from '../ui/Notice.tsx';
import { Page } from '../ui/Page.tsx';
import { link, recordLink, stageLink } from '../ui/router.ts';

export interface LentProps {
  kind: Kind;
  record: SurveyRecord;
  survey: string;
}

export function LentScreen({ kind, record, survey }: LentProps) {
  const isGone = record.values['deleted'] === true;
  return (
    <Page
      title={titleOf(kind, record.values)}
      over={kind.label}
      back={stageLink(survey, kind.stage)}
      backWords={kind.plural.toLowerCase()}
    >
      <Notice tone={isGone ? 'warning' : 'plain'}>
        <p>
          {isGone
            ? "It is no longer in the firm's list. This survey has chosen it, and keeps it as it stood there last."
            : "It is in the firm's list. What is changed there changes for every survey."}
        </p>
      </Notice>
      <a class="button" href={isGone ? link('office', 'firm') : recordLink(BOOK, kind.name, record.id)}>
        {isGone ? "Open the firm's list" : "Open it in the firm's list"}
      </a>
    </Page>
  );
}
