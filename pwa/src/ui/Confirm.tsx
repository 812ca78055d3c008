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
  if (isAsking) return <Question words={question} yes={yes} onYes={onYes} onNo={() => setAsking(false)} />;
  return (
    <button type="button" class="button button-quiet" onClick={() => setAsking(true)}>
      {words}
    </button>
  );
}

/** The question by itself, where what asks it stands elsewhere: heard, and in view; neither of its answers is under the key that asked it. */
export function Question({
  words,
  yes,
  onYes,
  onNo,
}: {
  words: string;
  yes: string;
  onYes: () => void;
  onNo: () => void;
}) {
  const box = useRef<HTMLDivElement>(null);
  useEffect(() => {
    box.current?.focus({ preventScroll: true });
    bring(() => box.current);
  }, []);
  return (
    <div class="confirm" role="group" aria-label={words} ref={box} tabIndex={-1}>
      <p>{words}</p>
      <div class="buttons">
        <button type="button" class="button button-stop" onClick={onYes}>
          {yes}
        </button>
        <button type="button" class="button" onClick={onNo}>
          Keep it
        </button>
      </div>
    </div>
  );
}
