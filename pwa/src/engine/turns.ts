/**
 * Whose turn it is in the worker: figures first, then gaps and drawings, the plans of the storeys, and then the options one at a time.
 *
 * Between any two of them there is room for a newer request, which ends whatever was still to come of the one before.
 */
import type { FromWorker, ToWorker } from './messages.ts';

/** The Python object that keeps the survey between two edits. */
export interface Desk {
  take_articles(articles: string): void;
  figures(request: string): string;
  rest(): string;
  plans(): string;
  option_names(): string;
  /** The survey as it stands under no name. */
  option(name: string): string;
}

/** Milliseconds without a new request before the rest is made: somebody who types is waiting for figures. */
const PAUSE_MS = 40;

export function turns(desk: Desk, post: (message: FromWorker) => void): (message: ToWorker) => void {
  let pause: ReturnType<typeof setTimeout> | undefined;

  return ({ id, request, articles, withOptions }) => {
    clearTimeout(pause);
    if (articles !== undefined) desk.take_articles(articles);
    const answer = (type: 'figures' | 'rest' | 'plans', make: () => string): boolean => {
      try {
        const begun = performance.now();
        const text = make();
        post({ type, id, text, worked_ms: performance.now() - begun });
        return true;
      } catch (fault) {
        post({ type: 'fault', id, words: fault instanceof Error ? fault.message : String(fault) });
        return false;
      }
    };
    const options = ([name, ...left]: string[]): void => {
      if (name === undefined) return;
      pause = setTimeout(() => {
        const begun = performance.now();
        let text: string;
        try {
          text = desk.option(name);
        } catch (fault) {
          // The survey's own figures stand all the same, and so do the other options.
          console.error('An option could not be worked out:', fault);
          text = JSON.stringify({ fault: name });
        }
        post({ type: 'option', id, text, worked_ms: performance.now() - begun });
        options(left);
      }, PAUSE_MS);
    };
    // A plan that cannot be worked out takes no figure along.
    const plans = (): string => {
      try {
        return desk.plans();
      } catch (fault) {
        console.error('The plans could not be worked out:', fault);
        return '';
      }
    };
    if (!answer('figures', () => desk.figures(request))) return;
    pause = setTimeout(() => {
      if (!answer('rest', () => desk.rest())) return;
      // Each step lets in what has come meanwhile, which ends what is left of this one.
      pause = setTimeout(() => {
        answer('plans', plans);
        if (withOptions) options(JSON.parse(desk.option_names()) as string[]);
      }, 0);
    }, PAUSE_MS);
  };
}
