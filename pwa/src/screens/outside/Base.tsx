/** A base: its size, its readings on a grid, and what the engine made of them. */
import { workedOutWords } from '../../domain/assessment.ts';
import { plainNumber } from '../../domain/check.ts';
import { readingsOf, slabOf } from '../../domain/levels.ts';
import { unitAt } from '../../domain/standing.ts';
import { choiceLabel, fieldOf, kindOf, titleOf, withDefaults } from '../../domain/model.ts';
import { RecordForm } from '../../forms/RecordForm.tsx';
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
      {slab && <Result open={open} record={record} count={readings.length} />}
      <RecordForm open={open} record={record} without={slab ? [] : ['length_mm', 'width_mm']} focus={focus} />
      <PhotoStrip open={open} record={record} />
      <FindingsHere open={open} records={[record]} />
      <RemoveButton open={open} record={record} back={back} />
    </Page>
  );
}

/** The plane, its fall and the packing: the engine's answer, never a second opinion of this screen's. */
function Result({ open, record, count }: { open: OpenSurvey; record: SurveyRecord; count: number }) {
  const kept = open.assessment;
  const base = kept?.assessment.bases.find((item) => item.id === record.id);
  const pictures = kept ? picturesFor(kept) : null;
  if (count < 3 && !base) return null;
  if (!kept || !base || base.fall_across_base_mm === null) {
    return (
      <Notice tone="plain">
        <p>
          <b>Fall, level lines and packing</b> come from a plane laid through all readings.
          {base ? '' : ` ${resultsToCome()}`}
        </p>
        {base && base.missing.length > 0 && (
          <p>
            {open.isLive ? 'Still missing' : 'Last time was missing'}: {base.missing.join('; ')}.
          </p>
        )}
      </Notice>
    );
  }
  return (
    <section class="sheet" aria-label="Result">
      <h2>
        Falls {plainNumber(base.fall_across_base_mm, 1)} mm across the base
        {base.falls_toward ? `, towards the ${base.falls_toward}` : ''}
      </h2>
      {pictures && (
        <Drawing
          pictures={pictures}
          of="bases"
          id={record.id}
          words={`The base from above with its readings: falls ${plainNumber(base.fall_across_base_mm, 1)} mm${base.falls_toward ? ` towards the ${base.falls_toward}` : ''}.`}
        />
      )}
      {base.feet.length > 0 && (
        <p>Packing: {base.feet.map((foot) => `${foot.name} ${plainNumber(foot.packing_mm, 1)} mm`).join(', ')}.</p>
      )}
      {base.missing.length > 0 && <p>To say more, this is missing: {base.missing.join('; ')}.</p>}
      <p class="field-notes">{workedOutWords(open, true)} The unit maker's tolerance governs.</p>
      <a class="button button-quiet" href={surveyLink(open.survey.id, 'working', 'base', record.id)}>
        How it was worked out
      </a>
    </section>
  );
}
