/** Report versions, and the emails that carry them. */
import { useEffect, useState } from 'preact/hooks';
import { isUnderWay, letter, paperWords, pointKey, sizeWords, type Report } from '../../domain/office.ts';
import { counted, momentWords } from '../../domain/words.ts';
import { draftOf, keepDraft } from '../../forms/drafts.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { waits } from '../../sync/loop.ts';
import {
  askForReportAgain,
  fetchChanges,
  fetchReports,
  paperAddress,
  sendReport,
  troubleWith,
  type Versions,
} from '../../sync/office.ts';
import { Notice } from '../../ui/Notice.tsx';
import { Making } from './Making.tsx';
import { Outbox } from './Outbox.tsx';
import { StateMark, Trouble } from './parts.tsx';
import { Cell, Head, Table } from '../../ui/Cards.tsx';
import { useRemote, type Remote } from './remote.ts';

export function Reports({ open }: { open: OpenSurvey }) {
  const { survey, row } = open;
  const remote = useRemote(`reports/${survey.id}`, row.latest_report ?? 0, () => fetchReports(survey.id));
  const reports = [...(remote.value?.reports ?? [])].sort((a, b) => b.number - a.number);
  const [sends, setSends] = useState(0);
  const newest = reports[0];
  return (
    <>
      <Trouble words={remote.trouble} isShown={remote.value !== null} onAgain={() => void remote.refresh()} />
      <Making open={open} next={remote.value ? (newest?.number ?? 0) + 1 : null} remote={remote} />
      {remote.value && reports.length === 0 && <p>No version has been made yet.</p>}
      {newest && newest.revision < row.cursor && (
        <p>
          <b>The survey has changed since version {newest.number}.</b> Versions stay as they were made; a new one takes
          the changes in.
        </p>
      )}
      {newest && newest.revision < row.cursor && (
        <Changed survey={survey.id} version={`${newest.number}/${row.cursor}`} />
      )}
      {reports.map((report) => (
        <LostPaper key={report.number} survey={survey.id} report={report} remote={remote} />
      ))}
      {reports.length > 0 && (
        <div class="sheet sheet-table">
          <Table
            label="Versions"
            head={
              <tr role="row">
                <Head words="Version" />
                <Head words="Made" />
                <Head words="From change" isNumber />
                <Head words="Pages" isNumber />
                <Head words="Size" isNumber />
              </tr>
            }
          >
            {reports.map((report) => (
              <tr key={report.number} role="row">
                <Cell label="Version" class="cards-title">
                  <VersionLinks survey={survey.id} report={report} />
                </Cell>
                <Cell label="Made">{momentWords(Date.parse(report.made_at))}</Cell>
                <Cell label="From change" isNumber>
                  {report.revision}
                </Cell>
                <Cell label="Pages" isNumber>
                  {report.pages}
                </Cell>
                <Cell label="Size" isNumber>
                  {sizeWords(report.size_bytes)}
                </Cell>
              </tr>
            ))}
          </Table>
        </div>
      )}
      {reports.map((report) => (
        <KeptReasons key={report.number} report={report} />
      ))}
      {newest && <Letter key={newest.number} open={open} reports={reports} onSent={() => setSends(sends + 1)} />}
      <Outbox survey={survey.id} version={`${row.latest_report ?? 0}/${sends}`} />
    </>
  );
}

/** Why a version was made although red points stood against it, who wrote that, and when. */
function KeptReasons({ report }: { report: Report }) {
  if (!report.reasons?.length) return null;
  return (
    <details>
      <summary>
        Version {report.number} was made with {counted(report.reasons.length, 'red point')}
      </summary>
      <ul class="list points">
        {report.reasons.map((kept) => (
          <li key={pointKey(kept)}>
            <StateMark state={{ words: kept.title, tone: 'stop' }} />
            <p>{kept.words}</p>
            <p>
              <b>Reason:</b> {kept.reason}
            </p>
            <p class="field-notes">
              {kept.by || 'Written at the office'}, {momentWords(Date.parse(kept.at))}
            </p>
          </li>
        ))}
      </ul>
    </details>
  );
}

