/** Photos: which ones the job wants, what a photo of a record shows by default, and where its bytes are. */
import { isExpectedOf } from './gaps.ts';
import { choiceLabel, fieldOf, kindOf, model, withDefaults, type Expectation } from './model.ts';
import type { Survey, SurveyRecord } from './survey.ts';
import { momentWords, SAVED_HERE } from './words.ts';

export interface WantedPhoto {
  /** Names it in a list. */
  key: string;
  expected: Expectation;
  category: string;
  /** The record that it has to be of, where each of a kind wants its own. */
  owner: SurveyRecord | null;
  found: SurveyRecord[];
}

/** Every photo that the job asks for, with those that are there already. */
export function wantedPhotos(survey: Survey): WantedPhoto[] {
  return model.expectations.flatMap((expected): WantedPhoto[] => {
    const category = expected.where['category'];
    if (expected.kind !== 'photo' || typeof category !== 'string') return [];
    const all = survey.ofKind('photo').filter((photo) => photo.values['category'] === category);
    if (expected.per === null) return [{ key: category, expected, category, owner: null, found: all }];
    const kind = kindOf(expected.per);
    return survey
      .ofKind(expected.per)
      .filter((owner) => isExpectedOf(expected, withDefaults(kind, owner.values)))
      .map((owner) => ({
        key: `${category}/${owner.id}`,
        expected,
        category,
        owner,
        found: all.filter((photo) => photo.values[expected.link ?? ''] === owner.id),
      }));
  });
}

/** What a photo taken at a record most likely shows; it can be said otherwise afterwards. */
export const categoryFor = (kind: string): string => kindOf(kind).photo;

export const categoryWords = (photo: SurveyRecord): string => {
  const value = photo.values['category'];
  return typeof value === 'string' ? choiceLabel(fieldOf('photo', 'category'), value) : 'Photo';
};

export interface PhotoState {
  state: 'here' | 'office' | 'refused' | 'elsewhere' | 'lost';
  words: string;
}

interface Kept {
  sha256: string;
  arrived: 0 | 1 | 2;
  arrived_at?: number;
  problem: { code?: string; message: string } | null;
}

interface AtOffice {
  sha256: string;
  arrived: boolean;
  lost?: boolean;
}

/** The problem of a photo whose bytes this phone has lost: nothing is left of it to send. */
export const BYTES_MISSING = 'bytes_missing';

const isGone = (kept: Pick<Kept, 'problem'>): boolean => kept.problem?.code === BYTES_MISSING;

/** Where a photo's bytes are, in the words of the house. `kept` is this phone's list, `office` the office's own. */
export function photoState(photo: SurveyRecord, kept: readonly Kept[], office: readonly AtOffice[]): PhotoState {
  const sha256 = photo.values['sha256'];
  const here = kept.find((item) => item.sha256 === sha256);
  const there = office.find((item) => item.sha256 === sha256);
  const isLost = there?.lost === true;
  if (here && isGone(here))
    return {
      state: 'lost',
      words: isLost
        ? 'Missing: the office has lost it, and this phone does not have it any more either'
        : 'Missing: this phone has lost it, and the office never had it',
    };
  if (here?.problem)
    return { state: 'refused', words: `Refused by the office: ${here.problem.message} It is still on this phone.` };
  if (here && here.arrived === 0)
    return { state: 'here', words: isLost ? `${SAVED_HERE}. The office has lost it, so it is sent again` : SAVED_HERE };
  if (here)
    return {
      state: 'office',
      words: here.arrived_at === undefined ? 'At the office' : `At the office ${momentWords(here.arrived_at)}`,
    };
  if (there?.arrived) return { state: 'office', words: 'At the office, not on this phone' };
  if (isLost)
    return {
      state: 'lost',
      words: 'Missing: the office had it and has lost it, and this phone does not have it either',
    };
  return {
    state: 'elsewhere',
    words: 'Not on this phone, and not yet at the office: it waits on the phone that took it',
  };
}

/** Photos that neither the office nor this phone has any more. */
export function lostPhotos(
  photos: readonly SurveyRecord[],
  kept: readonly Kept[],
  office: readonly AtOffice[],
): SurveyRecord[] {
  // Few are ever lost, and a large house has hundreds of photos: only these are looked at one by one.
  const doubtful = new Set([...office.filter((item) => item.lost), ...kept.filter(isGone)].map((item) => item.sha256));
  return photos.filter(
    (photo) => doubtful.has(String(photo.values['sha256'])) && photoState(photo, kept, office).state === 'lost',
  );
}

/** How far the photos of this phone have come on their way: `3 of 12 photos sent`; '' when it holds none. */
export function sentWords(kept: readonly Pick<Kept, 'arrived' | 'problem'>[], isSending = false): string {
  if (kept.length === 0) return '';
  const sent = kept.filter((photo) => photo.arrived === 1).length;
  const turned = kept.filter((photo) => photo.arrived === 0 && photo.problem !== null);
  const missing = turned.filter(isGone).length;
  const refused = turned.length - missing;
  if (sent === kept.length)
    return sent === 1
      ? 'The one photo of this phone is at the office.'
      : `All ${sent} photos of this phone are at the office.`;
  const parts = [`${sent} of ${kept.length} ${kept.length === 1 ? 'photo' : 'photos'} sent`];
  if (isSending && sent + turned.length < kept.length) parts.push('sending');
  if (refused > 0) parts.push(`${refused} refused: open ${refused === 1 ? 'it' : 'them'} to see why`);
  if (missing > 0) parts.push(`${missing} missing: open ${missing === 1 ? 'it' : 'them'} to see what can be done`);
  return parts.join(' · ');
}
