/** A question that is asked in place: the first tap asks, the second does it. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { bring } from './reach.ts';

export function Confirm({
  words,
  question,
  yes,
  onYes,
}: {
  words: string;
  question: string;
  yes: string;
  onYes: () => void;
}) {
  const [isAsking, setAsking] = useState(false);
  const asking = useRef<HTMLDivElement>(null);
  // The question is heard and comes into view; neither of its answers is under the key that asked it.
  useEffect(() => {
    if (!isAsking) return;
    asking.current?.focus({ preventScroll: true });
    bring(() => asking.current);
  }, [isAsking]);
  if (!isAsking)
    return (
      <button type="button" class="button button-quiet" onClick={() => setAsking(true)}>
        {words}
      </button>
    );
  return (
    <div class="confirm" role="group" aria-label={question} ref={asking} tabIndex={-1}>
      <p>{question}</p>
      <div class="buttons">
        <button type="button" class="button button-stop" onClick={onYes}>
          {yes}
        </button>
        <button type="button" class="button" onClick={() => setAsking(false)}>
          Keep it
        </button>
      </div>
    </div>
  );
}
