/** The prices of an article by day: the twin of `offers/article_prices.py`, held to it by `tests/golden/article_prices.json`. */
import type { Row, Values } from './model.ts';

/** A field of an article that has prices by day, and the one with the price before the first of them. */
export const PRICES = [
  { plain: 'selling_price', byDay: 'selling_prices', label: 'Selling price' },
  { plain: 'cost_price', byDay: 'cost_prices', label: 'Cost price' },
] as const;
export type PriceField = (typeof PRICES)[number];

const rowsOf = (values: Values, field: PriceField): Row[] => {
  const rows = values[field.byDay];
  return Array.isArray(rows) ? rows : [];
};

/** The day of the price that holds on a day: the newest that has come by then, null before the first. */
function begunBy(rows: readonly Row[], day: string): string | null {
  // Days are written from the year down, so their letters are in their own order.
  const begun = rows.map((row) => String(row['holds_from'])).filter((from) => from <= day);
  return begun.reduce<string | null>((newest, from) => (newest === null || from > newest ? from : newest), null);
}

/** What one costs from exactly this day on; null where nothing says so. Of two from the same day the later in the list holds. */
function priceFrom(values: Values, field: PriceField, from: string | null): string | null {
  const price =
    from === null
      ? values[field.plain]
      : rowsOf(values, field).findLast((row) => row['holds_from'] === from)?.['price'];
  return typeof price === 'string' ? price : null;
}

/** What one costs on a day, in pounds without VAT; null where nothing says so. */
export const priceOn = (values: Values, field: PriceField, day: string): string | null =>
  priceFrom(values, field, begunBy(rowsOf(values, field), day));

export interface Version {
  /** The day from which it holds; null for the price before the first day. */
  from: string | null;
  /** In the order of the fields that are asked for: the price, and whether it is the one of today. */
  prices: { price: string | null; holds: boolean }[];
}

/** The prices of an article in their order, the one without a day first. */
export function versionsOf(values: Values, fields: readonly PriceField[], today: string): Version[] {
  const days = [...new Set(fields.flatMap((field) => rowsOf(values, field).map((row) => String(row['holds_from']))))];
  return [null, ...days.sort()].map((from) => ({
    from,
    prices: fields.map((field) => {
      const price = priceFrom(values, field, from);
      return { price, holds: price !== null && begunBy(rowsOf(values, field), today) === from };
    }),
  }));
}

/** An article's prices with those of one more day, or in words why not: none is written over. */
export function withVersion(
  values: Values,
  from: string,
  prices: readonly { field: PriceField; price: string }[],
): { values: Values } | { why: string } {
  const taken = prices.find(({ field }) => priceFrom(values, field, from) !== null);
  if (taken) return { why: `There is a ${taken.field.label.toLowerCase()} from this day already. Take it out first.` };
  return {
    values: Object.fromEntries(
      prices.map(({ field, price }) => [
        field.byDay,
        [...rowsOf(values, field), { holds_from: from, price }].sort((a, b) =>
          String(a['holds_from']).localeCompare(String(b['holds_from'])),
        ),
      ]),
    ),
  };
}

/** An article's prices without those of one day, as far as they may be seen. */
export const withoutVersion = (values: Values, fields: readonly PriceField[], from: string): Values =>
  Object.fromEntries(
    fields
      .filter((field) => rowsOf(values, field).some((row) => row['holds_from'] === from))
      .map((field) => [field.byDay, rowsOf(values, field).filter((row) => row['holds_from'] !== from)]),
  );

/** A day as it is stored, by the clock of this phone. */
export function dayOf(moment: Date): string {
  const two = (value: number) => String(value).padStart(2, '0');
  return `${moment.getFullYear()}-${two(moment.getMonth() + 1)}-${two(moment.getDate())}`;
}
