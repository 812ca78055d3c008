/** Something to read before going on, by word and by shape. */
import type { ComponentChildren } from 'preact';

export function Notice({ tone, children }: { tone: 'plain' | 'warning' | 'stop'; children: ComponentChildren }) {
  return (
    <div class={`notice notice-${tone}`} role={tone === 'plain' ? undefined : 'alert'}>
      {children}
    </div>
  );
}
