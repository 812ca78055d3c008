/** Screens that are read only when one goes there, so that the first screen stands sooner. Their files are kept on the phone like all others. */
import type { ComponentType } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { Notice } from './Notice.tsx';

export function later<Props extends object>(read: () => Promise<ComponentType<Props>>): ComponentType<Props> {
  let there: ComponentType<Props> | null = null;
  return function Later(props: Props) {
    const [fault, setFault] = useState<string | null>(null);
    const [, setRead] = useState(there !== null);
    useEffect(() => {
      if (there) return;
      read().then(
        (screen) => {
          there = screen;
          setRead(true);
        },
        (why: unknown) => setFault(why instanceof Error ? why.message : String(why)),
      );
    }, []);
    if (there) {
      const Screen = there;
      return <Screen {...props} />;
    }
    if (!fault) return null;
    return (
      <Notice tone="stop">
        <p>
          <b>This page could not be read from the phone.</b> Nothing saved is lost. Close the app and open it again;
          with signal it fetches the page anew. ({fault})
        </p>
      </Notice>
    );
  };
}
