/** What was changed of the firm: its settings and its book, what each was before, who changed it and when; put back in one tap. */
import { useState } from 'preact/hooks';
import { BOOK } from '../../domain/book.ts';
import { whenWords, type SettingsHistory } from '../../domain/history.ts';
import { useOneAtATime } from '../../forms/saving.tsx';
import { fetchSettingsHistory, putSettingBack, troubleWith } from '../../sync/office.ts';
import { Cell, Head, Table } from '../../ui/Cards.tsx';
import { Page } from '../../ui/Page.tsx';
import { link, route } from '../../ui/router.ts';
import { useSurvey } from '../current.tsx';
import { HistoryPart } from './History.tsx';
import { Outcome, type Told, Trouble } from './parts.tsx';
import { useRemote } from './remote.ts';

export function FirmHistory() {
  const open = useSurvey(BOOK);
  // Of one record of the book the settings say nothing.
  const isOfOne = route.value.query.has('record');
  return (
    <Page isWide title="What was changed" over="The firm" back={link('office', 'firm')} backWords="the firm">
      {!isOfOne && <Settings mayPutBack={open?.row.role === 'office'} />}
      {open && open.row.cursor > 0 && (
        <section aria-label="Units, articles, valves" class="office-stack">
          <h2>Units, articles, valves</h2>
          <HistoryPart open={open} />
        </section>
      )}
    </Page>
  );
}

function Settings({ mayPutBack }: { mayPutBack: boolean }) {
  const remote = useRemote('firm-history', 0, () => fetchSettingsHistory());
  const [older, setOlder] = useState<SettingsHistory[]>([]);
  const [said, setSaid] = useState<Told | null>(null);
  const first = remote.value;
  const pages = first ? [first, ...older] : [];
  const next = pages.at(-1)?.next ?? null;
  const putBack = useOneAtATime(async (change: SettingsHistory['changes'][number]) => {
    const reply = await putSettingBack(change.id);
    if (reply.kind === 'ok') {
      setOlder([]);
      await remote.refresh();
      setSaid({ words: `${change.label}: as it was before. Saved at the office.`, isTrouble: false });
    } else setSaid({ words: `Not saved: ${troubleWith(reply)}`, isTrouble: true });
  });
  const showOlder = useOneAtATime(async (before: string) => {
    const reply = await fetchSettingsHistory(before);
    if (reply.kind === 'ok') setOlder([...older, reply.body]);
    else setSaid({ words: troubleWith(reply) ?? '', isTrouble: true });
  });
  return (
    <section aria-label="Settings" class="office-stack">
      <h2>Settings</h2>
      <Trouble words={remote.trouble} isShown={first !== null} onAgain={() => void remote.refresh()} />
      <Outcome told={said} />
      {first?.found === 0 && <p>Nothing was changed yet.</p>}
      {first && first.found > 0 && (
        <div class="sheet sheet-table">
          <Table
            label="Changes of settings"
            head={
              <tr role="row">
                <Head words="What" />
                <Head words="Since then" />
                <Head words="Before" />
                <Head words="By whom, when" />
                <Head words="Put back" />
              </tr>
            }
          >
            {pages
              .flatMap((page) => page.changes)
              .map((change) => (
                <tr key={change.id} role="row">
                  <Cell label="What" class="cards-title">
                    {change.label}
                  </Cell>
                  <Cell label="Since then" class="history-answer">
                    <div class="history-text">{change.words}</div>
                  </Cell>
                  <Cell label="Before" class="history-answer">
                    <div class="history-text">{change.before}</div>
                  </Cell>
                  <Cell label="By whom, when" class="history-by">
                    <div>
                      {change.user ?? 'Somebody unknown'}
                      <small class="history-when"> {whenWords(change.made_at)}</small>
                    </div>
                  </Cell>
                  <Cell label="Put back">
                    {change.stands ? (
                      'Stands now'
                    ) : mayPutBack ? (
                      <button
                        type="button"
                        class="button"
                        aria-label={`Put back what ${change.label} was before`}
                        onClick={() => putBack(change)}
                      >
                        Put back
                      </button>
                    ) : (
                      'The office’s'
                    )}
                  </Cell>
                </tr>
              ))}
          </Table>
        </div>
      )}
      {next !== null && (
        <div class="buttons">
          <button type="button" class="button" onClick={() => showOlder(next)}>
            Show older
          </button>
        </div>
      )}
    </section>
  );
}
