/** Answers that are tapped or picked from a list: a choice, yes or no, another record. */
import { useState } from 'preact/hooks';
import { type Choice, kindOf } from '../domain/model.ts';
import type { InputProps } from './field_props.ts';
import { recordWords } from './names.ts';

/** More choices than these are a list that opens; those with a hint below their words take more room each. */
const MOST = 7;
const MOST_WITH_HINTS = 6;
/** Words longer than this take the width that they need. */
const LONG = 15;

/** A hint below its words wants the whole width of a phone; long words stand beside others where both fit. */
const widthOf = (choices: readonly Choice[]): string =>
  choices.some((item) => item.hint)
    ? ' choices-long'
    : choices.some((item) => item.label.length > LONG)
      ? ' choices-words'
      : '';

/** Whether a choice stands in a list that opens, and not as buttons. */
export const isListed = (choices: readonly Choice[]): boolean =>
  choices.length > (choices.some((item) => item.hint) ? MOST_WITH_HINTS : MOST);

export function ChoiceInput({ field, value, choices: narrower, id, describedBy, pick, folds }: InputProps) {
  const [isUnfolded, setUnfolded] = useState(false);
  const all = narrower ?? field.choices ?? [];
  // A value of a newer office, or one outside the narrower choices, stays visible.
  const choices =
    typeof value === 'string' && !all.some((item) => item.value === value)
      ? [
          ...all,
          field.choices?.find((item) => item.value === value) ?? {
            value,
            label: value,
            hint: 'not known to this version',
          },
        ]
      : all;
  const chosen = choices.find((item) => item.value === value);
  if (!folds && isListed(all)) {
    return (
      <>
        <select
          id={id}
          class="input"
          aria-describedby={describedBy}
          value={chosen?.value ?? ''}
          onChange={(event) => void pick(event.currentTarget.value || null)}
        >
          <option value="">Not answered</option>
          {choices.map((item) => (
            <option key={item.value} value={item.value}>
              {item.hint ? `${item.label}: ${item.hint}` : item.label}
            </option>
          ))}
        </select>
      </>
    );
  }
  const isFolded = folds === true && chosen !== undefined && !isUnfolded;
  const take = async (next: string) => {
    if (isFolded) return setUnfolded(true);
    await pick(next === value ? null : next);
    // Only once it is stored: folded before, it would show the answer that was.
    setUnfolded(false);
  };
  return (
    <div class={`choices${widthOf(choices)}`}>
      {(isFolded ? [chosen] : choices).map((item) => (
        <button
          key={item.value}
          type="button"
          class="choice"
          aria-pressed={item.value === value}
          aria-expanded={isFolded ? false : undefined}
          onClick={() => void take(item.value)}
        >
          <span class="choice-words">
            <span>{item.label}</span>
            {item.hint && !isFolded && <small>{item.hint}</small>}
          </span>
          {isFolded && <span class="choice-other">Change</span>}
        </button>
      ))}
    </div>
  );
}

export function YesNo({ value, pick }: InputProps) {
  return (
    <div class="choices choices-two">
      {(
        [
          [true, 'Yes'],
          [false, 'No'],
        ] as const
      ).map(([answer, words]) => (
        <button
          key={words}
          type="button"
          class="choice"
          aria-pressed={value === answer}
          onClick={() => void pick(value === answer ? null : answer)}
        >
          <span class="choice-words">{words}</span>
        </button>
      ))}
    </div>
  );
}

export function ReferenceInput({ open, record, field, value, choices, id, describedBy, pick }: InputProps) {
  const options = (field.refers_to ?? [])
    .flatMap((kind) => open.survey.ofKind(kind).filter((item) => item.id !== record.id))
    .filter((item) => !choices || item.id === value || choices.some((choice) => choice.value === item.id));
  const isLost = typeof value === 'string' && !options.some((item) => item.id === value);
  return (
    <>
      <select
        id={id}
        class="input"
        aria-describedby={describedBy}
        value={typeof value === 'string' ? value : ''}
        onChange={(event) => void pick(event.currentTarget.value || null)}
      >
        <option value="">
          {options.length === 0
            ? `Nothing to choose from yet: ${(field.refers_to ?? [])
                .map((kind) => kindOf(kind).label.toLowerCase())
                .slice(0, 3)
                .join(', ')}`
            : (field.empty_means ?? 'Not answered')}
        </option>
        {isLost && <option value={value}>A record that is gone</option>}
        {options.map((item) => (
          <option key={item.id} value={item.id}>
            {recordWords(open.survey, item)}
          </option>
        ))}
      </select>
    </>
  );
}
