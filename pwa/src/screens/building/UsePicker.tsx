/** What a room is used as: one tap that names it too. */
import { fieldOf } from '../../domain/model.ts';

export function UsePicker({ label, onPick }: { label: string; onPick: (use: string) => void }) {
  return (
    <div class="field" role="group" aria-label={label}>
      <p class="field-label">{label}</p>
      <div class="choices">
        {(fieldOf('room', 'use').choices ?? []).map((use) => (
          <button key={use.value} type="button" class="button" onClick={() => onPick(use.value)}>
            {use.label}
          </button>
        ))}
      </div>
    </div>
  );
}
