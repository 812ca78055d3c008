/** What stands around a survey that another tab of this phone is writing: everything can be read, nothing changed, until one takes over. */
import type { ComponentChildren } from 'preact';
import type { Writer } from '../store/writer.ts';
import { Notice } from './Notice.tsx';

export function Writing({ writer, children }: { writer: Writer; children: ComponentChildren }) {
  if (writer.role.value !== 'reader') return <>{children}</>;
  return (
    <div class="reading">
      <Notice tone="warning">
        <p>
          <b>This survey is open in another tab of this phone.</b> Here it can be read.
        </p>
        <div class="buttons">
          <button type="button" class="button button-main" onClick={writer.takeOver}>
            Write here instead
          </button>
        </div>
      </Notice>
      <fieldset class="reading-only" disabled>
        {children}
      </fieldset>
    </div>
  );
}
