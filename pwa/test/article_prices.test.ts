import cases from '../../tests/golden/article_prices.json';
import { describe, expect, test } from 'vitest';
import { dayOf, PRICES, priceOn, versionsOf, withoutVersion, withVersion } from '../src/domain/article_prices.ts';
import type { Row } from '../src/domain/model.ts';

interface Case {
  name: string;
  without_day: string | null;
  by_day: Row[] | null;
  holds: { day: string; price: string | null }[];
}
const CASES: Case[] = cases;
const [SELLING, COST] = PRICES;
const ARTICLE = {
  selling_price: '14.20',
  selling_prices: [
    { holds_from: '2027-04-01', price: '16.00' },
    { holds_from: '2027-01-04', price: '15.00' },
  ],
  cost_price: '6.85',
};

describe('the prices of an article by day', () => {
  test.each(CASES)('hold as the office says: $name', (item) => {
    for (const { day, price } of item.holds)
      for (const field of PRICES)
        expect(priceOn({ [field.plain]: item.without_day, [field.byDay]: item.by_day }, field, day)).toBe(price);
  });

  test('stand in their order, and the one of today is marked for each price by itself', () => {
    const versions = versionsOf(ARTICLE, PRICES, '2027-02-01');
    expect(versions.map((item) => item.from)).toEqual([null, '2027-01-04', '2027-04-01']);
    expect(versions.map((item) => item.prices.map((price) => price.holds))).toEqual([
      [false, true],
      [true, false],
      [false, false],
    ]);
    expect(versions[2]!.prices.map((price) => price.price)).toEqual(['16.00', null]);
  });

  test('take one more day in its order and write none over', () => {
    const more = withVersion(ARTICLE, '2027-03-01', [
      { field: SELLING, price: '15.50' },
      { field: COST, price: '7.00' },
    ]);
    expect(more).toEqual({
      values: {
        selling_prices: [
          { holds_from: '2027-01-04', price: '15.00' },
          { holds_from: '2027-03-01', price: '15.50' },
          { holds_from: '2027-04-01', price: '16.00' },
        ],
        cost_prices: [{ holds_from: '2027-03-01', price: '7.00' }],
      },
    });
    expect(withVersion(ARTICLE, '2027-01-04', [{ field: COST, price: '7.00' }])).toHaveProperty('values');
    expect(withVersion(ARTICLE, '2027-01-04', [{ field: SELLING, price: '1.00' }])).toEqual({
      why: 'There is a selling price from this day already. Take it out first.',
    });
  });

  test('lose one day and nothing else', () => {
    expect(withoutVersion(ARTICLE, PRICES, '2027-01-04')).toEqual({
      selling_prices: [{ holds_from: '2027-04-01', price: '16.00' }],
    });
  });

  test('go by the day of this phone', () => {
    expect(dayOf(new Date(2027, 0, 4, 0, 30))).toBe('2027-01-04');
  });
});
