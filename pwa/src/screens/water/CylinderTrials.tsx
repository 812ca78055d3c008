/** Ordinary sizes of cylinders tried in the place that was measured: which go in, and what keeps the others out. */
import { useState } from 'preact/hooks';
import { workedOutWords, type CylinderTrial } from '../../domain/assessment.ts';
import { NBSP, grouped, plainNumber } from '../../domain/check.ts';
import { fieldOf, isEmpty } from '../../domain/model.ts';
import type { SurveyRecord } from '../../domain/survey.ts';
import type { OpenSurvey } from '../../store/live.ts';
import { SeverityShape, ProgressShape } from '../../ui/shapes.tsx';
import { resultsToCome } from '../results/come.ts';

/** What the trial is of. */
const MEASURED = ['door_width_mm', 'place_width_mm', 'place_depth_mm', 'place_height_mm'];

const STATE_WORDS: Record<CylinderTrial['state'], string> = {
  fits: 'Goes in',
  tight: 'Goes in, tight',
  not_known: 'Not known yet',
  too_small: 'Does not go in',
};
const ORDER: CylinderTrial['state'][] = ['fits', 'tight', 'not_known', 'too_small'];

export function CylinderTrials({ open, record }: { open: OpenSurvey; record: SurveyRecord }) {
  const [showsAll, setAll] = useState(false);
  const wanted = MEASURED.filter((name) => isEmpty(record.values[name]));
  const water = open.assessment?.assessment.plant.hot_water;
  const sizes = [...(water?.sizes ?? [])].sort(
    (one, other) => ORDER.indexOf(one.state) - ORDER.indexOf(other.state) || one.nominal_l - other.nominal_l,
  );
  const out = sizes.filter((size) => size.state === 'too_small');
  const shown = showsAll ? sizes : sizes.filter((size) => size.state !== 'too_small');
  return (
    <section class="group-plain" aria-label="What goes in">
      <h3>What goes in</h3>
      {wanted.length > 0 && (
        <p>
          Measure {wanted.map((name) => fieldOf('hot_water', name).label.toLowerCase()).join(', ')}, and each size is
          tried here.
        </p>
      )}
      {wanted.length < MEASURED.length && sizes.length === 0 && <p>{resultsToCome()}</p>}
      {sizes.length > 0 && (
        <>
          {!open.isCurrent && <p class="field-notes">{workedOutWords(open, true)}</p>}
          {out.length === sizes.length && (
            <p>
              <b>None of these sizes goes in.</b> Find another place or another way in.
            </p>
          )}
          <ul class="trials">
            {shown.map((size) => (
              <Trial key={`${size.nominal_l}/${size.across_mm}`} size={size} />
            ))}
          </ul>
          {out.length > 0 && (
            <button
              type="button"
              class="button button-quiet"
              aria-expanded={showsAll}
              onClick={() => setAll(!showsAll)}
            >
              {showsAll
                ? 'Only those that go in'
                : out.length === 1
                  ? 'One does not go in: why'
                  : `${out.length} do not go in: why`}
            </button>
          )}
          <p class="field-notes">
            Ordinary outside sizes, insulation and all, standing on the floor; common practice, no source. The chosen
            cylinder's own papers decide.
          </p>
          {water?.cautions.map((words) => (
            <p key={words} class="field-notes">
              {words}
            </p>
          ))}
        </>
      )}
    </section>
  );
}

const millimetres = (value: number): string => `${grouped(plainNumber(value, 0))}${NBSP}mm`;

function Trial({ size }: { size: CylinderTrial }) {
  return (
    <li class="trial">
      <span class="verdict trial-state">
        {size.state === 'fits' ? (
          <ProgressShape progress={{ state: 'complete' }} />
        ) : (
          <SeverityShape severity={size.state === 'too_small' ? 'stop' : 'check'} />
        )}{' '}
        {STATE_WORDS[size.state]}
      </span>
      <span>
        <b>
          {plainNumber(size.nominal_l, 0)}
          {NBSP}l
        </b>
        , {millimetres(size.across_mm)} across, {millimetres(size.tall_mm)} tall, full {plainNumber(size.full_kg, 0)}
        {NBSP}kg
      </span>
      {size.words && <small>{size.words}</small>}
    </li>
  );
}
