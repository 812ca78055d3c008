/**
 * What is typed into one line, from the first key until the write has resolved.
 *
 * The text that a person sees is never thrown away for an older one: who types on while the answer before is being stored keeps what
 * was typed, and it is stored next. A line is stored when it is left, when the screen goes away and when the app goes out of sight.
 * Between a write and the screen's hearing of it the answer before would stand there again, and be mixed with what is typed just then.
 */
import { effect } from '@preact/signals';
import { useEffect, useRef, useState } from 'preact/hooks';
import type { Read } from '../domain/parse.ts';
import { draftOf, hasDraft, keepDraft } from './drafts.ts';
import { NOT_TAKEN } from './saving.tsx';

export interface LineUse<T> {
  /** Names the draft of what could not be read. */
  path: string;
  /** Null when there is nothing to store and the text may go. */
  read: (text: string) => Read<T> | null;
  /** True once it is on the phone's storage. */
  save: (value: T) => Promise<boolean>;
  /** How a stored value stands in the line. With it, what was stored stays there until the screen has heard of it. */
  show?: (value: T) => string;
  /** Hears that more was typed while the answer was being stored: what is said of that answer is not said of the text that stands there. */
  onTypedOn?: () => void;
  /** Hears why the text could not be read, and null when it could. */
  onProblem?: (why: string | null) => void;
}

/** Writes under way, by the path of their draft: who comes back to a screen meanwhile finds the draft, and is not to store it a second time. */
const underWay = new Map<string, Promise<void>>();

/** Say that a draft is being stored; what is returned says that it was, or was not taken. */
function beginStoring(path: string): () => void {
  let end: () => void = () => undefined;
  const stored = new Promise<void>((done) => (end = done));
  underWay.set(path, stored);
  return () => {
    if (underWay.get(path) === stored) underWay.delete(path);
    end();
  };
}

/** Resolves when no line is being stored any more, and each has let go of its draft, or has kept what was not taken. */
export async function noneUnderWay(): Promise<void> {
  while (underWay.size > 0) await Promise.all(underWay.values());
}

export class Line<T> {
  text: string | null;
  problem: string | null = null;
  /** The text is a draft's, and nothing was typed here: once the draft is gone, somebody else has stored it. */
  private isTakenOver: boolean;
  private isBusy = false;
  private isLeftAgain = false;
  /** What the screen last heard to be stored. */
  private heard = '';
  /** What is stored and not heard of yet, and what stands on the screen until then. */
  private ahead: { path: string; shows: string; over: string } | null = null;

  constructor(
    public use: LineUse<T>,
    private readonly changed: () => void,
  ) {
    this.text = draftOf(use.path) ?? null;
    this.isTakenOver = this.text !== null;
    const read = this.text === null ? null : use.read(this.text);
    if (read && !read.ok) this.problem = read.why;
  }

  /** What stands in the line, where `stored` is what the screen has heard. */
  shown(stored: string): string {
    this.heard = stored;
    if (this.ahead && (stored !== this.ahead.over || this.use.path !== this.ahead.path)) this.ahead = null;
    return this.text ?? this.ahead?.shows ?? stored;
  }

  /** Let go of a draft that is stored by now. */
  hearOfDrafts(): void {
    if (!this.isTakenOver || this.isBusy || draftOf(this.use.path) !== undefined) return;
    this.isTakenOver = false;
    this.text = null;
    this.tell(null);
  }

  type(text: string): void {
    this.isTakenOver = false;
    this.text = text;
    // What was said of a text that could not be read is not said of one that can.
    if (this.problem !== null && this.use.read(text)?.ok !== false) this.tell(null);
    else this.changed();
  }

  /** What was typed is not wanted any more. */
  drop(): void {
    keepDraft(this.use.path, null);
    this.text = null;
    this.tell(null);
  }

  async leave(): Promise<void> {
    // Enter saves, and the loss of focus that follows comes while that is under way.
    if (this.isBusy) {
      this.isLeftAgain = true;
      return;
    }
    for (;;) {
      const others = this.isTakenOver ? underWay.get(this.use.path) : undefined;
      if (others) {
        this.isBusy = true;
        await others;
        this.isBusy = false;
      }
      this.hearOfDrafts();
      const { text } = this;
      if (text === null) return;
      this.isLeftAgain = false;
      const read = this.use.read(text);
      // Until it is stored, the draft has it: the screen, and with it this line, may be gone before.
      keepDraft(this.use.path, text);
      this.tell(read && !read.ok ? read.why : null);
      if (read && !read.ok) return;
      this.isBusy = true;
      const over = this.heard;
      const end = beginStoring(this.use.path);
      let isDone = false;
      try {
        isDone = read === null || (await this.use.save(read.value));
        if (isDone) keepDraft(this.use.path, null);
      } finally {
        // Whatever became of it: nobody waits for it any more.
        this.isBusy = false;
        end();
      }
      if (!isDone) {
        this.tell(NOT_TAKEN);
        return;
      }
      if (this.text === text) {
        this.text = null;
        const shows = read?.ok ? this.use.show?.(read.value) : undefined;
        this.ahead =
          shows !== undefined && shows !== over && this.heard === over ? { path: this.use.path, shows, over } : null;
        this.changed();
        return;
      }
      // Typed on meanwhile: stored next if the line was left meanwhile too, else when it is.
      this.use.onTypedOn?.();
      if (!this.isLeftAgain) return;
    }
  }

  private tell(why: string | null): void {
    this.problem = why;
    this.use.onProblem?.(why);
    this.changed();
  }
}

export function useLine<T>(use: LineUse<T>): Line<T> {
  const [, again] = useState({});
  const held = useRef<Line<T> | null>(null);
  const line = (held.current ??= new Line<T>(use, () => again({})));
  line.use = use;
  useEffect(() => {
    const leave = () => void line.leave();
    const leaveUnseen = () => {
      if (document.visibilityState === 'hidden') leave();
    };
    document.addEventListener('visibilitychange', leaveUnseen);
    const endHearing = effect(() => {
      if (!hasDraft(line.use.path)) line.hearOfDrafts();
    });
    return () => {
      endHearing();
      document.removeEventListener('visibilitychange', leaveUnseen);
      leave();
    };
  }, [line]);
  return line;
}
