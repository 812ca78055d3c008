/** How large the letters of this page are, by whoever set the browser or the phone so, and drawings that follow them. */
import type { ComponentChildren } from 'preact';

/** How many times the usual size the letters are. */
export const letterScale = (): number =>
  Math.max(1, Number.parseFloat(getComputedStyle(document.documentElement).fontSize) / 16 || 1);

/** A drawing that may be wider than the screen where letters are large: it then scrolls sideways, by keyboard too. */
export function Sideways({ words, children }: { words: string; children: ComponentChildren }) {
  return (
    <div class="sideways" {...(letterScale() > 1.1 ? { tabIndex: 0, role: 'group', 'aria-label': words } : {})}>
      {children}
    </div>
  );
}
