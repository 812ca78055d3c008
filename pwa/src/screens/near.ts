/** The screens that one goes to from the walk, read before that: a first visit does not wait for its files. */
import { route } from '../ui/router.ts';

const NEAR: (() => Promise<unknown>)[] = [
  () => import('./building/Rooms.tsx'),
  () => import('./photos/Photos.tsx'),
  () => import('./Leaving.tsx'),
  () => import('./building/Constructions.tsx'),
];

/** A moment in which there is nothing else to do. */
const idle = (): Promise<void> =>
  new Promise((done) => {
    if ('requestIdleCallback' in globalThis) requestIdleCallback(() => done());
    else setTimeout(done);
  });

/** Read them one after the other, where the app was opened at a list or at a walk: a screen beyond has enough to do with itself. One that cannot be read now says so when somebody goes there. */
export async function readNear(): Promise<void> {
  if (route.value.path.length > 2) return;
  for (const read of NEAR) {
    await idle();
    await read().catch(() => undefined);
  }
}
