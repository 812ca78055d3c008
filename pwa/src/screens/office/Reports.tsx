/** Report versions, and the emails that carry them. */
import { useEffect, useState } from 'preact/hooks';
import { fieldLabel, type ContestedField } from '../../domain/contested.ts';
import { letter, sizeWords, type Report } from '../../domain/office.ts';
import { momentWords, waitingWords } from '../../domain/words.ts';
import { draftOf, keepDraft } from '../../forms/drafts.ts';
import { recordWords, wordsFor } from '../../forms/names.ts';
import { surveysWaiting } from '../../store/exchange.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { syncNow, waits } from '../../sync/loop.ts';
import { fetchReports, makeReport, reportAddress, sendReport, troubleWith } from '../../sync/office.ts';
import { Notice } from '../../ui/Notice.tsx';
import { Outbox } from './Outbox.tsx';
import { officeLink, Trouble } from './parts.tsx';
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
      <Make open={open} next={(newest?.number ?? 0) + 1} remote={remote} />
      {remote.value && reports.length === 0 && <p>No version has been made yet.</p>}
      {newest && newest.revision < row.cursor && <p><b>The survey has changed since version {newest.number}.</b> Versions stay as they were made; a new one takes the changes in.</p>}
      {reports.length > 0 && (
        <div class="sheet sheet-table">
          <Table label="Versions" head={<tr role="row"><Head words="Version" /><Head words="Made" /><Head words="From change" isNumber /><Head words="Pages" isNumber /><Head words="Size" isNumber /></tr>}>
            {reports.map((report) => (
              <tr key={report.number} role="row">
                <Cell label="Version" class="cards-title"><a class="office-open" href={reportAddress(survey.id, report.number)} target="_blank" rel="noopener">Version {report.number} (PDF)</a></Cell>
                <Cell label="Made">{momentWords(Date.parse(report.made_at))}</Cell>
                <Cell label="From change" isNumber>{report.revision}</Cell>
                <Cell label="Pages" isNumber>{report.pages}</Cell>
                <Cell label="Size" isNumber>{sizeWords(report.size_bytes)}</Cell>
              </tr>
            ))}
          </Table>
        </div>
      )}
      {newest && <Letter key={newest.number} open={open} reports={reports} onSent={() => setSends(sends + 1)} />}
      <Outbox survey={survey.id} version={`${row.latest_report ?? 0}/${sends}`} />
    </>
  );
}

function Make({ open, next, remote }: { open: OpenSurvey; next: number; remote: Remote<{ reports: Report[] }> }) {
  const { survey, row } = open;
  const [isBusy, setBusy] = useState(false);
  const [words, setWords] = useState<string | null>(null);
  const contested: ContestedField[] = row.contested;
  const waiting = waitingWords(open.waiting, 0);
  const missing = row.photos_at_office.filter((photo) => !photo.arrived).length;
  const make = async () => {
    setBusy(true);
    setWords(null);
    if (waiting) await syncNow();
    if ((await surveysWaiting()).includes(survey.id)) {
      setWords('Changes of this survey are still on this device, and the office does not take them just now: a version without them would be wrong. Try again when the line above says that they are at the office.');
    } else {
      const reply = await makeReport(survey.id);
      if (reply.kind === 'none') setWords(`${troubleWith(reply)} It may have been made all the same: look at the list before you try again.`);
      else if (reply.kind !== 'ok') setWords(`Not made: ${troubleWith(reply)}`);
      await remote.refresh();
      void syncNow();
    }
    setBusy(false);
  };
  if (contested.length > 0) {
    return (
      <Notice tone="stop">
        <p><b>No report can be made</b> while {contested.length === 1 ? 'one answer was' : `${contested.length} answers were`} given twice: nobody could say which of them it stands on.</p>
        <ul class="office-list">
          {contested.map((item) => {
            const record = survey.find(item.kind, item.record);
            const name = record ? recordWords(survey, record) : (item.title ?? wordsFor(survey, item.kind, item.record));
            return <li key={`${item.record}/${item.field}`}><a href={officeLink(survey.id, 'came')}>{name}: {fieldLabel(item.kind, item.field)}</a></li>;
          })}
        </ul>
        <div class="buttons"><a class="button button-main" href={officeLink(survey.id, 'came')}>Pick which stands</a></div>
      </Notice>
    );
  }
  return (
    <section class="sheet" aria-label="A new version">
      {open.gaps.length > 0 && <p>{open.gaps.length === 1 ? 'One gap is' : `${open.gaps.length} gaps are`} still open. The report prints {open.gaps.length === 1 ? 'it' : 'each'} with what it spoils.</p>}
      {missing > 0 && <p>{missing === 1 ? 'One photo is' : `${missing} photos are`} not at the office: the report says so in {missing === 1 ? 'its' : 'their'} place.</p>}
      {waiting && <p>{waiting} on this device: sent first.</p>}
      <div class="buttons">
        <button type="button" class="button button-main" disabled={isBusy || row.cursor + open.waiting === 0} onClick={() => void make()}>{isBusy ? `Making version ${next}` : `Make version ${next}`}</button>
      </div>
      <p class="field-problem" role="alert">{words}</p>
    </section>
  );
}

