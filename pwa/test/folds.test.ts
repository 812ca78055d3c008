/** Which groups of a form stand open, what holds one open, and what is said of one that is folded. */
import { afterEach, expect, test, vi } from 'vitest';
import { findGaps } from '../src/domain/gaps.ts';
import { kindOf, type Values } from '../src/domain/model.ts';
import { Survey } from '../src/domain/survey.ts';
import { hasDraft, keepDraft } from '../src/forms/drafts.ts';
import { heldBy, isHeld, missingIn, openAtFirst, saidOf, type AskedGroup, type Asking } from '../src/forms/folds.ts';
import { Line } from '../src/forms/line.ts';
import { keep } from '../src/forms/saving.tsx';

const PATH = 's/survey/one';

function asking(values: Values, more: Partial<Asking['open']> = {}): Asking {
  const survey = new Survey('s', [{ kind: 'survey', id: 'one', values }]);
  const row = { contested: [] } as unknown as Asking['open']['row'];
  return {
    open: { survey: survey as unknown as Asking['open']['survey'], row, refused: [], gaps: findGaps(survey), ...more },
    record: survey.find('survey', 'one')!,
  };
}

const groups: AskedGroup[] = kindOf('survey')
  .groups.map((group) => ({
    ...group,
    fields: kindOf('survey').fields.filter((field) => field.group === group.name && field.answered !== 'office'),
  }))
  .filter((group) => group.fields.length > 0);
const fieldsOf = (group: string) => groups.find((item) => item.name === group)!.fields;
const open = (about: Asking, focus?: string) => openAtFirst(about, groups, focus).map((group) => group.name);

const WHO = {
  household_name: 'Quince',
  address: '3 Mill Row',
  postcode: 'LS40 0VK',
  contact_email: 'quince@example.org',
  visit_date: '2026-11-28',
  surveyor: 'Demo',
};
const HOUSE = { age_band: 'D', bedrooms: 3, occupants: 2 };
const ALL = { ...WHO, ...HOUSE, design_location: 'leeming', draught_lobby: false, present_fuel: 'gas' };

afterEach(() => {
  vi.unstubAllGlobals();
  for (const field of ['altitude_m', 'altitude_m/0/length_m', 'altitude_more']) keepDraft(`${PATH}/${field}`, null);
});

test('the first group that wants an answer stands open, then the first that nobody answered, then none', () => {
  expect(open(asking({}))).toEqual(['who']);
  expect(open(asking(WHO))).toEqual(['house']);
  expect(open(asking({ ...WHO, ...HOUSE }))).toEqual(['place']);
  const { draught_lobby: _lobby, ...withoutDraughts } = ALL;
  expect(open(asking(withoutDraughts))).toEqual(['draughts']);
  expect(open(asking(ALL))).toEqual([]);
});

test('before the gaps are looked for, what is declared as needed decides', () => {
  const ahead = { isAhead: true, gaps: [] };
  expect(open(asking(WHO, ahead))).toEqual(['house']);
  expect(open(asking(ALL, ahead))).toEqual([]);
  expect(missingIn(asking(WHO, ahead), fieldsOf('house'))).toBe(3);
  expect(missingIn(asking(WHO), fieldsOf('house'))).toBe(3);
});

test('the field that the address asks for opens its group and no other', () => {
  expect(open(asking({}), 'altitude_m')).toEqual(['place']);
});

test('a text that is not stored holds its group open, in a row of the field too, and no other field of a like name', () => {
  const field = fieldsOf('place').find((item) => item.name === 'altitude_m')!;
  expect(isHeld(asking(ALL), field)).toBe(false);
  keepDraft(`${PATH}/altitude_more`, 'high');
  expect(isHeld(asking(ALL), field)).toBe(false);
  keepDraft(`${PATH}/altitude_m`, 'high');
  expect(open(asking(ALL))).toEqual(['place']);
  keepDraft(`${PATH}/altitude_m`, null);
  keepDraft(`${PATH}/altitude_m/0/length_m`, 'long');
  expect(hasDraft(`${PATH}/altitude_m`)).toBe(true);
  expect(open(asking(ALL))).toEqual(['place']);
});

test("an answer that the office refused, and two people's answers, hold their group open", () => {
  const at = { survey: 's', kind: 'survey', record: 'one' };
  const refused = [{ ...at, field: 'present_use_kwh' }] as unknown as Asking['open']['refused'];
  expect(open(asking(ALL, { refused }))).toEqual(['now']);
  const elsewhere = [{ ...at, record: 'other', field: 'present_use_kwh' }] as unknown as Asking['open']['refused'];
  expect(open(asking(ALL, { refused: elsewhere }))).toEqual([]);
  const { survey: _survey, ...record } = at;
  const row = { contested: [{ ...record, field: 'bedrooms', values: [] }] } as unknown as Asking['open']['row'];
  expect(open(asking(ALL, { row }))).toEqual(['house']);
});

test('answers are said in the words of the model with their units, and a number says of what it is', () => {
  const about = asking({ ...ALL, altitude_m: 64, exposure: 'exposed', aims: 'Warm feet' });
  expect(saidOf(about, fieldsOf('place'))).toBe('Leeming · Height above the sea 64\u00a0m · Exposed');
  expect(saidOf(about, fieldsOf('now'))).toBe('Mains gas · Warm feet');
  expect(saidOf(about, fieldsOf('draughts'))).toBe('Draught lobby at the main door No');
  expect(saidOf(asking({}), fieldsOf('house'))).toBe('');
});

test('a line that is being stored is asked about once it has let go of its draft, however late that is', async () => {
  vi.stubGlobal('document', { activeElement: null });
  vi.stubGlobal('HTMLElement', class {});
  let take: () => void = () => undefined;
  const taken = new Promise<void>((done) => (take = done));
  const line = new Line<number>(
    {
      path: `${PATH}/altitude_m`,
      read: (text) => ({ ok: true, value: Number(text) }),
      save: async () => {
        const isKept = await keep(() => taken);
        // Others hear of what was stored before the line does.
        await new Promise((done) => setTimeout(done, 5));
        return isKept;
      },
    },
    () => undefined,
  );
  line.type('120');
  const left = line.leave();
  const asked = heldBy(asking(ALL), fieldsOf('place'));
  take();
  expect(await asked).toEqual({ isKept: true, by: undefined });
  expect(hasDraft(`${PATH}/altitude_m`)).toBe(false);
  await left;
});
