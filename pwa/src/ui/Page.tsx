/** The frame of every screen: where one is, the way back, what is where. */
import type { ComponentChildren } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { sayStanding } from '../store/drawn.ts';
import { listBehind } from './lists.ts';
import { offered } from './offer.ts';
import { StatusStrip } from './StatusStrip.tsx';

export interface PageProps {
  title: string;
  /** Small words above the title: the survey, the room's storey … */
  over?: string;
  back?: string;
  backWords?: string;
  /** For tables and the office's pages, which use the width of a laptop. */
  isWide?: boolean;
  /** What stays in reach of the thumb at the foot of the screen. */
  foot?: ComponentChildren;
  children: ComponentChildren;
}

/** A title of so many letters leaves the bar low enough to stay at the top while the page scrolls, so that the way back is always there. */
const SHORT = 32;

export function Page({ title, over, back, backWords, isWide, foot, children }: PageProps) {
  const behind = listBehind();
  const [to, toWords] = behind ? [behind.back, behind.words] : [back, backWords ?? 'the page before'];
  const heading = useRef<HTMLHeadingElement>(null);
  const scroller = useRef<HTMLDivElement>(null);
  useEffect(sayStanding, []);
  // What a page is called may come after the page: a survey that is just being fetched has no name yet.
  useEffect(() => {
    document.title = title === 'Wattwalk' ? title : `${title} · Wattwalk`;
  }, [title]);
  useEffect(() => {
    // A screen reader and the keyboard start at the new page's heading, unless a field asked for the cursor.
    const asked = new URLSearchParams(location.hash.split('?')[1] ?? '');
    if (!asked.has('field') && !asked.has('add')) {
      scrollTo(0, 0);
      scroller.current?.scrollTo(0, 0);
      heading.current?.focus({ preventScroll: true });
    }
  }, [location.hash]);
  const inside = (
    <>
      <header class={title.length <= SHORT ? 'bar bar-stays' : 'bar'}>
        {to ? (
          <a class="bar-back" href={to} aria-label={`Back: ${toWords}`}>
            <svg viewBox="0 0 24 24" width="24" height="24" aria-hidden="true">
              <path d="M15 4 L7 12 L15 20" class="line" />
            </svg>
          </a>
        ) : (
          <img class="bar-mark" src="/icons/icon.svg" alt="" width="32" height="32" />
        )}
        <div class="bar-words">
          {over && <p class="bar-over">{over}</p>}
          <h1 ref={heading} tabIndex={-1}>
            {title}
          </h1>
        </div>
      </header>
      <StatusStrip />
      <main class="content">{children}</main>
      <OfferHere />
    </>
  );
  const name = `page${isWide ? ' page-wide' : ''}`;
  if (!foot) return <div class={name}>{inside}</div>;
  // The foot stands beside what scrolls, not over it: nothing is ever half hidden behind it.
  return (
    <div class={`${name} page-footed`}>
      <div class="scroller" ref={scroller}>
        {inside}
      </div>
      <footer class="foot">{foot}</footer>
    </div>
  );
}

/** What can be undone at once. It lies at the end of what scrolls and stays at its foot, so that nothing moves when it comes or goes. */
function OfferHere() {
  const now = offered.value;
  if (!now) return null;
  return (
    <div class="offer" role="status">
      <p>{now.words}</p>
      <button
        type="button"
        class="button"
        onClick={() =>
          void now.undo().then((done) => {
            if (done && offered.peek() === now) offered.value = null;
          })
        }
      >
        {now.way}
      </button>
    </div>
  );
}
