/** The firm's records of one kind written as a list: a file from the office that comes in there again unchanged. */
import { useState } from 'preact/hooks';
import { bookWords } from '../../domain/book.ts';
import type { Kind } from '../../domain/model.ts';
import { fetchList, LIST_FORMS, troubleWith, type ListForm } from '../../sync/office.ts';
import { saveAsFile } from '../../ui/save_as.ts';
import { Outcome, type Told } from './parts.tsx';

const WRITTEN = ['article', 'preset_valve'];
/** Whether the office writes records of a kind as a list. */
export const goesAsList = (kind: Kind): boolean => WRITTEN.includes(kind.name);

export function ListOut({ kind }: { kind: Kind }) {
  const { many } = bookWords(kind);
  const [said, setSaid] = useState<Told | null>(null);
  const [isBusy, setBusy] = useState(false);
  const write = async (form: ListForm) => {
    setBusy(true);
    setSaid(null);
    const reply = await fetchList(kind.name, form);
    if (reply.kind === 'ok') {
      saveAsFile(reply.body, `${many.replaceAll(' ', '-')}.${form}`);
      setSaid({
        words: `The office wrote ${many} as ${form.toUpperCase()}. What waits on this phone is not in it.`,
        isTrouble: false,
      });
    } else setSaid({ words: `Nothing was written. ${troubleWith(reply)}`, isTrouble: true });
    setBusy(false);
  };
  return (
    <div class="group" role="group" aria-label={`Write out the ${many}`}>
      <div class="buttons">
        {LIST_FORMS.map((form) => (
          <button key={form} type="button" class="button" disabled={isBusy} onClick={() => void write(form)}>
            All {many} as {form.toUpperCase()}
          </button>
        ))}
      </div>
      <Outcome told={said} />
    </div>
  );
}
