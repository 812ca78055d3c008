/** What is left over of the price: shut until somebody of the office opens it, since a household may be looking on. */
import { useState } from 'preact/hooks';
import { pounds, type Margin } from '../../domain/office.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { fetchMargin } from '../../sync/office.ts';
import { counted } from '../../domain/words.ts';
import { Trouble } from './parts.tsx';
import { useRemote } from './remote.ts';

export function PriceMargin({ open }: { open: OpenSurvey }) {
  const [isOpen, setOpen] = useState(false);
  // The book says the role; the office itself refuses everybody else.
  if (open.role !== 'office' || open.row.cursor === 0) return null;
  return (
    <details open={isOpen} onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>Margin, for the office only</summary>
      {isOpen && <Shown open={open} />}
    </details>
  );
}

function Shown({ open }: { open: OpenSurvey }) {
  const { survey, row, book } = open;
  const remote = useRemote(`margin/${survey.id}`, `${row.cursor}/${book}`, () => fetchMargin(survey.id));
  const margin = remote.value;
  const names = new Map(survey.ofKind('price_line').map((line) => [`price_line/${line.id}`, line.values['what']]));
  const isOld = open.waiting > 0 || remote.version !== `${row.cursor}/${book}`;
  return (
    <>
      <Trouble words={remote.trouble} isShown={margin !== null} onAgain={() => void remote.refresh()} />
      {margin && (
        <div class={isOld ? 'sheet is-old' : 'sheet'}>
          {isOld && (
            <p role="status">
              <b>As it was before the last change.</b>
            </p>
          )}
          <table class="totals">
            <thead>
              <tr>
                <th scope="col">Line</th>
                <th scope="col" class="number">
                  Costs us
                </th>
                <th scope="col" class="number">
                  Left over
                </th>
                <th scope="col" class="number">
                  %
                </th>
              </tr>
            </thead>
            <tbody>
              {margin.lines.map((line) => (
                <tr key={line.record} class="totals-group">
                  <th scope="row">{String(names.get(line.record) ?? 'A line without words')}</th>
                  <MarginCells {...line} />
                </tr>
              ))}
              <tr>
                <th scope="row">In all</th>
                <MarginCells {...margin} />
              </tr>
            </tbody>
          </table>
          {margin.cost_unknown > 0 && (
            <p>
              Without {counted(margin.cost_unknown, 'line')} that the price book has no cost price for. Grants and
              discounts off the whole price are not counted.
            </p>
          )}
        </div>
      )}
    </>
  );
}

function MarginCells({ cost, left, percent }: Pick<Margin, 'percent'> & { cost: string | null; left: string | null }) {
  return (
    <>
      <td class="number">{cost === null ? 'not known' : pounds(cost)}</td>
      <td class="number">{left === null ? '–' : pounds(left)}</td>
      <td class="number">{percent === null ? '–' : percent}</td>
    </>
  );
}
