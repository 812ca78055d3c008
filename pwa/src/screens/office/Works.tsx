/** Works by trade: exactly what is asked of whom, to what specification, by when, and how far it is. */
import { useState } from 'preact/hooks';
import { dayWords, valueWords } from '../../domain/check.ts';
import type { SuggestedWork } from '../../domain/assessment.ts';
import { askedRows, isAskedBy, workValues, type StateWords } from '../../domain/office.ts';
import type { SurveyRecord } from '../../domain/survey.ts';
import { choiceLabel, fieldOf, kindOf, rowsIn, titleOf, withDefaults, type Values } from '../../domain/model.ts';
import { recordWords } from '../../forms/names.ts';
import { RecordForm } from '../../forms/RecordForm.tsx';
import { keep, useOneAtATime } from '../../forms/saving.tsx';
import type { RecordRow } from '../../store/database.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { changeRecord, newRecord, saveEdits } from '../../store/surveys.ts';
import { Confirm } from '../../ui/Confirm.tsx';
import { recordLink } from '../../ui/router.ts';
import { SeverityShape } from '../../ui/shapes.tsx';
import { Foldout } from '../../ui/Foldout.tsx';
import { StateMark } from './parts.tsx';

const TONES: Record<string, StateWords['tone']> = { refused: 'stop', done: 'good', checked: 'good' };

export function Works({ open }: { open: OpenSurvey }) {
  const { survey } = open;
  const [shown, setShown] = useState<string | null>(null);
  const items = survey.ofKind('scope_item');
  const trades = fieldOf('scope_item', 'trade').choices ?? [];
  const groups = [
    ...trades.map((trade) => ({
      trade: trade.value,
      label: trade.label,
      items: items.filter((item) => item.values['trade'] === trade.value),
    })),
    {
      trade: null,
      label: 'No trade chosen yet',
      items: items.filter((item) => !trades.some((trade) => trade.value === item.values['trade'])),
    },
  ];
  const add = useOneAtATime(async (values: Values) => {
    const edit = newRecord(survey.id, 'scope_item', values);
    if (await keep(() => saveEdits(survey.id, [edit]))) setShown(edit.id);
  });
  return (
    <>
      {items.length === 0 && (
        <p>No work has been written down yet. Take one that the survey suggests, or write one for a trade.</p>
      )}
      <Suggested open={open} onAdd={add} />
      {groups
        .filter((group) => group.items.length > 0)
        .map((group) => (
          <section key={group.label} aria-label={group.label} class="office-stack">
            <h3>{group.label}</h3>
            <ul class="list works">
              {group.items.map((item) => (
                <Work
                  key={item.id}
                  open={open}
                  item={item}
                  isOpen={shown === item.id}
                  onToggle={() => setShown(shown === item.id ? null : item.id)}
                />
              ))}
            </ul>
          </section>
        ))}
      <section class="office-stack" aria-label="Write one down">
        <h3>Write one down for</h3>
        <div class="buttons">
          {trades.map((trade) => (
            <button key={trade.value} type="button" class="button" onClick={() => add({ trade: trade.value })}>
              {trade.label}
            </button>
          ))}
        </div>
      </section>
    </>
  );
}

function Work({
  open,
  item,
  isOpen,
  onToggle,
}: {
  open: OpenSurvey;
  item: RecordRow;
  isOpen: boolean;
  onToggle: () => void;
}) {
  const { survey } = open;
  const kind = kindOf('scope_item');
  const values = withDefaults(kind, item.values);
  const state = String(values['state'] ?? '');
  const from = (fieldOf('scope_item', 'drawn_from').refers_to ?? [])
    .map((target) => survey.find(target, item.values['drawn_from']))
    .find((target) => target !== undefined);
  const wanted = kind.fields
    .filter((field) => field.needed_for?.length && !item.values[field.name])
    .map((field) => field.label.toLowerCase());
  const remove = () =>
    keep(() => saveEdits(survey.id, [{ kind: 'scope_item', id: item.id, values: { deleted: true } }]));
  return (
    <li>
      <button type="button" class="row" aria-expanded={isOpen} onClick={onToggle}>
        <span class="row-words">
          <span>{titleOf(kind, item.values)}</span>
          {typeof item.values['specification'] === 'string' && item.values['specification'] !== item.values['what'] && (
            <small class="office-lines">{item.values['specification']}</small>
          )}
          {wanted.length > 0 && (
            <small>
              <b>Still to write: {wanted.join(', ')}</b>
            </small>
          )}
        </span>
        <span class="row-side">
          <StateMark
            state={{ words: choiceLabel(fieldOf('scope_item', 'state'), state), tone: TONES[state] ?? 'plain' }}
          />
          {typeof item.values['needed_by'] === 'string' && <small>by {dayWords(item.values['needed_by'])}</small>}
        </span>
      </button>
      {isOpen && (
        <div class="office-inside">
          <RecordForm open={open} record={item} answered="both" isPlain />
          {from && (
            <p>
              From the survey: <a href={recordLink(survey.id, from.kind, from.id)}>{recordWords(survey, from)}</a>
            </p>
          )}
          <div class="buttons">
            <Confirm
              words="Take this work away"
              question={`Take away ‘${titleOf(kind, item.values)}’?`}
              yes="Take it away"
              onYes={() => void remove()}
            />
            <button type="button" class="button" onClick={onToggle}>
              Close
            </button>
          </div>
        </div>
      )}
    </li>
  );
}

function Suggested({ open, onAdd }: { open: OpenSurvey; onAdd: (values: Values) => void }) {
  const written = open.survey.ofKind('scope_item');
  // A work that was taken a moment ago is not offered again while the answer is behind.
  const suggested = (open.assessment?.suggestions?.works ?? []).filter(
    (work) => !written.some((item) => isAskedBy(item.values, work.asked)),
  );
  if (suggested.length === 0) return null;
  return (
    <Foldout
      opens={written.length === 0}
      summary={<>The survey suggests {suggested.length === 1 ? 'one work' : `${suggested.length} works`}</>}
    >
      <ul class="list works">
        {suggested.map((work) => (
          <Suggestion
            key={`${work.asked.code}/${work.asked.record}/${work.asked.about}`}
            open={open}
            work={work}
            onAdd={() => onAdd(workValues(work))}
          />
        ))}
      </ul>
    </Foldout>
  );
}

/** A work that the survey asks for. One that somebody wrote by hand for the same record may be this very work: a person says so. */
function Suggestion({ open, work, onAdd }: { open: OpenSurvey; work: SuggestedWork; onAdd: () => void }) {
  const written = work.written.flatMap((id) => open.survey.find('scope_item', id) ?? []);
  const join = (item: SurveyRecord) =>
    keep(() =>
      changeRecord(open.survey.id, 'scope_item', item.id, (values) => ({
        asked_by: [...rowsIn(values, 'asked_by'), ...askedRows(work.asked)],
      })),
    );
  return (
    <li class="row">
      {work.severity && <SeverityShape severity={work.severity} />}
      <span class="row-words">
        <span>{work.what}</span>
        <small>
          {work.trade ? `${valueWords(fieldOf('scope_item', 'trade'), work.trade)}. ` : ''}
          {work.why}
        </small>
        {written.map((item) => (
          <small key={item.id}>
            Written down for the same place: ‘{titleOf(kindOf('scope_item'), item.values)}’.{' '}
            <button type="button" class="button button-small" onClick={() => void join(item)}>
              That covers it
            </button>
          </small>
        ))}
      </span>
      <button type="button" class="button" aria-label={`Take it: ${work.what}`} onClick={onAdd}>
        Take it
      </button>
    </li>
  );
}
