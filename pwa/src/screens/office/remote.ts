/** Answers of the office that the store does not keep: shown until a newer one comes, with a word when none does. */
import { signal, useSignal, type Signal } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import { silenceWords } from '../../domain/words.ts';
import type { Reply } from '../../sync/api.ts';
import { syncState } from '../../sync/loop.ts';
import { troubleWith } from '../../sync/office.ts';

export interface Remote<T> {
  /** The newest answer; null before the first. */
  value: T | null;
  /** The `version` that the value was asked for with. */
  version: string | number | null;
  trouble: string | null;
  refresh: () => Promise<void>;
}

interface Kept {
  value: unknown;
  version: string | number;
}

/** The last answers, so that moving between pages shows them at once, and a lost connection takes nothing off the screen. */
const kept = new Map<string, Signal<Kept | null>>();

function keptUnder(name: string): Signal<Kept | null> {
  const found = kept.get(name) ?? signal<Kept | null>(null);
  kept.set(name, found);
  return found;
}

/**
 * Ask the office for something by `name`, again whenever `version` is another one, the office answers after a silence, or it was busy.
 */
export function useRemote<T>(name: string, version: string | number, askOffice: () => Promise<Reply<T>>): Remote<T> {
  const answer = keptUnder(name);
  const trouble = useSignal<string | null>(null);
  const asked = useRef(0);
  const again = useRef<ReturnType<typeof setTimeout> | undefined>(undefined);
  const isGone = useRef(false);
  const refresh = async () => {
    clearTimeout(again.current);
    const turn = (asked.current += 1);
    const reply = await askOffice();
    // A slow answer must not take the place of one that was asked for later.
    if (turn !== asked.current) return;
    trouble.value = reply.kind === 'none' ? silenceWords(reply) : troubleWith(reply);
    if (reply.kind === 'none' && reply.isBusy && !isGone.current)
      again.current = setTimeout(() => void refresh(), (reply.wait_s ?? 5) * 1000);
    if (reply.kind === 'ok') answer.value = { value: reply.body, version };
  };
  useEffect(() => void refresh(), [name, version]);
  useEffect(
    () => () => {
      isGone.current = true;
      clearTimeout(again.current);
    },
    [],
  );
  // The loop hears first that the office answers again.
  const heard = syncState.value.last?.kind === 'done' ? syncState.value.last_at : null;
  useEffect(() => {
    if (trouble.value && heard) void refresh();
  }, [heard]);
  return {
    value: (answer.value?.value ?? null) as T | null,
    version: answer.value?.version ?? null,
    trouble: trouble.value,
    refresh,
  };
}

/** The last answer under `name`, without asking; null when it was asked for with another `version`, since it may be out of date. */
export function lastAnswer<T>(name: string, version: string | number): T | null {
  const last = keptUnder(name).value;
  return last?.version === version ? (last.value as T) : null;
}
