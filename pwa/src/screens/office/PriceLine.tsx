/** One line of the price in its table: its answers, what is wrong with it, and behind one tap its place, group and discount. */
import { useState } from 'preact/hooks';
import type { ChangedLine as Changed } from '../../domain/assessment.ts';
import { pathOf } from '../../domain/changes.ts';
import { loggedWords } from '../../domain/contested.ts';
import { lineEdits } from '../../domain/lines.ts';
import { fieldOf, type Values } from '../../domain/model.ts';
import { pounds } from '../../domain/office.ts';
import { RecordForm } from '../../forms/RecordForm.tsx';
import { keep } from '../../forms/saving.tsx';
import type { SurveyRecord } from '../../domain/survey.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { saveEdits } from '../../store/surveys.ts';
import { Cell } from '../../ui/Cards.tsx';
import { Question } from '../../ui/Confirm.tsx';
import { CellInput } from './CellInput.tsx';
import { ChangedLine } from './ChangedLine.tsx';

export const COLUMNS = ['what', 'part_of', 'quantity', 'unit', 'unit_price', 'vat_rate', 'is_credit'] as const;
export const HEADS: Record<(typeof COLUMNS)[number], string> = {
  what: 'What',
  part_of: 'Part of',
  quantity: 'Quantity',
  unit: 'Counted in',
  unit_price: 'One costs, £',
  vat_rate: 'VAT',
  is_credit: 'Kind',
};

/** What stands behind the tap. */
const MORE = ['group', 'is_hidden', 'discount_percent', 'discount_pounds', 'is_optional'];

/** What a line says beside its cells, in words; empty where it says nothing. */
function toldOf(values: Values): string {
  const off = values['discount_percent']
    ? `${String(values['discount_percent'])} % off`
    : values['discount_pounds']
      ? `${pounds(String(values['discount_pounds']))} off`
      : '';
  return [
    values['group'] ? `Group: ${String(values['group'])}` : '',
    off,
    values['is_hidden'] === true ? 'only in its group’s sum' : '',
    values['is_optional'] === true ? 'the household may choose it; not in the sum' : '',
  ]
    .filter(Boolean)
    .join(' · ');
}

/** `undefined`: the office has not added it up since it changed; `null`: it cannot be added up. */
export function PriceLine({
  open,
  line,
  place,
  changed,
  amount,
  onMove,
}: {
  open: OpenSurvey;
  line: SurveyRecord;
  place: number;
  changed: Changed | undefined;
  amount: string | null | undefined;
  onMove: { up?: (() => void) | undefined; down?: (() => void) | undefined };
}) {
  const { survey } = open;
  const [isOpen, setOpen] = useState(false);
  const [problems, setProblems] = useState<Partial<Record<string, string | null>>>({});
  const [isAsking, setAsking] = useState(false);
  const isCredit = line.values['is_credit'] === 'grant' || line.values['is_credit'] === 'discount';
  const refused = open.refused
    .filter((item) => item.kind === 'price_line' && item.record === line.id)
    .map(
      (item) =>
        `The office refused ${loggedWords(survey, item.kind, item.field, item.value)}: ${item.problem.message} Answer again to replace it.`,
    );
  const twice = open.row.contested
    .filter((item) => item.record === line.id)
    .map((item) => `${item.label} was answered twice: pick one under ‘What came’.`);
  const words = [
    ...Object.values(problems)
      .filter(Boolean)
      .map((problem) => `Not saved: ${problem}`),
    ...refused,
    ...twice,
  ];
  const write = async (values: Values, isSettled = false) =>
    saveEdits(survey.id, await lineEdits(survey, line.id, values, isSettled));
  const remove = () => keep(() => write({ deleted: true }, changed !== undefined));
  const settle = (values: Values) => void keep(() => write(values, true));
  const told = toldOf(line.values);
  const name = typeof line.values['what'] === 'string' ? line.values['what'] : `line ${place}`;
  return (
    <>
      <tr role="row" id={`line-${line.id}`}>
        {COLUMNS.map((column) => (
          <Cell key={column} label={HEADS[column]} class={`price-${column}`}>
            {column === 'vat_rate' && isCredit ? (
              <span class="price-none">after VAT</span>
            ) : (
              <CellInput
                key={pathOf({ survey: survey.id, kind: 'price_line', record: line.id, field: column })}
                survey={survey.id}
                record={line}
                field={fieldOf('price_line', column)}
                label={`${HEADS[column]}, line ${place}`}
                describedBy={`problems-${line.id}`}
                onProblem={(problem) => setProblems((before) => ({ ...before, [column]: problem }))}
                onSave={write}
              />
            )}
          </Cell>
        ))}
        <Cell label="Amount" isNumber class="price-amount">
          {amount === undefined ? '…' : amount === null ? '–' : `${isCredit ? '−' : ''}${pounds(amount)}`}
        </Cell>
        <Cell label="" class="price-remove">
          <button
            type="button"
            class="button button-quiet"
            aria-expanded={isOpen}
            onClick={() => setOpen((before) => !before)}
          >
            <svg viewBox="0 0 20 20" width="18" height="18" aria-hidden="true">
              <path d="M4 6 H16 M4 10 H16 M4 14 H10" class="line" />
            </svg>
            <span class="price-remove-words">More</span>
            <span class="hidden-words"> of {name}: group, discount, place</span>
          </button>
          <button type="button" class="button button-quiet" onClick={() => setAsking(true)}>
            <svg viewBox="0 0 20 20" width="18" height="18" aria-hidden="true">
              <path d="M4 4 L16 16 M16 4 L4 16" class="line" />
            </svg>
            <span class="price-remove-words">Take away</span>
            <span class="hidden-words"> {name}</span>
          </button>
        </Cell>
      </tr>
      {(words.length > 0 || isAsking || changed || isOpen || told) && (
        <tr role="row" class="cards-whole">
          <td role="cell" colSpan={COLUMNS.length + 2}>
            <div id={`problems-${line.id}`} role="alert">
              {words.map((text) => (
                <p key={text} class="field-problem">
                  {text}
                </p>
              ))}
            </div>
            {told && <p class="price-told">{told}</p>}
            {isOpen && (
              <div class="price-more" role="group" aria-label={`More of ${name}`}>
                <div class="buttons">
                  {/* At either end the key that led there keeps the focus: out of use, it would lose it. */}
                  <button type="button" class="button" aria-disabled={!onMove.up} onClick={onMove.up}>
                    Move up<span class="hidden-words"> {name}</span>
                  </button>
                  <button type="button" class="button" aria-disabled={!onMove.down} onClick={onMove.down}>
                    Move down<span class="hidden-words"> {name}</span>
                  </button>
                </div>
                <RecordForm
                  open={open}
                  record={line}
                  only={isCredit ? ['group'] : MORE}
                  onSave={(field) => (value) => write({ [field.name]: value })}
                  answered="both"
                  isPlain
                />
              </div>
            )}
            {changed && <ChangedLine item={changed} onSettle={settle} onRemove={() => setAsking(true)} />}
            {isAsking && (
              <Question
                words={`Take away ‘${name}’ from the price?`}
                yes="Take it away"
                onYes={() => void remove()}
                onNo={() => setAsking(false)}
              />
            )}
          </td>
        </tr>
      )}
    </>
  );
}
