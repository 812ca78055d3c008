/**
 * The address of a photo's picture for as long as a screen shows it.
 *
 * A survey may hold hundreds of photos. One in a list is read only when it comes near the screen, and then as a stamp of
 * its own, so that neither all their bytes nor all their pixels are ever in memory at once.
 */
import { useEffect, useState } from 'preact/hooks';
import type { RefObject } from 'preact';
import { photoAddress, stampOf } from '../../sync/photos.ts';
import { Shelf } from '../../domain/shelf.ts';

/** Stamps kept for scrolling back. */
const MOST_STAMPS = 60;
const stamps = new Shelf<string>(MOST_STAMPS, (url) => URL.revokeObjectURL(url));

/** What waits to come near the screen. One watch is set on all of them: hundreds of their own would hold up every drawing. */
const awaited = new Map<Element, () => void>();
let watch: IntersectionObserver | undefined;

function onceNear(element: Element, say: () => void): () => void {
  watch ??= new IntersectionObserver(
    (seen) => {
      for (const { isIntersecting, target } of seen) if (isIntersecting) awaited.get(target)?.();
    },
    { rootMargin: '300px' },
  );
  awaited.set(element, say);
  watch.observe(element);
  return () => {
    awaited.delete(element);
    watch?.unobserve(element);
  };
}

/** Tells once when an element comes near the screen. */
function useNear(place: RefObject<HTMLElement | null>, isAsked: boolean): boolean {
  const [isNear, setNear] = useState(!isAsked);
  useEffect(() => {
    const element = place.current;
    if (isNear || !element) return undefined;
    if ('IntersectionObserver' in globalThis) return onceNear(element, () => setNear(true));
    setNear(true);
    return undefined;
  }, [isNear]);
  return isNear;
}

/** undefined while reading; null when the photo has no picture or its bytes cannot be read. */
export function usePhotoAddress(
  survey: string,
  sha256: unknown,
  isLarge: boolean,
  place: RefObject<HTMLElement | null>,
): string | null | undefined {
  const [url, setUrl] = useState<string | null | undefined>(undefined);
  const isNear = useNear(place, !isLarge);
  useEffect(() => {
    if (!isNear) return;
    if (typeof sha256 !== 'string') {
      setUrl(null);
      return;
    }
    let isOver = false;
    let giveBack: (() => void) | null = null;
    const read = async (): Promise<void> => {
      const found = isLarge
        ? await photoAddress(survey, sha256)
        : await stamps.take(sha256, () => stampOf(survey, sha256));
      const done = () => {
        if (!found) return;
        if (isLarge) URL.revokeObjectURL(found);
        else stamps.giveBack(sha256);
      };
      if (isOver) done();
      else {
        giveBack = done;
        setUrl(found);
      }
    };
    read().catch((fault: unknown) => {
      console.error('A photo could not be read:', fault);
      if (!isOver) setUrl(null);
    });
    return () => {
      isOver = true;
      giveBack?.();
    };
  }, [survey, sha256, isNear]);
  return url;
}
