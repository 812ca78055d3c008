/** A record of the firm's book: a form for whoever may write it, the same to be read for all others. */
import { PRICES } from '../../domain/article_prices.ts';
import { bookWords, maySee, mayWriteBook } from '../../domain/book.ts';
import { kindOf, titleOf } from '../../domain/model.ts';
import type { SurveyRecord } from '../../domain/survey.ts';
import { RecordForm } from '../../forms/RecordForm.tsx';
import type { OpenSurvey } from '../../store/live.ts';
import { Notice } from '../../ui/Notice.tsx';
import { Page } from '../../ui/Page.tsx';
import { link } from '../../ui/router.ts';
import { ItsHistory, RemoveButton } from '../Record.tsx';
import { ArticlePrices } from './ArticlePrices.tsx';

const FIRM = link('office', 'firm');

export function BookRecordScreen({
  open,
  record,
  query,
}: {
  open: OpenSurvey;
  record: SurveyRecord;
  query: URLSearchParams;
}) {
  const kind = kindOf(record.kind);
  const { role } = open.row;
  const isArticle = kind.name === 'article';
  const hidden = kind.fields
    .filter((field) => !maySee(field, role) || (isArticle && PRICES.some(({ byDay }) => byDay === field.name)))
    .map((field) => field.name);
  const form = <RecordForm open={open} record={record} without={hidden} focus={query.get('field')} answered="both" />;
  return (
    <Page
      title={titleOf(kind, record.values)}
      over={`The firm's ${bookWords(kind).many}`}
      back={FIRM}
      backWords="the firm"
    >
      {kind.help && <p>{kind.help}</p>}
      <ItsHistory open={open} record={record} />
      {mayWriteBook(kind, role) ? (
        <>
          {form}
          {isArticle && <ArticlePrices record={record} role={role} mayWrite />}
          <RemoveButton open={open} record={record} back={FIRM} />
        </>
      ) : (
        <div class="reading">
          <Notice tone="plain">
            <p>The office keeps this. Here it can be read.</p>
          </Notice>
          <fieldset class="reading-only" disabled>
            {form}
          </fieldset>
          {isArticle && <ArticlePrices record={record} role={role} mayWrite={false} />}
        </div>
      )}
    </Page>
  );
}
