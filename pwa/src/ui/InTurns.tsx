/** The parts of a long page: the first at once, each of the others after what stands was drawn, so that no finger waits for the whole page. */
import { Fragment, type ComponentChild } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { drawing } from '../store/drawn.ts';
import { isReturning } from './lists.ts';

/** How many parts stand at once: what the eye meets first. */
const AT_ONCE = 2;

/** How many of so many parts stand by now, `atOnce` of them at first. Where one comes back to a row that was left, all stand at once. */
export function useTurns(all: number, atOnce = AT_ONCE): number {
  const [count, setCount] = useState(() => (isReturning() ? all : atOnce));
  useEffect(() => {
    if (count >= all) return;
    let isGone = false;
    void drawing().then(() => !isGone && setCount(count + 1));
    return () => {
      isGone = true;
    };
  }, [count, all]);
  return count;
}

/** @param children one for each turn; one that has nothing to show keeps its place */
export function InTurns({ children }: { children: ComponentChild[] }) {
  const count = useTurns(children.length);
  return (
    <>
      {children.slice(0, count).map((part, place) => (
        <Fragment key={place}>{part}</Fragment>
      ))}
    </>
  );
}
