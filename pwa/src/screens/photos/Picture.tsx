/** A photo's picture, or words in its place: never a broken image. */
import { useEffect, useState } from 'preact/hooks';
import { usePhotoAddress } from './address.ts';

export interface PictureProps {
  survey: string;
  sha256: unknown;
  /** What the picture shows, for whoever cannot see it; empty where words stand beside it. */
  words: string;
  isLarge?: boolean;
}

export function Picture({ survey, sha256, words, isLarge }: PictureProps) {
  const url = usePhotoAddress(survey, sha256);
  const [isBroken, setBroken] = useState(false);
  useEffect(() => setBroken(false), [url]);
  if (url === undefined) return <span class="picture-none" aria-hidden="true" />;
  if (url === null || isBroken) {
    return (
      <span class="picture-none">
        <span>{typeof sha256 !== 'string' ? 'No picture' : isLarge ? 'The picture is not on this phone. It shows when the office answers and has it.' : 'Not on this phone'}</span>
      </span>
    );
  }
  return <img class={isLarge ? 'picture-large' : 'picture-small'} src={url} alt={words} loading="lazy" decoding="async" onError={() => setBroken(true)} />;
}
