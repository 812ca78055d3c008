/** A gap that is a whole record asks for it by its kind: `?add=emitter`. The part of the page that adds one comes into view. */
import { useEffect, useRef } from 'preact/hooks';
import { bring } from '../ui/reach.ts';
import { route } from '../ui/router.ts';

export function useAsked<Part extends HTMLElement = HTMLElement>(kind: string) {
  const part = useRef<Part>(null);
  const isAsked = route.value.query.get('add') === kind;
  useEffect(() => {
    if (isAsked) bring(() => part.current);
  }, [isAsked]);
  return part;
}
