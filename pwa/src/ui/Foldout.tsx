/** A part that folds: open or shut as it was when it came, then as a person leaves it, whatever becomes of what is in it. */
import type { ComponentChildren } from 'preact';
import { useState } from 'preact/hooks';

export interface FoldoutProps {
  /** Whether it is open at first. */
  opens: boolean;
  summary: ComponentChildren;
  children: ComponentChildren;
}

export function Foldout({ opens, summary, children }: FoldoutProps) {
  const [isOpen, setOpen] = useState(opens);
  return (
    <details open={isOpen} onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>{summary}</summary>
      {children}
    </details>
  );
}