const PARTS = ['to', 'subject', 'message'] as const;
const LABELS = { to: 'To', subject: 'Subject', message: 'Message' };

function Letter({ open, reports, onSent }: { open: OpenSurvey; reports: Report[]; onSent: () => void }) {
  const { survey } = open;
  const path = (part: string): string => `letter/${survey.id}/${part}`;
  const [number, setNumber] = useState(reports[0]!.number);
  const session = waits.value?.session;
  const draft = letter(survey.single('survey')?.values ?? {}, number, { name: session?.user.name ?? '', firm: session?.firm.name ?? '' });
  const [typed, setTyped] = useState<Partial<typeof draft>>(() => Object.fromEntries(PARTS.flatMap((part) => { const kept = draftOf(path(part)); return kept === undefined ? [] : [[part, kept]]; })));
  const [problem, setProblem] = useState<{ field: string | null; words: string } | null>(null);
  const [isBusy, setBusy] = useState(false);
  const [sent, setSent] = useState<string | null>(null);
  useEffect(() => { for (const part of PARTS) keepDraft(path(part), typed[part] ?? null); }, [typed]);
  const present = { ...draft, ...typed };
  const send = async (event: SubmitEvent) => {
    event.preventDefault();
    if (present.to.trim() === '') {
      setProblem({ field: 'to', words: 'Nobody to send it to: write the household’s email here, or in the survey.' });
      return;
    }
    setBusy(true);
    const reply = await sendReport(survey.id, number, { to: present.to.trim(), subject: present.subject.trim(), message: present.message });
    setBusy(false);
    setSent(reply.kind === 'ok' ? `In the outbox: version ${number} to ${reply.body.to}. Below it says when it has gone.` : null);
    if (reply.kind === 'ok') {
      setProblem(null);
      setTyped({});
      onSent();
    } else if (reply.kind === 'none') setProblem({ field: null, words: `${troubleWith(reply)} It may be in the outbox all the same: look below before you send again.` });
    else setProblem({ field: reply.kind === 'refused' ? reply.problem.field : null, words: `Not sent: ${troubleWith(reply)}` });
  };
  const isAtField = PARTS.some((part) => part === problem?.field);
  return (
    <form class="group" onSubmit={(event) => void send(event)} noValidate>
      <h3>Send it to the household</h3>
      {reports.length > 1 && (
        <div class="field">
          <label class="field-label" for="letter-version">Version</label>
          <select class="input" id="letter-version" value={number} onChange={(event) => setNumber(Number(event.currentTarget.value))}>
            {reports.map((report) => <option key={report.number} value={report.number}>Version {report.number}, made {momentWords(Date.parse(report.made_at))}</option>)}
          </select>
        </div>
      )}
      {PARTS.map((part) => {
        const id = `letter-${part}`;
        const wrong = problem?.field === part ? problem.words : null;
        const common = {
          id, class: wrong ? 'input input-problem' : 'input', 'aria-describedby': `${id}-problem`, 'aria-invalid': wrong ? true : undefined, value: present[part],
          onInput: (event: Event) => { setSent(null); setTyped({ ...typed, [part]: (event.currentTarget as HTMLInputElement).value }); },
        };
        return (
          <div key={part} class="field">
            <label class="field-label" for={id}>{LABELS[part]}</label>
            {part === 'message' ? <textarea {...common} rows={9} /> : <input {...common} type="text" inputMode={part === 'to' ? 'email' : 'text'} maxLength={part === 'to' ? 254 : 200} autocomplete="off" />}
            <p class="field-problem" id={`${id}-problem`} role="alert">{wrong}</p>
          </div>
        );
      })}
      <p class="field-problem" role="alert">{problem && !isAtField ? problem.words : null}</p>
      <div class="buttons"><button type="submit" class="button button-main" disabled={isBusy}>{isBusy ? 'Asking the office' : `Send version ${number}`}</button></div>
      <p class="field-saved" role="status">{sent}</p>
    </form>
  );
}
