/** The emails of a survey: where each one is, and sending again what a person decides to send again. */
import { useEffect, useState } from 'preact/hooks';
import { emailTone, emailWords, type Email } from '../../domain/office.ts';
import { momentWords } from '../../domain/words.ts';
import { fetchEmails, retryEmail, troubleWith } from '../../sync/office.ts';
import { Confirm } from '../../ui/Confirm.tsx';
import { StateMark, Trouble } from './parts.tsx';
import { useRemote } from './remote.ts';

/** While a message is on its way, the page looks again after so long. */
const LOOK_AGAIN_MS = 3000;

export function Outbox({ survey, version }: { survey: string; version: string }) {
  const remote = useRemote(`emails/${survey}`, version, () => fetchEmails(survey));
  const emails = remote.value?.emails ?? [];
  const isMoving = emails.some((email) => email.state === 'waiting' || email.state === 'sending');
  useEffect(() => {
    if (!isMoving) return undefined;
    const timer = setInterval(() => {
      if (document.visibilityState === 'visible') void remote.refresh();
    }, LOOK_AGAIN_MS);
    return () => clearInterval(timer);
  }, [isMoving, version]);
  if (remote.value === null && !remote.trouble) return null;
  return (
    <section class="office-stack" aria-labelledby="outbox">
      <h3 id="outbox">Outbox</h3>
      <Trouble words={remote.trouble} isShown={remote.value !== null} onAgain={() => void remote.refresh()} />
      {remote.value && emails.length === 0 && <p>Nothing of this survey has been sent.</p>}
      {emails.length > 0 && (
        <ul class="list">
          {emails.map((email) => (
            <Message key={email.id} email={email} onDone={remote.refresh} />
          ))}
        </ul>
      )}
    </section>
  );
}

function Message({ email, onDone }: { email: Email; onDone: () => Promise<void> }) {
  const [problem, setProblem] = useState<string | null>(null);
  const again = async () => {
    const reply = await retryEmail(email.id);
    setProblem(reply.kind === 'ok' ? null : `Not done: ${troubleWith(reply)}`);
    await onDone();
  };
  return (
    <li class="office-message">
      <div class="row-words">
        <span>{email.subject}</span>
        <small>
          Version {email.report} to {email.to}, written {momentWords(Date.parse(email.created_at))}
        </small>
      </div>
      <StateMark state={{ words: emailWords(email), tone: emailTone(email.state) }} />
      {email.state === 'uncertain' && email.last_error && <p class="field-notes">{email.last_error}</p>}
      {email.state === 'failed' && (
        <div class="buttons">
          <button type="button" class="button" onClick={() => void again()}>
            Send again
          </button>
        </div>
      )}
      {email.state === 'held_as_file' && (
        <div class="buttons">
          <button type="button" class="button" onClick={() => void again()}>
            Try to send it now
          </button>
        </div>
      )}
      {email.state === 'uncertain' && (
        <Confirm
          words="Send again"
          question="It may have arrived already: ask the household, or look into the sent mail. Send it once more?"
          yes="Send it once more"
          onYes={() => void again()}
        />
      )}
      <p class="field-problem" role="alert">
        {problem}
      </p>
    </li>
  );
}
