/** Taking a record away, and the offer to bring it back at once. */
import { removal } from '../domain/box.ts';
import { kindOf, titleOf } from '../domain/model.ts';
import type { Survey } from '../domain/survey.ts';
import { saveEdits } from '../store/surveys.ts';
import { offer } from '../ui/offer.ts';
import { recordWords } from './names.ts';
import { keep } from './saving.tsx';

/** `Hall was taken away, with 7 things that belong to it.` */
export function takenWords(title: string, along: number): string {
  const more =
    along === 0 ? '' : along === 1 ? ', with one thing that belongs to it' : `, with ${along} things that belong to it`;
  return `${title} was taken away${more}.`;
}

/** Offer to bring back what was just taken away. */
export function offerBack(survey: Survey, kind: string, id: string, along = 0): void {
  const record = survey.find(kind, id);
  const title = record ? recordWords(survey, record) : titleOf(kindOf(kind), {});
  offer({
    survey: survey.id,
    words: takenWords(title, along),
    way: 'Bring back',
    // Read when it is wanted, like a screen: it lies on the phone with them.
    undo: () => keep(async () => (await import('../store/taken.ts')).bringBack(survey.id, kind, id), false),
  });
}

/** Take a record away with all that belongs to it, by what is stored at this moment. Answers whether it is done. */
export async function takeAway(survey: Survey, kind: string, id: string): Promise<boolean> {
  let along = 0;
  const done = await keep(() =>
    saveEdits(survey.id, (present) => {
      const edits = removal(present, kind, id);
      along = edits.filter((edit) => edit.values['deleted'] === true).length - 1;
      return edits;
    }),
  );
  if (done) offerBack(survey, kind, id, along);
  return done;
}
