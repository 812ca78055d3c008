/** Hot water, before the cylinder cupboard: what is needed, what is there, and which sizes of cylinder go into the place that was measured. */
import { kindOf } from '../../domain/model.ts';
import { ForOffice, RecordForm } from '../../forms/RecordForm.tsx';
import { Page } from '../../ui/Page.tsx';
import { PhotoStrip } from '../photos/PhotoStrip.tsx';
import { backFrom } from '../Record.tsx';
import { FindingsHere } from '../results/FindingsHere.tsx';
import type { RecordScreenProps } from '../props.ts';
import { CylinderTrials } from './CylinderTrials.tsx';

/** The group that measures the cupboard: the trial of what goes in stands in it. */
const CUPBOARD = 'new';

export function HotWaterScreen({ open, record, query }: RecordScreenProps) {
  const kind = kindOf(record.kind);
  const focus = query.get('field');
  return (
    <Page
      title={kind.label}
      over={open.survey.name()}
      back={backFrom(open, record)}
      backWords={kind.plural.toLowerCase()}
    >
      <p>{kind.help}</p>
      <RecordForm
        open={open}
        record={record}
        focus={focus}
        folds
        within={(group, questions) => [questions, group === CUPBOARD && <CylinderTrials open={open} record={record} />]}
      />
      <ForOffice open={open} record={record} focus={focus} />
      <PhotoStrip open={open} record={record} />
      <FindingsHere open={open} records={[record]} />
    </Page>
  );
}
