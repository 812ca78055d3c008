/** Price lines and what they hang on: the edits that draw a line, take a change over, or keep the line as it is. */
import type { ChangedLine, DrawnFrom, SuggestedLine } from './assessment.ts';
import type { Row, Values } from './model.ts';

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
