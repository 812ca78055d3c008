/** The logo at the head of the firm's papers: chosen as a file, shown as it will be printed, taken away. */
import { useState } from 'preact/hooks';
import { momentWords } from '../../domain/words.ts';
import { saveLogo, troubleWith } from '../../sync/office.ts';
import { Confirm } from '../../ui/Confirm.tsx';

export function FirmLogo({ logo, onSaved }: { logo: string | null; onSaved: () => Promise<void> }) {
  const [problem, setProblem] = useState<string | null>(null);
  const [done, setDone] = useState('');
  const [isBusy, setBusy] = useState(false);
  const save = async (bytes: Uint8Array | null) => {
    setBusy(true);
    setDone('');
    const reply = await saveLogo(bytes);
    setProblem(reply.kind === 'ok' ? null : `Not saved: ${troubleWith(reply)}`);
    if (reply.kind === 'ok') {
      await onSaved();
      const what = bytes ? 'Saved' : 'Taken away';
      setDone(`${what} at the office ${momentWords(Date.now())}. Versions made before keep what they had.`);
    }
    setBusy(false);
  };
  const chosen = async (input: HTMLInputElement) => {
    const file = input.files?.[0];
    if (!file) return;
    let bytes: Uint8Array | null = null;
    try {
      bytes = new Uint8Array(await file.arrayBuffer());
    } catch {
      setDone('');
      setProblem(`${file.name} could not be read. Choose it again.`);
    }
    if (bytes) await save(bytes);
    input.value = '';
  };
  return (
    <section class="group" aria-label="Logo">
      <h2>Logo</h2>
      {logo && (
        <p class="firm-logo">
          <img src={logo} alt="The firm’s logo, as it is printed" />
        </p>
      )}
      <div class="field">
        <label class="field-label" for="firm-logo-file">
          {logo ? 'Another picture' : 'The logo as a picture'}
        </label>
        <input
          id="firm-logo-file"
          class="input"
          type="file"
          accept="image/png,image/jpeg,image/webp"
          disabled={isBusy}
          aria-describedby="firm-logo-notes"
          onChange={(event) => void chosen(event.currentTarget)}
        />
        <div id="firm-logo-notes">
          <p class="field-notes">
            PNG, JPEG or WebP, at most 1 MB. At the head of quotation and technical file, at most 60 × 20 mm, on white.
          </p>
          <p class="field-problem" role="alert">
            {problem}
          </p>
        </div>
      </div>
      {logo && (
        <Confirm
          words="Take the logo away"
          question="Take the logo away? Papers begin with the firm’s name then."
          yes="Take it away"
          onYes={() => void save(null)}
        />
      )}
      <p class="field-saved" role="status">
        {done}
      </p>
    </section>
  );
}
