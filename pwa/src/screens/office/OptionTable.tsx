/** One table of what the survey as it stands and each option come to; what differs is told by a sign, a word and weight. */
import type { ComponentChildren } from 'preact';
import { celsius, lowestCelsius, type OptionRow } from '../../domain/assessment.ts';
import { NBSP, plainNumber } from '../../domain/check.ts';
import { pounds } from '../../domain/office.ts';
import { counted } from '../../domain/words.ts';

export interface Column {
  /** Empty for the survey as it stands. */
  id: string;
  name: string;
  /** Null while it has not been worked out. */
  row: OptionRow | null;
  /** It is being worked out anew. */
  isOld: boolean;
  /** It could not be worked out here. */
  isFaulty?: boolean;
}

const NOT_SAID = 'not known';
const number = (value: number | null, unit: string, decimals: number): string =>
  value === null ? NOT_SAID : `${plainNumber(value, decimals)}${unit}`;
const whole = (amount: string): string => pounds(amount).replace(/\.\d\d$/, '');

function price(row: OptionRow, amount: string): string {
  if (!row.has_price) return 'no price yet';
  return row.price_open > 0 ? `${pounds(amount)} so far, ${row.price_open} open` : pounds(amount);
}

function noise(row: OptionRow): string {
  if (row.noise_dba === null || row.noise_margin_db === null) return NOT_SAID;
  const by = plainNumber(Math.abs(row.noise_margin_db), 1);
  const kept = row.noise_margin_db >= 0;
  return `${plainNumber(row.noise_dba, 1)}${NBSP}dB(A), ${by} dB ${kept ? 'within the limit' : 'over the limit'}`;
}

const FIGURES: readonly [string, (row: OptionRow) => string][] = [
  ['Outdoor unit', (row) => row.unit || 'not chosen'],
  ['Flow temperature', (row) => celsius(row.flow_c)],
  [
    'Rooms left cold',
    (row) =>
      row.rooms_cold.length === 0 ? 'none' : `${row.rooms_cold.length} of ${row.rooms}: ${row.rooms_cold.join(', ')}`,
  ],
  [
    'Lowest flow that serves all',
    (row) => `${lowestCelsius(row.lowest_c)}${row.lowest_set_by ? `, ${row.lowest_set_by}` : ''}`,
  ],
  ['Seasonal efficiency', (row) => number(row.efficiency, '', 2)],
  [
    'A year’s running cost',
    (row) =>
      row.cost_low === null || row.cost_high === null ? NOT_SAID : `${whole(row.cost_low)} to ${whole(row.cost_high)}`,
  ],
  ['Sound at the neighbour', noise],
  ['Hot water at the tap', (row) => number(row.at_the_tap_l, ' l', 0)],
  ['Findings', (row) => `${row.stops === 0 ? 'no stop' : counted(row.stops, 'stop')}, ${counted(row.checks, 'check')}`],
  ['Price with VAT', (row) => price(row, row.gross)],
  ['Left to pay', (row) => `${price(row, row.left)}${row.hangs_on_grant ? ', if the grant is approved' : ''}`],
];

export function OptionTable({ columns }: { columns: Column[] }) {
  const base = columns[0]?.row ?? null;
  const soFar = columns.find((column) => column.row?.so_far)?.row?.so_far;
  return (
    <>
      <div class="sheet options-scroll" role="region" aria-label="Options side by side" tabIndex={0}>
        <table class="options-table" role="table" data-columns={columns.length}>
          <thead>
            <tr role="row">
              <th scope="col" role="columnheader">
                What it comes to
              </th>
              {columns.map((column) => (
                <th key={column.id} scope="col" role="columnheader">
                  {column.name}
                  {column.row?.is_offered && <small class="option-offered">✓ offered</small>}
                  <small role="status">
                    {column.isFaulty
                      ? 'could not be worked out here'
                      : column.row === null
                        ? 'being worked out'
                        : column.isOld
                          ? 'being worked out anew'
                          : ''}
                  </small>
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {FIGURES.map(([label, words]) => (
              <tr key={label} role="row">
                <th scope="row" role="rowheader">
                  {label}
                </th>
                {columns.map((column) => (
                  <Figure key={column.id} base={base} column={column} words={words} />
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {soFar && <p>{`Every figure is ${soFar}.`}</p>}
      {columns.length > 1 && (
        <p class="field-notes">
          <b>≠</b> and bold: another figure than the survey as it stands.
        </p>
      )}
    </>
  );
}

function Figure({
  base,
  column,
  words,
}: {
  base: OptionRow | null;
  column: Column;
  words: (row: OptionRow) => string;
}) {
  if (!column.row) return <td role="cell">…</td>;
  const said: ComponentChildren = words(column.row);
  const differs = column.id !== '' && base !== null && words(base) !== said;
  return (
    <td
      role="cell"
      class={[differs ? 'option-differs' : '', column.isOld ? 'is-old' : ''].filter(Boolean).join(' ') || undefined}
    >
      {differs && (
        <>
          <span aria-hidden="true">≠ </span>
          <span class="hidden-words">differs: </span>
        </>
      )}
      {said}
    </td>
  );
}
