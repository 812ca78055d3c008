/** Lines that the survey asks for and nobody has drawn yet, each with what the price book has for it. */
import { useState } from 'preact/hooks';
import { loggedWords } from '../../domain/contested.ts';
import type { SuggestedLine } from '../../domain/assessment.ts';
import { pounds } from '../../domain/office.ts';
import type { SurveyRecord } from '../../domain/survey.ts';
import type { OpenSurvey } from '../../store/live.ts';

const keyOf = (from: unknown, as: unknown): string => `${String(from ?? '')}/${String(as ?? '')}`;

export function PriceSuggestions({
  open,
  suggestions,
  lines,
  who = 'The survey suggests',
  onAdd,
}: {
  open: OpenSurvey;
  suggestions: readonly SuggestedLine[];
  /** Those that are drawn already. */
  lines: readonly SurveyRecord[];
  who?: string;
  onAdd: (items: readonly SuggestedLine[]) => void;
}) {
  // Kept out here: while the first figures of the day are worked out there is nothing to suggest, and what was opened stays open.
  const [isOpen, setOpen] = useState(lines.length === 0);
  // A line that was drawn a moment ago is not offered again while the answer is behind.
  const drawn = new Set(lines.map((line) => keyOf(line.values['drawn_from'], line.values['drawn_as'])));
  const left = suggestions.filter((item) => !drawn.has(keyOf(item.drawn_from, item.drawn_as)));
  const priced = left.filter((item) => item.article === 'article_found');
  if (left.length === 0) return null;
  return (
    <details open={isOpen} onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>
        {who} {left.length === 1 ? 'one line' : `${left.length} lines`}
      </summary>
      {priced.length > 1 && (
        <div class="buttons">
          <button type="button" class="button button-main" onClick={() => onAdd(priced)}>
            Add all {priced.length} that have a price
          </button>
        </div>
      )}
      <ul class="list works">
        {left.map((item) => (
          <li key={keyOf(item.drawn_from, item.drawn_as)} class="row">
            <span class="row-words">
              <span>{item.what}</span>
              <small>
                {item.quantity} × {loggedWords(open.survey, 'price_line', 'unit', item.unit)}
                {item.article && item.unit_price ? ` at ${pounds(item.unit_price)}` : ''}. {item.why}
                {item.article_words ? ` ${item.article_words}` : ''}
              </small>
            </span>
            <button type="button" class="button" aria-label={`Add it: ${item.what}`} onClick={() => onAdd([item])}>
              Add it
            </button>
          </li>
        ))}
      </ul>
    </details>
  );
}