/** What the next version would open with, before it is made. */
function Changed({ survey, version }: { survey: string; version: string }) {
  const remote = useRemote(`changes/${survey}`, version, () => fetchChanges(survey));
  const found = remote.value;
  if (!found || found.since === null) return null;
  return (
    <section class="sheet" aria-label="What the next version changes">
      <h3>What changed since version {found.since}</h3>
      {found.changes.length === 0 ? (
        <p>Nothing of money, unit, rooms or dates.</p>
      ) : (
        <ul class="list">
          {found.changes.map((item, place) => (
            <li key={place}>
              <b>{item.what}</b>: {item.now}; before {item.before}. <small>{item.reason}.</small>
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}

/** The papers of a version, each by itself; one whose file is not there says so. */
function VersionLinks({ survey, report }: { survey: string; report: Report }) {
  const lost = paperWords(report);
  if (lost) return <StateMark state={{ words: `Version ${report.number}: no file`, tone: lost.tone }} />;
  return (
    <span class="version-papers">
      {report.papers.map((paper) => (
        <a
          key={paper.name}
          class="office-open"
          href={paperAddress(survey, report.number, paper.name)}
          target="_blank"
          rel="noopener"
        >
          {paper.label}, version {report.number}
        </a>
      ))}
    </span>
  );
}

/** A version whose file is not there as it was made: said, and made again when the office can. */
function LostPaper({ survey, report, remote }: { survey: string; report: Report; remote: Remote<Versions> }) {
  const [isBusy, setBusy] = useState(false);
  const [words, setWords] = useState<string | null>(null);
  const lost = paperWords(report);
  if (!lost) return null;
  const again = async () => {
    setBusy(true);
    const reply = await askForReportAgain(survey, report.number);
    setWords(reply.kind === 'ok' ? null : `Not made again: ${troubleWith(reply)}`);
    await remote.refresh();
    setBusy(false);
  };
  return (
    <Notice tone="stop">
      <p>
        <b>{lost.words}.</b> It cannot be opened or sent. It is put back only when it comes out again as it was, to the
        last byte.
      </p>
      <div class="buttons">
        <button
          type="button"
          class="button"
          disabled={isBusy || isUnderWay(remote.value?.job ?? null)}
          onClick={() => void again()}
        >
          Make version {report.number} again
        </button>
      </div>
      {words && <p>{words}</p>}
    </Notice>
  );
}

const PARTS = ['to', 'subject', 'message'] as const;
const LABELS = { to: 'To', subject: 'Subject', message: 'Message' };

function Letter({ open, reports, onSent }: { open: OpenSurvey; reports: Report[]; onSent: () => void }) {
  const { survey } = open;
  const path = (part: string): string => `letter/${survey.id}/${part}`;
  const [number, setNumber] = useState(reports[0]!.number);
  const session = waits.value?.session;
  const draft = letter(survey.single('survey')?.values ?? {}, number, {
    name: session?.user.name ?? '',
    firm: session?.firm.name ?? '',
  });
  const [typed, setTyped] = useState<Partial<typeof draft>>(() =>
    Object.fromEntries(
      PARTS.flatMap((part) => {
        const kept = draftOf(path(part));
        return kept === undefined ? [] : [[part, kept]];
      }),
    ),
  );
  const [problem, setProblem] = useState<{ field: string | null; words: string } | null>(null);
  const [isBusy, setBusy] = useState(false);
  const [sent, setSent] = useState<string | null>(null);
  useEffect(() => {
    for (const part of PARTS) keepDraft(path(part), typed[part] ?? null);
  }, [typed]);
  const present = { ...draft, ...typed };
  const send = async (event: SubmitEvent) => {
    event.preventDefault();
    if (present.to.trim() === '') {
      setProblem({ field: 'to', words: 'Nobody to send it to: write the household’s email here, or in the survey.' });
      return;
    }
    setBusy(true);
    const reply = await sendReport(survey.id, number, {
      to: present.to.trim(),
      subject: present.subject.trim(),
      message: present.message,
    });
    setBusy(false);
    setSent(
      reply.kind === 'ok'
        ? `In the outbox: version ${number} to ${reply.body.to}. Below it says when it has gone.`
        : null,
    );
    if (reply.kind === 'ok') {
      setProblem(null);
      setTyped({});
      onSent();
    } else if (reply.kind === 'none')
      setProblem({
        field: null,
        words: `${troubleWith(reply)} It may be in the outbox all the same: look below before you send again.`,
      });
    else
      setProblem({
        field: reply.kind === 'refused' ? reply.problem.field : null,
        words: `Not sent: ${troubleWith(reply)}`,
      });
  };
  const isAtField = PARTS.some((part) => part === problem?.field);
  return (
    <form class="group" onSubmit={(event) => void send(event)} noValidate>
      <h3>Send it to the household</h3>
      {reports.length > 1 && (
        <div class="field">
          <label class="field-label" for="letter-version">
            Version
          </label>
          <select
            class="input"
            id="letter-version"
            value={number}
            onChange={(event) => setNumber(Number(event.currentTarget.value))}
          >
            {reports.map((report) => (
              <option key={report.number} value={report.number}>
                Version {report.number}, made {momentWords(Date.parse(report.made_at))}
              </option>
            ))}
          </select>
        </div>
      )}
      {PARTS.map((part) => {
        const id = `letter-${part}`;
        const wrong = problem?.field === part ? problem.words : null;
        const common = {
          id,
          class: wrong ? 'input input-problem' : 'input',
          'aria-describedby': `${id}-problem`,
          'aria-invalid': wrong ? true : undefined,
          value: present[part],
          onInput: (event: Event) => {
            setSent(null);
            setTyped({ ...typed, [part]: (event.currentTarget as HTMLInputElement).value });
          },
        };
        return (
          <div key={part} class="field">
            <label class="field-label" for={id}>
              {LABELS[part]}
            </label>
            {part === 'message' ? (
              <textarea {...common} rows={9} />
            ) : (
              <input
                {...common}
                type="text"
                inputMode={part === 'to' ? 'email' : 'text'}
                maxLength={part === 'to' ? 254 : 200}
                autocomplete="off"
              />
            )}
            <p class="field-problem" id={`${id}-problem`} role="alert">
              {wrong}
            </p>
          </div>
        );
      })}
      <p class="field-problem" role="alert">
        {problem && !isAtField ? problem.words : null}
      </p>
      <div class="buttons">
        <button type="submit" class="button button-main" disabled={isBusy}>
          {isBusy ? 'Asking the office' : `Send version ${number}`}
        </button>
      </div>
      <p class="field-saved" role="status">
        {sent}
      </p>
    </form>
  );
}
