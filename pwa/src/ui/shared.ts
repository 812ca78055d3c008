/** How many pictures that another app shared wait for a survey, as it was when the screen came up. */
import { useEffect, useState } from 'preact/hooks';
import { countShared } from '../store/shared.ts';

export function useSharedCount(): number {
  const [count, setCount] = useState(0);
  useEffect(() => void countShared().then(setCount), []);
  return count;
}
