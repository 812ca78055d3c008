/** A photo's picture with its marks over it, or words in its place: never a broken image. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { marksInWords, readStrokes } from '../../domain/marks.ts';
import type { Value } from '../../domain/model.ts';
import { Marks } from '../../pictures/Marks.tsx';
import { usePhotoAddress } from './address.ts';

export interface PictureProps {
  survey: string;
  sha256: unknown;
  /** What the picture shows, for whoever cannot see it; empty where words stand beside it. */
  words: string;
  /** The photo's field of marks. */
  strokes?: Value | undefined;
  isLarge?: boolean;
  /** What stands in the place of a picture that cannot be had. */
  noneWords?: string;
  /** The picture cannot be had: whoever lists it as there looks again. */
  onNone?: () => void;
}

/** How much thicker marks are drawn where a picture is as small as a stamp. */
const SMALL_WEIGHT = 2.4;

export function Picture({ survey, sha256, words, strokes: given, isLarge = false, noneWords, onNone }: PictureProps) {
  const place = useRef<HTMLSpanElement>(null);
  const url = usePhotoAddress(survey, sha256, isLarge, place);
  const [isBroken, setBroken] = useState(false);
  const [size, setSize] = useState<{ width: number; height: number } | null>(null);
  useEffect(() => setBroken(false), [url]);
  const isNone = url === null || isBroken;
  useEffect(() => {
    if (isNone) onNone?.();
  }, [isNone]);
  const strokes = readStrokes(given);
  const isThere = typeof url === 'string' && !isBroken;
  return (
    <span ref={place} class={isLarge ? 'picture picture-at-large' : 'picture'}>
      {!isThere && (
        <span class="picture-none" aria-hidden={url === undefined ? true : undefined}>
          {url !== undefined && (
            <span>
              {typeof sha256 !== 'string'
                ? 'No picture'
                : isLarge
                  ? 'The picture is not on this phone. It shows when the office answers and has it.'
                  : (noneWords ?? 'Not on this phone')}
            </span>
          )}
        </span>
      )}
      {isThere && (
        <img
          class={isLarge ? 'picture-large' : 'picture-small'}
          src={url}
          alt={words && [words, marksInWords(strokes)].filter(Boolean).join('. ')}
          decoding="async"
          onError={() => setBroken(true)}
          onLoad={(event) =>
            setSize({ width: event.currentTarget.naturalWidth, height: event.currentTarget.naturalHeight })
          }
        />
      )}
      {isThere && size && strokes.length > 0 && (
        <svg
          class="picture-marks"
          viewBox={`0 0 ${size.width} ${size.height}`}
          preserveAspectRatio={isLarge ? 'xMidYMid meet' : 'xMidYMid slice'}
          aria-hidden="true"
        >
          <Marks strokes={strokes} width={size.width} height={size.height} weight={isLarge ? 1 : SMALL_WEIGHT} />
        </svg>
      )}
    </span>
  );
}
