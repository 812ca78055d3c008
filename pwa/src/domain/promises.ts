/** What a firm promises and asks with every quotation, as the office keeps it and as it is typed. */

export interface FirmPromises {
  valid_days: number | null;
  lead_weeks: number | null;
  stages: { percent: string; words: string; is_deposit: boolean }[];
  exclusions: string;
  assumptions: string;
}
export interface TypedStage {
  percent: string;
  words: string;
}
export interface TypedPromises {
  valid_days: string;
  lead_weeks: string;
  stages: TypedStage[];
  has_deposit: boolean;
  exclusions: string;
  assumptions: string;
}

export const asTyped = (firm: FirmPromises): TypedPromises => ({
  valid_days: firm.valid_days === null ? '' : String(firm.valid_days),
  lead_weeks: firm.lead_weeks === null ? '' : String(firm.lead_weeks),
  stages: firm.stages.map(({ percent, words }) => ({ percent, words })),
  has_deposit: firm.stages[0]?.is_deposit ?? false,
  exclusions: firm.exclusions,
  assumptions: firm.assumptions,
});

/** A share in hundredths of a percent, which add up without a rest; null for what is none. */
function hundredths(percent: string): number | null {
  const found = /^(\d{1,3})(?:[.,](\d{1,2}))?$/.exec(percent.trim().replace(/\s*%$/, ''));
  return found ? Number(found[1]) * 100 + Number((found[2] ?? '').padEnd(2, '0')) : null;
}

const plain = (share: number): string => String(share / 100);

/** What the shares come to, in percent; null while one of them is no number. */
export function addedUp(stages: readonly TypedStage[]): string | null {
  let all = 0;
  for (const { percent } of stages) {
    const share = hundredths(percent);
    if (share === null) return null;
    all += share;
  }
  return `${plain(all)} %`;
}

function wholeNumber(text: string): number | null | undefined {
  if (text.trim() === '') return null;
  return /^\d{1,3}$/.test(text.trim()) ? Number(text) : undefined;
}

/** What was typed as the office takes it, or why not; whether the shares come to 100 % is the office's word. */
export function asPromised(
  typed: TypedPromises,
): { promises: FirmPromises } | { problem: { field: string; words: string } } {
  const valid_days = wholeNumber(typed.valid_days);
  const lead_weeks = wholeNumber(typed.lead_weeks);
  if (valid_days === undefined)
    return { problem: { field: 'valid_days', words: 'Expected a number of days, or nothing.' } };
  if (lead_weeks === undefined)
    return { problem: { field: 'lead_weeks', words: 'Expected a number of weeks, or nothing.' } };
  const stages: FirmPromises['stages'] = [];
  for (const [place, { percent, words }] of typed.stages.entries()) {
    const share = hundredths(percent);
    if (share === null)
      return {
        problem: { field: 'stages', words: `Payment ${place + 1}: expected a share in percent, such as 25 or 33.33.` },
      };
    if (words.trim() === '')
      return { problem: { field: 'stages', words: `Payment ${place + 1}: say when it is due.` } };
    stages.push({ percent: plain(share), words: words.trim(), is_deposit: place === 0 && typed.has_deposit });
  }
  return {
    promises: { valid_days, lead_weeks, stages, exclusions: typed.exclusions, assumptions: typed.assumptions },
  };
}
