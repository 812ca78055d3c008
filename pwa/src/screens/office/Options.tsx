/** Options side by side: one table of what each comes to, and below it one option to change, offered and printed. */
import { useEffect, useState } from 'preact/hooks';
import type { OptionRow } from '../../domain/assessment.ts';
import { removal } from '../../domain/box.ts';
import { copyOf, designOf, nextName, unsaid } from '../../domain/options.ts';
import type { Survey } from '../../domain/survey.ts';
import { RecordForm } from '../../forms/RecordForm.tsx';
import { keep, useOneAtATime } from '../../forms/saving.tsx';
import { engineState, liveOptions, wantOptions } from '../../engine/live.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { newRecord, saveEdits } from '../../store/surveys.ts';
import { fetchOptions } from '../../sync/office.ts';
import { Confirm } from '../../ui/Confirm.tsx';
import { Notice } from '../../ui/Notice.tsx';
import { OptionChanges } from './OptionChanges.tsx';
import { OptionTable, type Column } from './OptionTable.tsx';
import { StateMark, Trouble } from './parts.tsx';
import { useRemote } from './remote.ts';

export function Options({ open }: { open: OpenSurvey }) {
  const { survey } = open;
  const [chosen, setChosen] = useState('');
  useEffect(() => wantOptions(), []);
  const options = survey.ofKind('option');
  const design = designOf(survey);
  const offered = typeof design.values['offered'] === 'string' ? design.values['offered'] : '';
  const columns = columnsOf(open);
  const present = options.find((option) => option.id === chosen) ?? options[0];
  const add = useOneAtATime(async (from: string) => {
    const edit = newRecord(survey.id, 'option', { name: nextName(survey) });
    const copied = from ? await copyOf(survey, from, edit.id) : [];
    if (await keep(() => saveEdits(survey.id, [edit, ...copied]))) setChosen(edit.id);
  });
  const decide = (values: Record<string, string | null>) =>
    void keep(() => saveEdits(survey.id, [{ kind: 'design', id: design.id, values }]));
  return (
    <>
      <p>
        An option lies over the survey, which stays as it was found. Report and quote are of the one that is offered.
      </p>
      <FromOffice open={open} columns={columns} />
      <div class="buttons">
        <button type="button" class="button" onClick={() => add('')}>
          New option
        </button>
        {present && (
          <button type="button" class="button" onClick={() => add(present.id)}>
            Copy option {String(present.values['name'] ?? '')}
          </button>
        )}
      </div>
      {options.length > 0 && present && (
        <>
          <div class="buttons option-tabs" role="group" aria-label="Which option is changed below">
            {options.map((option) => (
              <button
                key={option.id}
                type="button"
                class="button"
                aria-pressed={option.id === present.id}
                onClick={() => setChosen(option.id)}
              >
                {String(option.values['name'] ?? 'Without a name')}
              </button>
            ))}
          </div>
          <section key={present.id} aria-label={`Option ${String(present.values['name'] ?? '')}`} class="office-stack">
            <Problems
              survey={survey}
              option={present.id}
              row={columns.find((column) => column.id === present.id)?.row ?? null}
            />
            <RecordForm open={open} record={present} answered="office" isPlain />
            <div class="buttons">
              {offered === present.id ? (
                <StateMark state={{ words: 'This one is offered', tone: 'good' }} />
              ) : (
                <button
                  type="button"
                  class="button button-main"
                  onClick={() =>
                    decide({
                      offered: present.id,
                      ...(design.values['beside'] === present.id ? { beside: null } : {}),
                    })
                  }
                >
                  Offer this one
                </button>
              )}
              {offered !== '' && (
                <button type="button" class="button" onClick={() => decide({ offered: null })}>
                  Offer the survey as it stands
                </button>
              )}
              {offered !== present.id && (
                <button
                  type="button"
                  class="button"
                  aria-pressed={design.values['beside'] === present.id}
                  onClick={() => decide({ beside: design.values['beside'] === present.id ? null : present.id })}
                >
                  {design.values['beside'] === present.id ? 'Printed beside the offered one' : 'Print it beside'}
                </button>
              )}
            </div>
            <OptionChanges
              open={open}
              option={present}
              row={columns.find((column) => column.id === present.id)?.row ?? null}
            />
            <Confirm
              words="Take this option away"
              question={`Take option ${String(present.values['name'] ?? '')} away? The survey stays as it is.`}
              yes="Take it away"
              onYes={() =>
                void keep(() =>
                  saveEdits(survey.id, [
                    ...removal(survey, 'option', present.id),
                    ...(offered === present.id ? [{ kind: 'design', id: design.id, values: { offered: null } }] : []),
                  ]),
                )
              }
            />
          </section>
        </>
      )}
    </>
  );
}

/** The survey as it stands and its options, each with the row that was worked out last on this device. */
function columnsOf(open: OpenSurvey): Column[] {
  const found = liveOptions.value;
  const isOurs = found?.survey === open.row.id;
  const names = [
    { id: '', name: 'The survey as it stands' },
    ...open.survey
      .ofKind('option')
      .map((option) => ({ id: option.id, name: String(option.values['name'] ?? 'Option') })),
  ];
  return names.map(({ id, name }) => {
    const item = isOurs ? found.rows.get(id) : undefined;
    return {
      id,
      name,
      row: item?.row ?? null,
      isOld: item !== undefined && item.request !== found?.request,
      isFaulty: item !== undefined && item.row === null,
    };
  });
}

/** The table by this device's figures; by the office's where the engine is not available here. */
function FromOffice({ open, columns }: { open: OpenSurvey; columns: Column[] }) {
  if (engineState.value.kind === 'unavailable' && columns.every((column) => column.row === null))
    return <AtOffice open={open} columns={columns} />;
  return <OptionTable columns={columns} />;
}

function AtOffice({ open, columns }: { open: OpenSurvey; columns: Column[] }) {
  const remote = useRemote(`options/${open.survey.id}`, open.row.cursor, () => fetchOptions(open.survey.id));
  const rows = new Map((remote.value?.options ?? []).map((row) => [row.id, row]));
  const isOld = remote.version !== open.row.cursor || open.waiting > 0;
  return (
    <>
      <Trouble words={remote.trouble} isShown={remote.value !== null} onAgain={() => void remote.refresh()} />
      <OptionTable columns={columns.map((column) => ({ ...column, row: rows.get(column.id) ?? null, isOld }))} />
    </>
  );
}

/** What of an option counts for nothing and can be taken out of it. */
const CAN_GO = ['option_of_gone', 'option_value_wrong', 'option_said_twice'];

function Problems({ survey, option, row }: { survey: Survey; option: string; row: OptionRow | null }) {
  if (!row || row.problems.length === 0) return null;
  const takeOut = (record: string) => {
    const [kind, id] = record.split('/');
    const edits =
      kind === 'option_value' ? [{ kind, id: String(id), values: { deleted: true } }] : unsaid(survey, option, record);
    void keep(() => saveEdits(survey.id, edits));
  };
  return (
    <Notice tone="warning">
      {row.problems.map((problem) => (
        <div key={problem.words}>
          <p>{problem.words}</p>
          {CAN_GO.includes(problem.code) && problem.record && (
            <button type="button" class="button" onClick={() => takeOut(problem.record!)}>
              Take that part out of this option
            </button>
          )}
        </div>
      ))}
    </Notice>
  );
}
