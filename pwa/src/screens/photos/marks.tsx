/** Small shapes that go with the words for where a photo is. */
import type { PhotoState } from '../../domain/photos.ts';

export function PhotoMark({ state }: { state: PhotoState['state'] }) {
  return (
    <svg viewBox="0 0 20 20" width="16" height="16" aria-hidden="true">
      {state === 'here' && <path d="M6 1 h8 v18 h-8 z M9 16.5 h2" class="line" />}
      {state === 'office' && <path d="M2 18 V9 L10 3 L18 9 V18 Z M8 18 v-5 h4 v5" class="line" />}
      {state === 'refused' && <path d="M2 2 h16 v16 h-16 z M6 10 h8" class="line" />}
      {state === 'lost' && <path d="M10 2 L19 18 H1 Z M10 8 v5 M10 15 v1.5" class="line" />}
      {state === 'elsewhere' && (
        <path d="M10 1 a9 9 0 1 0 0.1 0 M7.5 8 a2.5 2.5 0 1 1 3.4 2.3 v1.8 M10.8 14.5 v0.6" class="line" />
      )}
    </svg>
  );
}
