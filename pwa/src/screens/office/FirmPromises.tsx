/** What every quotation of the firm promises and asks: how long it holds, the payments, when work usually begins, what is never in it. */
import { useEffect, useState } from 'preact/hooks';
import {
  addedUp,
  asPromised,
  asTyped,
  type FirmPromises,
  type TypedPromises,
  type TypedStage,
} from '../../domain/promises.ts';
import { momentWords } from '../../domain/words.ts';
import { draftOf, keepDraft } from '../../forms/drafts.ts';
import { saveFirm, troubleWith } from '../../sync/office.ts';
import { FirmField } from './FirmField.tsx';

const DRAFT = 'firm/promises';
/** The office takes no more. */
const MOST_STAGES = 8;
/** What is asked above the payments, and what below. */
const COUNTS = [
  { name: 'valid_days', label: 'A quotation holds for (days)', help: 'Counted from the day of the version.' },
  {
    name: 'lead_weeks',
    label: 'Work usually begins after (weeks)',
    help: 'Counted from the day on which the household says yes.',
  },
].map((line) => ({ ...line, rows: 1, most: 3, mode: 'numeric' as const }));
const LISTS = [
  {
    name: 'exclusions',
    label: 'Never in the price',
    help: 'One on each line, on every quotation. What a survey finds stands there by itself.',
  },
  { name: 'assumptions', label: 'Taken as given', help: 'One on each line, on every quotation.' },
].map((line) => ({ ...line, rows: 4, most: 1000, mode: undefined }));

function drafted(): TypedPromises | null {
  const draft = draftOf(DRAFT);
  return draft === undefined ? null : (JSON.parse(draft) as TypedPromises);
}

export function Promises({ firm, onSaved }: { firm: FirmPromises; onSaved: () => Promise<void> }) {
  const [typed, setTyped] = useState<TypedPromises | null>(drafted);
  const [problem, setProblem] = useState<{ field: string | null; words: string } | null>(null);
  const [savedAt, setSavedAt] = useState<number | null>(null);
  const [isBusy, setBusy] = useState(false);
  const shown = typed ?? asTyped(firm);
  useEffect(() => keepDraft(DRAFT, typed === null ? null : JSON.stringify(typed)), [typed]);
  const change = (some: Partial<TypedPromises>) => {
    setSavedAt(null);
    setTyped({ ...shown, ...some });
  };
  const changeStage = (place: number, some: Partial<TypedStage>) =>
    change({ stages: shown.stages.map((stage, at) => (at === place ? { ...stage, ...some } : stage)) });
  const save = async (event: SubmitEvent) => {
    event.preventDefault();
    if (isBusy || typed === null) return;
    const read = asPromised(shown);
    if ('problem' in read) {
      setProblem(read.problem);
      return;
    }
    setBusy(true);
    const reply = await saveFirm(read.promises);
    setBusy(false);
    if (reply.kind !== 'ok') {
      setProblem({
        field: reply.kind === 'refused' ? reply.problem.field : null,
        words: `Not saved: ${troubleWith(reply)} What you typed is still here.`,
      });
      return;
    }
    setProblem(null);
    await onSaved();
    setTyped(null);
    setSavedAt(Date.now());
  };
  const at = (name: string) => (problem?.field?.split('.')[0] === name ? problem.words : null);
  const isPlaced = [...LISTS, ...COUNTS].some(({ name }) => at(name)) || at('stages');
  const asked = (line: (typeof COUNTS | typeof LISTS)[number]) => {
    const name = line.name as 'valid_days' | 'lead_weeks' | 'exclusions' | 'assumptions';
    return (
      <FirmField
        key={name}
        {...line}
        value={shown[name]}
        wrong={at(name)}
        onType={(text) => change({ [name]: text })}
      />
    );
  };
  return (
    <form class="group" aria-label="Quotations" onSubmit={(event) => void save(event)} noValidate>
      <h2>Quotations</h2>
      {COUNTS.map(asked)}
      <fieldset class="field stages">
        <legend class="field-label">Payments</legend>
        {shown.stages.map((stage, place) => (
          <div key={place} class="stage-row">
            <label>
              <span>Share, %</span>
              <input
                class="input"
                type="text"
                inputMode="decimal"
                autocomplete="off"
                maxLength={6}
                aria-label={`Share of payment ${place + 1}, %`}
                value={stage.percent}
                onInput={(event) => changeStage(place, { percent: event.currentTarget.value })}
              />
            </label>
            <label>
              <span>When it is due</span>
              <input
                class="input"
                type="text"
                autocomplete="off"
                maxLength={120}
                aria-label={`When payment ${place + 1} is due`}
                value={stage.words}
                onInput={(event) => changeStage(place, { words: event.currentTarget.value })}
              />
            </label>
            <button
              type="button"
              class="button"
              aria-label={`Take away payment ${place + 1}`}
              onClick={() => change({ stages: shown.stages.filter((_stage, at_) => at_ !== place) })}
            >
              Take away
            </button>
          </div>
        ))}
        {shown.stages.length > 0 && (
          <label class="stage-deposit">
            <input
              type="checkbox"
              checked={shown.has_deposit}
              onChange={(event) => change({ has_deposit: event.currentTarget.checked })}
            />{' '}
            The first one is a deposit
          </label>
        )}
        {shown.stages.length < MOST_STAGES && (
          <div class="buttons">
            <button
              type="button"
              class="button"
              onClick={() => change({ stages: [...shown.stages, { percent: '', words: '' }] })}
            >
              Add a payment
            </button>
          </div>
        )}
        <p class="field-notes">
          {shown.stages.length === 0
            ? 'None: the quotation says that you agree on it in writing.'
            : `Together ${addedUp(shown.stages) ?? 'not known'} of 100 %. Of the price with VAT, less what is taken off it; to the penny.`}
        </p>
        <p class="field-problem" role="alert">
          {at('stages')}
        </p>
      </fieldset>
      {LISTS.map(asked)}
      <p class="field-problem" role="alert">
        {problem && !isPlaced ? problem.words : null}
      </p>
      <div class="buttons">
        <button type="submit" class="button button-main" aria-disabled={isBusy || typed === null}>
          {isBusy ? 'Asking the office' : 'Save for quotations'}
        </button>
      </div>
      <p class="field-saved" role="status">
        {savedAt ? `Saved at the office ${momentWords(savedAt)}. Versions made before keep what they promised.` : ''}
      </p>
    </form>
  );
}
