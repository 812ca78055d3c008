/** Small drawings that go with a word: state is never told by colour alone. */
import { progressWords, type Progress } from '../domain/progress.ts';
import type { Severity, Verdict } from '../domain/assessment.ts';

/**
 * Empty ring: not started; ring half filled: gaps, or a room that does not close; ring with three dots: no gaps, and not checked yet; full disc with a tick: complete.
 * What stands against the job has the shape of its severity.
 */
export function ProgressShape({ progress: { state } }: { progress: { state: Progress['state'] } }) {
  if (state === 'stop' || state === 'check') return <SeverityShape severity={state} size={28} />;
  return (
    <svg class={`shape shape-${state}`} viewBox="0 0 28 28" width="28" height="28" aria-hidden="true">
      <circle cx="14" cy="14" r="11" class="shape-ground" />
      {(state === 'gaps' || state === 'open') && <path d="M14 3 a11 11 0 0 1 0 22 z" class="shape-fill" />}
      {state === 'no_gaps' && <path d="M8.5 14 h0.1 M14 14 h0.1 M19.5 14 h0.1" class="shape-line" />}
      {state === 'complete' && <circle cx="14" cy="14" r="11" class="shape-fill" />}
      {state === 'complete' && <path d="M8.5 14.5 l4 4 l7.5 -9" class="shape-tick" />}
      <circle cx="14" cy="14" r="11" class={state === 'not_started' ? 'shape-ring shape-dashed' : 'shape-ring'} />
    </svg>
  );
}

/** How far something is, in words, at the end of its row. */
export function ProgressSide({ progress }: { progress: Progress }) {
  const { words, more } = progressWords(progress);
  return (
    <span class={`row-side row-${progress.state}`}>
      {words}
      {more && (
        <>
          , <small>{more}</small>
        </>
      )}
    </span>
  );
}

/** Square with a bar: stop; triangle: check; ring: note. */
export function SeverityShape({ severity, size = 24 }: { severity: Severity; size?: number }) {
  return (
    <svg class={`shape shape-${severity}`} viewBox="0 0 24 24" width={size} height={size} aria-hidden="true">
      {severity === 'stop' && (
        <>
          <rect x="2" y="2" width="20" height="20" class="shape-fill" />
          <rect x="6" y="10" width="12" height="4" class="shape-cut" />
        </>
      )}
      {severity === 'check' && (
        <>
          <path d="M12 2 L23 22 H1 Z" class="shape-fill" />
          <path d="M12 9 v6 M12 17.5 v2" class="shape-cut-line" />
        </>
      )}
      {severity === 'note' && (
        <>
          <circle cx="12" cy="12" r="10" class="shape-ring" />
          <path d="M12 10.5 v7 M12 6 v2" class="shape-line" />
        </>
      )}
    </svg>
  );
}

export function VerdictShape({ verdict }: { verdict: Verdict }) {
  return (
    <svg class={`shape shape-verdict-${verdict}`} viewBox="0 0 24 24" width="24" height="24" aria-hidden="true">
      {verdict === 'enough' && (
        <>
          <circle cx="12" cy="12" r="10" class="shape-fill" />
          <path d="M7 12.5 l3.5 3.5 l6.5 -8" class="shape-tick" />
        </>
      )}
      {verdict === 'short' && (
        <>
          <rect x="2" y="2" width="20" height="20" class="shape-fill" />
          <path d="M12 6 v9 M8 12 l4 5 l4 -5" class="shape-cut-line" />
        </>
      )}
      {verdict === 'no_emitter' && (
        <>
          <rect x="3" y="3" width="18" height="18" class="shape-ring" />
          <path d="M6 18 L18 6" class="shape-line" />
        </>
      )}
      {verdict === 'not_known' && (
        <>
          <circle cx="12" cy="12" r="10" class="shape-ring shape-dashed" />
          <path d="M9 10 a3 3 0 1 1 4 2.8 v1.7 M12.9 17 v1.5" class="shape-line" />
        </>
      )}
    </svg>
  );
}
