/** What was typed is kept however one leaves: the phone's back gesture takes the screen away without the field having been left. */
import { useEffect, useRef } from 'preact/hooks';

/** Call `leave` when the screen goes, and when the app goes to the background, from where a phone may end it without a word. */
export function useLeaving(leave: () => unknown): void {
  const latest = useRef(leave);
  latest.current = leave;
  useEffect(() => {
    const hidden = () => {
      if (document.visibilityState === 'hidden') latest.current();
    };
    document.addEventListener('visibilitychange', hidden);
    return () => {
      document.removeEventListener('visibilitychange', hidden);
      latest.current();
    };
  }, []);
}
