/** One survey at the office: an index at the side, one part at a time, results first. */
import { celsius, kilowatts } from '../../domain/assessment.ts';
import { isOfOffice } from '../../domain/gaps.ts';
import { gapWords } from '../../domain/progress.ts';
import { pounds, type Quote } from '../../domain/office.ts';
import { atTheOffice, counted } from '../../domain/words.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { syncState } from '../../sync/loop.ts';
import { Notice } from '../../ui/Notice.tsx';
import { Page } from '../../ui/Page.tsx';
import { link, surveyLink } from '../../ui/router.ts';
import { Came } from './Came.tsx';
import { Design } from './Design.tsx';
import { HistoryPart } from './History.tsx';
import { officeLink } from './parts.tsx';
import { Methods } from './Methods.tsx';
import { Options } from './Options.tsx';
import { Price } from './Price.tsx';
import { lastAnswer } from './remote.ts';
import { Reports } from './Reports.tsx';
import { Results } from './Results.tsx';
import { Works } from './Works.tsx';

const PARTS = [
  { name: 'results', label: 'Results', Part: Results },
  { name: 'came', label: 'What came', Part: Came },
  { name: 'history', label: 'History', Part: HistoryPart },
  { name: 'design', label: 'Design', Part: Design },
  { name: 'methods', label: 'Methods and papers', Part: Methods },
  { name: 'options', label: 'Options', Part: Options },
  { name: 'works', label: 'Works by trade', Part: Works },
  { name: 'price', label: 'Price', Part: Price },
  { name: 'reports', label: 'Reports', Part: Reports },
] as const;

export type PartName = (typeof PARTS)[number]['name'];

export function OfficeScreen({ open, path = [] }: { open: OpenSurvey; path?: string[] }) {
  const { survey } = open;
  const values = survey.single('survey')?.values ?? {};
  const name = path[0] ?? 'results';
  const present = PARTS.find((part) => part.name === name) ?? PARTS[0];
  const isEmpty = [...survey.all()].length === 0;
  const offered = survey.find('option', survey.single('design')?.values['offered']);
  return (
    <Page
      title={survey.title()}
      over={['Office', values['reference'], values['postcode']].filter(Boolean).join(' · ')}
      back={link('office')}
      backWords="the office's list"
      isWide
    >
      <div class="office">
        <nav class="office-index" aria-label="Parts of this survey">
          <ul>
            {PARTS.map((part) => (
              <li key={part.name}>
                <a
                  href={officeLink(survey.id, part.name)}
                  aria-current={part.name === present.name ? 'page' : undefined}
                >
                  <span>{part.label}</span>
                  <small>{stateOf(part.name, open)}</small>
                </a>
              </li>
            ))}
            <li>
              <a href={surveyLink(survey.id)}>
                <span>The walk</span>
                <small>
                  {open.gaps.length === 0 ? 'no gaps' : open.gaps.length === 1 ? '1 gap' : `${open.gaps.length} gaps`}
                </small>
              </a>
            </li>
          </ul>
        </nav>
        <div class="office-part">
          {isEmpty && (
            <Notice tone="plain">
              <p>
                {syncState.value.isBusy
                  ? 'Fetching this survey from the office.'
                  : 'Nothing of this survey has come to this device yet. It comes with the next answer from the office.'}
              </p>
            </Notice>
          )}
          {open.row.contested.length > 0 && present.name !== 'came' && present.name !== 'reports' && (
            <Notice tone="warning">
              <p>
                <b>
                  {open.row.contested.length === 1 ? 'One answer was' : `${open.row.contested.length} answers were`}{' '}
                  given twice.
                </b>{' '}
                No report can be made until somebody has picked.
              </p>
              <div class="buttons">
                <a class="button" href={officeLink(survey.id, 'came')}>
                  Pick
                </a>
              </div>
            </Notice>
          )}
          {offered && (present.name === 'results' || present.name === 'design' || present.name === 'price') && (
            <Notice tone="plain">
              <p>
                Report and quote are of option <b>{String(offered.values['name'] ?? '')}</b>; this page is of the survey
                as it stands. <a href={officeLink(survey.id, 'options')}>Options</a>
              </p>
            </Notice>
          )}
          <h2 class="office-heading">{present.label}</h2>
          <present.Part open={open} />
        </div>
      </div>
    </Page>
  );
}

/** A few words beside each part: what one would open it for. */
function stateOf(part: PartName, open: OpenSurvey): string {
  const { survey, row, assessment } = open;
  switch (part) {
    case 'results':
      return assessment
        ? `${kilowatts(assessment.assessment.building.total_w)}${assessment.assessment.building.so_far ? ', so far' : ''}`
        : 'not yet';
    case 'came': {
      const parts = [
        row.contested.length > 0 ? `${row.contested.length} given twice` : '',
        row.refused_at_office > 0 ? `${row.refused_at_office} refused` : '',
      ].filter(Boolean);
      return parts.join(', ') || (row.office_at ? atTheOffice(row.office_at).toLowerCase() : 'not at the office');
    }
    case 'history':
      return counted(row.cursor, 'change');
    case 'design':
      return assessment?.assessment.flow ? celsius(assessment.assessment.flow.design_c) : '';
    case 'methods': {
      const missing = open.gaps.filter(isOfOffice).length;
      return missing > 0 ? gapWords(missing) : '';
    }
    case 'options':
      return countedYet(survey.ofKind('option').length, 'option');
    case 'works':
      return countedYet(survey.ofKind('scope_item').length, 'work');
    case 'price': {
      const quote = open.waiting === 0 ? lastAnswer<Quote>(`quote/${survey.id}`, row.cursor) : null;
      return quote ? pounds(quote.to_pay) : countedYet(survey.ofKind('price_line').length, 'line');
    }
    case 'reports':
      return row.latest_report === null ? 'none yet' : `version ${row.latest_report}`;
  }
}

const countedYet = (count: number, one: string): string => (count === 0 ? 'none yet' : counted(count, one));
