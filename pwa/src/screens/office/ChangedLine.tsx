/** Below a price line whose source has changed: what it was, what it is now, and the two ways to settle it. */
import type { ChangedLine as Changed } from '../../domain/assessment.ts';
import { keptValues, takenOverValues } from '../../domain/lines.ts';
import type { Values } from '../../domain/model.ts';
import { StateMark } from './parts.tsx';

export function ChangedLine({
  item,
  onSettle,
  onRemove,
}: {
  item: Changed;
  onSettle: (values: Values) => void;
  onRemove: () => void;
}) {
  return (
    <div class="changed-line" role="group" aria-label={`${item.title}: changed since it was drawn`}>
      <StateMark state={{ words: 'Changed since it was drawn', tone: 'stop' }} />
      <ul>
        {item.changes.map((change) => (
          <li key={change.label}>
            {change.label && `${change.label}: `}
            was <s>{change.was}</s>, now <b>{change.now}</b>
          </li>
        ))}
      </ul>
      {item.drops_price && <p>Taken over, the line needs a new price: the present one was for the old.</p>}
      <div class="buttons">
        {item.is_asked && !item.only_kept ? (
          <button type="button" class="button button-main" onClick={() => onSettle(takenOverValues(item))}>
            Take it over
          </button>
        ) : (
          !item.only_kept && (
            <button type="button" class="button" onClick={onRemove}>
              Take the line away
            </button>
          )
        )}
        <button type="button" class="button" onClick={() => onSettle(keptValues(item))}>
          Keep the line as it is
        </button>
      </div>
    </div>
  );
}
