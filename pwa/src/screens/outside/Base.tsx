/** A base: its size, its readings on a grid, and what the engine made of them. */
import { BEYOND_PACKING } from '../../generated/answers.ts';
import { workedOutWords } from '../../domain/assessment.ts';
import { NBSP, plainNumber } from '../../domain/check.ts';
import { readingsOf, slabOf } from '../../domain/levels.ts';
import { unitAt } from '../../domain/standing.ts';
import { choiceLabel, fieldOf, kindOf, titleOf, withDefaults } from '../../domain/model.ts';
import { ForOffice, RecordForm } from '../../forms/RecordForm.tsx';
import type { OpenSurvey } from '../../store/live.ts';
import type { SurveyRecord } from '../../domain/survey.ts';
import { Notice } from '../../ui/Notice.tsx';
import { Page } from '../../ui/Page.tsx';
import { recordLink, surveyLink } from '../../ui/router.ts';
import { PhotoStrip } from '../photos/PhotoStrip.tsx';
import { backFrom, RemoveButton } from '../Record.tsx';
import type { RecordScreenProps } from '../props.ts';
import { resultsToCome } from '../results/come.ts';
import { Drawing, picturesFor } from '../results/Drawing.tsx';
import { FindingsHere } from '../results/FindingsHere.tsx';
import { Readings } from './Readings.tsx';

export function BaseScreen({ open, record, query }: RecordScreenProps) {
  const { survey } = open;
  const kind = kindOf('base');
  const values = withDefaults(kind, record.values);
  const slab = slabOf(values);
  const records = survey.children('level_reading', record.id);
  const readings = readingsOf(records);
  const unplaced = records.filter((item) => !readings.some((reading) => reading.id === item.id));
  const position = survey.find('outdoor_position', record.values['position']);
  // With one place there is nothing to choose: the base belongs to it since it was added there.
  const isSettled = position !== undefined && survey.ofKind('outdoor_position').length === 1;
  const instrument = String(values['instrument'] ?? '');
  const focus = query.get('field');
  const back = backFrom(open, record);
  const made = record.values['made_of'];
  return (
    <Page
      title={titleOf(kind, record.values)}
      over={position ? `Base of ${titleOf(kindOf('outdoor_position'), position.values)}` : 'Base'}
      back={back}
      backWords="the position"
    >
      {!slab && (
        <>
          <Notice tone="plain">
            <p>
              <b>Measure the slab first.</b> The grid for the readings draws itself from its length and width.
            </p>
          </Notice>
          <section class="group" aria-label="Size of the slab">
            <RecordForm
              open={open}
              record={record}
              groups={['what']}
              only={['length_mm', 'width_mm']}
              focus={focus}
              isPlain
            />
          </section>
        </>
      )}
      {slab && <Verdict open={open} record={record} count={readings.length} />}
      {slab && (
        <section class="sheet" aria-label="Readings">
          {(made === 'frame' || made === 'not_yet') && (
            <Notice tone="plain">
              <p>
                {made === 'not_yet'
                  ? 'The base has not been made yet. Read it once it is there and hard; readings of the ground are kept too.'
                  : `${choiceLabel(fieldOf('base', 'made_of'), made)}: read its bearing points, if you read it at all.`}
              </p>
            </Notice>
          )}
          <Readings
            open={open}
            base={record}
            unit={unitAt(survey, position)}
            slab={slab}
            readings={readings}
            instrument={instrument}
          />
          <p class="instrument">
            <b>{choiceLabel(fieldOf('base', 'instrument'), instrument)}.</b>{' '}
            {instrument === 'height'
              ? 'A bigger reading is a higher point.'
              : 'Hold the rule on the slab, read where the line crosses it: a bigger reading is a lower point.'}
          </p>
          <a class="button button-quiet" href={recordLink(survey.id, 'base', record.id, 'instrument')}>
            Read in another way
          </a>
        </section>
      )}
      {unplaced.length > 0 && (
        <section class="group" aria-label="Readings without a place">
          <h2>Readings without a place</h2>
          <ul class="list">
            {unplaced.map((item) => (
              <li key={item.id}>
                <a class="row" href={recordLink(survey.id, 'level_reading', item.id)}>
                  <span class="row-words">
                    <span>{titleOf(kindOf('level_reading'), item.values)}</span>
                    <small>Its place or its reading is missing</small>
                  </span>
                </a>
              </li>
            ))}
          </ul>
        </section>
      )}
      {slab && <Result open={open} record={record} />}
      <RecordForm
        open={open}
        record={record}
        without={[...(slab ? [] : ['length_mm', 'width_mm']), ...(isSettled ? ['position'] : [])]}
        focus={focus}
        folds
      />
      <ForOffice open={open} record={record} focus={focus} />
      <PhotoStrip open={open} record={record} />
      {!slab && <FindingsHere open={open} records={[record]} />}
      <RemoveButton open={open} record={record} back={back} />
    </Page>
  );
}

