/** A drawing of the engine's, for the theme and the width of the screen. */
import type { Answer, Pictures } from '../../domain/assessment.ts';
import { isDark } from '../../store/theme.ts';

/** The drawings that fit the theme; an older answer of the office has them for light paper only. */
export function picturesFor(kept: Answer): Pictures & { isForDark: boolean } {
  return isDark.value && kept.pictures_dark
    ? { ...kept.pictures_dark, isForDark: true }
    : { ...kept.pictures, isForDark: false };
}

export const ZONE_WORDS =
  'The place of the unit from above: its protective zone and everything near it, each said in the list under it.';
export const CIRCUIT_WORDS = 'Scheme of the heating water with sizes, flows and pressure drops, each said under it.';
export const CABLE_WORDS = 'Every cable with its length, who runs it and what was found.';

export interface DrawingProps {
  pictures: Pictures & { isForDark: boolean };
  /** Which drawing, and of which record where there is one for each. */
  of: keyof Omit<Pictures, 'narrow'>;
  id?: string;
  words: string;
  /** Show the narrow form however wide the screen is. */
  isNarrow?: boolean;
}

function svgOf(pictures: Pictures | undefined, of: DrawingProps['of'], id: string | undefined): string | undefined {
  const found = pictures?.[of];
  return (typeof found === 'string' ? found : id === undefined ? undefined : found?.[id]) ?? undefined;
}

const asAddress = (svg: string): string => `data:image/svg+xml;charset=utf-8,${encodeURIComponent(svg)}`;

/** A drawing of the engine's, shown as a picture, so that nothing in it can act in this page. Nothing while there is none. */
export function Drawing({ pictures, of, id, words, isNarrow }: DrawingProps) {
  const svg = svgOf(pictures, of, id);
  const narrow = svgOf(pictures.narrow, of, id);
  if (!svg) return null;
  return (
    <figure
      class={`drawing scroll${pictures.isForDark ? ' drawing-dark' : ''}${narrow ? ' drawing-fits' : ''}${narrow && isNarrow ? ' drawing-narrow' : ''}`}
      tabIndex={0}
      role="group"
      aria-label={words}
    >
      <picture>
        {narrow && !isNarrow && <source media="(max-width: 38rem)" srcset={asAddress(narrow)} />}
        <img src={asAddress(narrow && isNarrow ? narrow : svg)} alt="" />
      </picture>
    </figure>
  );
}
