/** The firm: its name and terms, kept at the office at once; its units and articles, kept on this phone like a survey. */
import { useEffect, useState } from 'preact/hooks';
import { BOOK } from '../../domain/book.ts';
import type { Firm } from '../../domain/office.ts';
import type { FirmPromises } from '../../domain/promises.ts';
import { momentWords } from '../../domain/words.ts';
import { draftOf, keepDraft } from '../../forms/drafts.ts';
import { keepSession } from '../../store/session.ts';
import { waits } from '../../sync/loop.ts';
import { fetchFirm, saveFirm, troubleWith } from '../../sync/office.ts';
import { Page } from '../../ui/Page.tsx';
import { historyLink, link, route } from '../../ui/router.ts';
import { Book } from './Book.tsx';
import { FirmHistory } from './FirmHistory.tsx';
import { FirmField } from './FirmField.tsx';
import { FirmLogo } from './FirmLogo.tsx';
import { Promises } from './FirmPromises.tsx';
import { Trouble } from './parts.tsx';
import { useRemote } from './remote.ts';

interface Line {
  name: keyof Firm;
  label: string;
  help: string;
  rows: number;
  most: number;
  mode?: 'tel' | 'email';
}

const LINES: Line[] = [
  { name: 'name', label: 'Name', help: 'At the head of every report.', rows: 1, most: 120 },
  { name: 'address', label: 'Address', help: '', rows: 3, most: 400 },
  { name: 'telephone', label: 'Telephone', help: '', rows: 1, most: 40, mode: 'tel' },
  { name: 'email', label: 'Email', help: 'Households’ replies come here.', rows: 1, most: 254, mode: 'email' },
  {
    name: 'terms',
    label: 'Terms',
    help: 'Printed at the end of every quote, after the right to cancel. Have them read by somebody who knows consumer law.',
    rows: 10,
    most: 20_000,
  },
];

const draftPath = (name: string): string => `firm/${name}`;

/** The firm's page, and behind it what was changed of the firm. */
export function FirmScreen() {
  const [, log, , part] = route.value.path;
  return log === BOOK && part === 'history' ? <FirmHistory /> : <FirmPage />;
}

function FirmPage() {
  const remote = useRemote('firm', 0, fetchFirm);
  const [typed, setTyped] = useState<Partial<Firm>>(() =>
    Object.fromEntries(
      LINES.flatMap(({ name }) => {
        const draft = draftOf(draftPath(name));
        return draft === undefined ? [] : [[name, draft]];
      }),
    ),
  );
  const [problem, setProblem] = useState<{ field: string | null; words: string } | null>(null);
  const [savedAt, setSavedAt] = useState<number | null>(null);
  const [isBusy, setBusy] = useState(false);
  const firm = remote.value;
  const isChanged = firm !== null && LINES.some(({ name }) => typed[name] !== undefined && typed[name] !== firm[name]);
  useEffect(() => {
    for (const { name } of LINES) keepDraft(draftPath(name), typed[name] ?? null);
  }, [typed]);

  const save = async (event: SubmitEvent) => {
    event.preventDefault();
    if (!firm || isBusy || !isChanged) return;
    setBusy(true);
    const changed = Object.fromEntries(
      LINES.filter(({ name }) => typed[name] !== undefined && typed[name] !== firm[name]).map(({ name }) => [
        name,
        name === 'address' || name === 'terms' ? typed[name] : typed[name]!.trim(),
      ]),
    );
    const reply = await saveFirm(changed);
    setBusy(false);
    if (reply.kind !== 'ok') {
      setProblem({
        field: reply.kind === 'refused' ? reply.problem.field : null,
        words: `Not saved: ${troubleWith(reply)} What you typed is still here.`,
      });
      return;
    }
    setProblem(null);
    setTyped({});
    setSavedAt(Date.now());
    const session = waits.value?.session;
    if (session) await keepSession({ ...session, firm: { name: reply.body.name } });
    await remote.refresh();
  };
  const choose = async (printsChecks: boolean) => {
    const reply = await saveFirm({ prints_checks: printsChecks });
    setProblem(reply.kind === 'ok' ? null : { field: 'prints_checks', words: `Not saved: ${troubleWith(reply)}` });
    if (reply.kind === 'ok') setSavedAt(Date.now());
    await remote.refresh();
  };
  return (
    <Page title="The firm" over="Office" back={link('office')} backWords="the office's list">
      <Trouble words={remote.trouble} isShown={firm !== null} onAgain={() => void remote.refresh()} />
      <p>
        <a class="more" href={historyLink(BOOK)}>
          What was changed, and by whom
        </a>
      </p>
      {firm && (
        <form class="group" onSubmit={(event) => void save(event)} noValidate>
          {LINES.map((line) => (
            <FirmField
              key={line.name}
              {...line}
              value={typed[line.name] ?? firm[line.name]}
              wrong={problem?.field === line.name ? problem.words : null}
              onType={(text) => {
                setSavedAt(null);
                setTyped({ ...typed, [line.name]: text });
              }}
            />
          ))}
          <p class="field-problem" role="alert">
            {problem && problem.field !== 'prints_checks' && !LINES.some(({ name }) => name === problem.field)
              ? problem.words
              : null}
          </p>
          <div class="buttons">
            <button type="submit" class="button button-main" aria-disabled={isBusy || !isChanged}>
              {isBusy ? 'Asking the office' : 'Save at the office'}
            </button>
          </div>
          <p class="field-saved" role="status">
            {savedAt ? `Saved at the office ${momentWords(savedAt)}. Reports made before keep the old words.` : ''}
          </p>
        </form>
      )}
      {firm?.logo !== undefined && <FirmLogo logo={firm.logo} onSaved={() => remote.refresh()} />}
      {firm?.stages !== undefined && <Promises firm={firm as Firm & FirmPromises} onSaved={() => remote.refresh()} />}
      {firm?.prints_checks !== undefined && (
        <section class="group" aria-label="Reports">
          <div class="field" role="group" aria-label="Checks on the last page">
            <p class="field-label">Checks on the last page</p>
            <div class="choices choices-two">
              {(
                [
                  [true, 'Yes'],
                  [false, 'No'],
                ] as const
              ).map(([answer, words]) => (
                <button
                  key={words}
                  type="button"
                  class="choice"
                  aria-pressed={firm.prints_checks === answer}
                  onClick={() => void choose(answer)}
                >
                  <span class="choice-words">{words}</span>
                </button>
              ))}
            </div>
            <p class="field-notes">
              At the end of every report: how many cases whose answer is known from elsewhere Wattwalk works out right,
              by kind.
            </p>
            <p class="field-problem" role="alert">
              {problem?.field === 'prints_checks' ? problem.words : null}
            </p>
          </div>
        </section>
      )}
      {!firm && !remote.trouble && <p>Asking the office.</p>}
      <Book />
    </Page>
  );
}
