/** Hot water, before the cylinder cupboard: what is needed, what is there, and which sizes of cylinder go into the place that was measured. */
import { kindOf } from '../../domain/model.ts';
import { ForOffice, RecordForm } from '../../forms/RecordForm.tsx';
import { Page } from '../../ui/Page.tsx';
import { PhotoStrip } from '../photos/PhotoStrip.tsx';
import { backFrom } from '../Record.tsx';
import { FindingsHere } from '../results/FindingsHere.tsx';
import type { RecordScreenProps } from '../props.ts';
import { CylinderTrials } from './CylinderTrials.tsx';

/** The groups that are answered before the cupboard; the trial stands right behind them. */
const BEFORE = ['need', 'now', 'new'];

export function HotWaterScreen({ open, record, query }: RecordScreenProps) {
  const kind = kindOf(record.kind);
  const focus = query.get('field');
  const rest = kind.groups.map((group) => group.name).filter((name) => !BEFORE.includes(name));
  return (
    <Page
      title={kind.label}
      over={open.survey.name()}
      back={backFrom(open, record)}
      backWords={kind.plural.toLowerCase()}
    >
      <p>{kind.help}</p>
      <RecordForm open={open} record={record} groups={BEFORE} focus={focus} />
      <CylinderTrials open={open} record={record} />
      <RecordForm open={open} record={record} groups={rest} focus={focus} />
      <ForOffice open={open} record={record} focus={focus} />
      <PhotoStrip open={open} record={record} />
      <FindingsHere open={open} records={[record]} />
    </Page>
  );
}
