/** Price lines and what they hang on: the edits that draw a line, take a change over, or keep the line as it is. */
import type { ChangedLine, DrawnFrom, SuggestedLine } from './assessment.ts';
import type { Row, Values } from './model.ts';
import { newId } from './ids.ts';
import { optionEdit, ownEdits, ownOf, saidBy, underOption, unsaid } from './options.ts';
import type { Edit, Survey, SurveyRecord } from './survey.ts';

const rowsOf = (basis: readonly DrawnFrom[]): Row[] =>
  basis.map(({ record, field, value, words }) => ({ record, field, value, words }));

/** The values of a line that is drawn from what the survey asks for. */
export const drawnValues = (item: SuggestedLine): Values => ({
  what: item.what,
  part_of: item.part_of,
  quantity: Number(item.quantity),
  unit: item.unit,
  drawn_from: item.drawn_from,
  ...(item.drawn_as ? { drawn_as: item.drawn_as } : {}),
  ...(item.vat_rate ? { vat_rate: item.vat_rate } : {}),
  ...(item.kind === undefined || item.kind === 'charge' ? {} : { is_credit: item.kind }),
  ...(item.unit_price ? { unit_price: item.unit_price } : {}),
  ...(item.basis?.length ? { drawn_basis: rowsOf(item.basis) } : {}),
});

/** The edits that draw a line: in the survey, or in the one option that asks for it (`only_in`). */
export async function drawnEdits(item: SuggestedLine): Promise<Edit[]> {
  const line = { kind: 'price_line', id: newId(), values: drawnValues(item) };
  return item.only_in ? ownEdits(item.only_in, line, item.what) : [line];
}

const storedValues = (item: ChangedLine, article: readonly DrawnFrom[]): Values => {
  const basis = [...item.basis, ...article];
  return { drawn_from: item.drawn_from, drawn_basis: basis.length > 0 ? rowsOf(basis) : null };
};

/** What keeping a line stores: that somebody has looked at what it hangs on now. */
export const keptValues = (item: ChangedLine): Values => storedValues(item, item.kept_article ?? []);

/** What taking a change over stores. A price that was another thing's goes, unless an article of the new thing brings its own. */
export const takenOverValues = (item: ChangedLine): Values => ({
  ...(item.what === null ? {} : { what: item.what }),
  ...(item.quantity === null ? {} : { quantity: Number(item.quantity) }),
  ...(item.unit ? { unit: item.unit } : {}),
  ...(item.unit_price === null ? {} : { unit_price: item.unit_price }),
  ...(item.vat_rate ? { vat_rate: item.vat_rate } : {}),
  ...(item.drops_price ? { unit_price: null } : {}),
  ...storedValues(item, item.article ?? []),
});

/** The option that is offered, while it is there; null for the survey as it stands. */
export function offeredOption(survey: Survey): string | null {
  const offered = survey.single('design')?.values['offered'];
  return survey.find('option', offered)?.id ?? null;
}

/** Price lines as they are offered, in the order that the office gave them; those without a place come last, as `among` has them. */
export function offeredLines(survey: Survey, among: (line: SurveyRecord) => number): SurveyRecord[] {
  const offered = offeredOption(survey);
  const own = survey.ofKind('price_line');
  const lines = offered
    ? [...own.map((line) => underOption(survey, offered, line)), ...ownOf(survey, offered, 'price_line')]
    : own;
  const placeOf = (line: SurveyRecord): number =>
    typeof line.values['order'] === 'number' ? line.values['order'] : Number.POSITIVE_INFINITY;
  return lines
    .filter((line) => line.values['deleted'] !== true)
    .sort((one, other) => compared(placeOf(one), placeOf(other)) || among(one) - among(other));
}

const compared = (one: number, other: number): number => (one === other ? 0 : one < other ? -1 : 1);

/**
 * The edits that write a price line as it is offered. What an offered option has otherwise is written there, and so is what `isSettled`, since in the
 * survey as it stands nothing of it has changed; everything else is the line's own.
 */
export async function lineEdits(survey: Survey, line: string, values: Values, isSettled = false): Promise<Edit[]> {
  const offered = offeredOption(survey);
  const record = survey.find('price_line', line);
  // A line that the survey does not have is the option's alone: whatever is said of it is said there.
  if (offered && !record && ownOf(survey, offered, 'price_line').some((item) => item.id === line)) {
    if (values['deleted'] === true) return unsaid(survey, offered, `price_line/${line}`);
    const nothing = { kind: 'price_line', id: line, values: {} };
    return Promise.all(
      Object.entries(values).map(([name, value]) => optionEdit(offered, nothing, name, value, 'Price line')),
    );
  }
  const own: Values = {};
  const edits: Edit[] = [];
  const said = offered ? saidBy(survey, offered, 'price_line', line) : {};
  for (const [name, value] of Object.entries(values)) {
    if (offered && record && (isSettled || name in said))
      edits.push(await optionEdit(offered, record, name, value, String(record.values['what'] ?? 'Price line')));
    else own[name] = value;
  }
  return Object.keys(own).length > 0 ? [{ kind: 'price_line', id: line, values: own }, ...edits] : edits;
}

/** The edits that put a line one place up or down: every line whose place is another then gets it. */
export function movedEdits(lines: readonly SurveyRecord[], line: string, by: -1 | 1): Edit[] {
  const order = lines.map((item) => item.id);
  const from = order.indexOf(line);
  const to = from + by;
  if (from < 0 || to < 0 || to >= order.length) return [];
  order.splice(to, 0, ...order.splice(from, 1));
  const places = new Map(lines.map((item) => [item.id, item.values['order']]));
  return order.flatMap((id, place) =>
    places.get(id) === place + 1 ? [] : [{ kind: 'price_line', id, values: { order: place + 1 } }],
  );
}
