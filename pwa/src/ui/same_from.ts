/** A page that asks itself otherwise, such as a list that is narrowed. */
import { fromList } from './lists.ts';
import { route } from './router.ts';

/** The address of the present page asked otherwise: its arrow leads where it led before. */
export function sameFrom(target: string): string {
  const from = route.value.query.get('from');
  return from === null ? target : fromList(target, from);
}