/** What can be said of the base, before any drawing: how it falls and what was found, by the engine and never by this screen. */
function Verdict({ open, record, count }: { open: OpenSurvey; record: SurveyRecord; count: number }) {
  const kept = open.assessment;
  const base = kept?.assessment.bases.find((item) => item.id === record.id);
  if (count < 3 && !base) return null;
  const isLevelKnown = base !== undefined && base.fall_across_base_mm !== null;
  return (
    <section class="sheet" aria-label="Verdict">
      {isLevelKnown ? (
        <h2>{fallWords(base)}</h2>
      ) : (
        <>
          <p>
            <b>Fall, level lines and packing</b> come from a plane laid through all readings.
            {kept && base ? '' : ` ${resultsToCome()}`}
          </p>
          {base && base.missing.length > 0 && (
            <p>
              {open.isLive ? 'Still missing' : 'Last time was missing'}: {base.missing.join('; ')}.
            </p>
          )}
        </>
      )}
      {kept && base && <FindingsHere open={open} records={[record]} />}
    </section>
  );
}

function fallWords(base: { fall_across_base_mm: number | null; falls_toward: string | null }): string {
  const toward = base.falls_toward ? `, towards the ${base.falls_toward}` : '';
  return `Falls ${plainNumber(base.fall_across_base_mm ?? 0, 1)}${NBSP}mm across the base${toward}`;
}

/** The drawing of the plane, and the packing while packing is a remedy. */
function Result({ open, record }: { open: OpenSurvey; record: SurveyRecord }) {
  const kept = open.assessment;
  const base = kept?.assessment.bases.find((item) => item.id === record.id);
  if (!kept || !base || base.fall_across_base_mm === null) return null;
  const key = `base/${record.id}`;
  const isTooHigh = kept.assessment.findings.some(
    (finding) => finding.code in BEYOND_PACKING && finding.record === key,
  );
  return (
    <section class="sheet" aria-label="Result">
      <Drawing
        pictures={picturesFor(kept)}
        of="bases"
        id={record.id}
        words={`The base from above with its readings: ${fallWords(base)}.`}
      />
      {base.feet.length > 0 && !isTooHigh && (
        <p>
          Packing: {base.feet.map((foot) => `${foot.name} ${plainNumber(foot.packing_mm, 1)}${NBSP}mm`).join(', ')}.
        </p>
      )}
      {isTooHigh && (
        <p>
          <b>Packing is no remedy here.</b> What is, stands under the verdict.
        </p>
      )}
      {base.missing.length > 0 && <p>To say more, this is missing: {base.missing.join('; ')}.</p>}
      <p class="field-notes">{workedOutWords(open, true)} The unit maker's tolerance governs.</p>
      <a class="button button-quiet" href={surveyLink(open.survey.id, 'working', 'base', record.id)}>
        How it was worked out
      </a>
    </section>
  );
}
