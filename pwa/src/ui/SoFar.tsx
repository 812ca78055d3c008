/** Stands beside a figure while what it was worked out from is not whole, in the engine's words; nothing once it is. */
export function SoFar({ words }: { words: string | undefined }) {
  return words ? <span class="so-far">{words}</span> : null;
}
