/** What the page and the journal's worker say to each other. */
import type { Line } from './lines.ts';

export type Order =
  | { do: 'read' }
  | { do: 'append'; lines: readonly Line[] }
  | { do: 'rewrite'; lines: readonly Line[] }
  | { do: 'keepPhoto'; sha256: string; bytes: ArrayBuffer }
  | { do: 'photo'; sha256: string }
  | { do: 'dropPhotos'; hashes: readonly string[] }
  | { do: 'photoNames' };

export interface Ask {
  id: number;
  ask: Order;
}

export type Answer = { id: number; ok: true; value: unknown } | { id: number; ok: false; name: string; words: string };
