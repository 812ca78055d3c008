/** The address of a photo's picture for as long as a screen shows it. */
import { useEffect, useState } from 'preact/hooks';
import { photoAddress } from '../../sync/photos.ts';

/** undefined while reading; null when the photo has no picture or its bytes cannot be read. */
export function usePhotoAddress(survey: string, sha256: unknown): string | null | undefined {
  const [url, setUrl] = useState<string | null | undefined>(undefined);
  useEffect(() => {
    if (typeof sha256 !== 'string') {
      setUrl(null);
      return;
    }
    let isOver = false;
    let made: string | null = null;
    photoAddress(survey, sha256).then(
      (found) => {
        if (found.isHere) made = found.url;
        if (isOver && made) URL.revokeObjectURL(made);
        else if (!isOver) setUrl(found.url);
      },
      (fault: unknown) => {
        console.error('A photo could not be read:', fault);
        if (!isOver) setUrl(null);
      },
    );
    return () => {
      isOver = true;
      if (made) URL.revokeObjectURL(made);
    };
  }, [survey, sha256]);
  return url;
}
