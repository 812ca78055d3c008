/** Weather station and nation by the postcode, or by where this phone is: offered, and taken by a tap. The position stays on the phone and is not kept. */
import { useState } from 'preact/hooks';
import { NBSP, plainNumber } from '../../domain/check.ts';
import { choiceLabel, fieldOf, type Values } from '../../domain/model.ts';
import type { SurveyRecord } from '../../domain/survey.ts';
import { byPosition, byPostcode, type Whereabouts } from '../../domain/whereabouts.ts';
import { SAVED_HERE } from '../../domain/words.ts';
import { keep } from '../../forms/saving.tsx';
import type { OpenSurvey } from '../../store/live.ts';
import { saveEdits } from '../../store/surveys.ts';

export interface WhereHereProps {
  open: OpenSurvey;
  record: SurveyRecord;
}

interface Found {
  place: Whereabouts | null;
  words: string;
  height: string;
}

const PATIENCE_MS = 30_000;

export function WhereHere({ open, record }: WhereHereProps) {
  const [found, setFound] = useState<Found | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  const [isBusy, setBusy] = useState(false);
  const postcode = record.values['postcode'];
  const byCode = typeof postcode === 'string' ? byPostcode(postcode) : null;
  const locate = () => {
    setProblem(null);
    if (!('geolocation' in navigator)) {
      setProblem('This browser gives no position. The postcode works just as well.');
      return;
    }
    setBusy(true);
    navigator.geolocation.getCurrentPosition(
      ({ coords }) => {
        setBusy(false);
        setFound({
          place: byPosition({
            latitude: coords.latitude,
            longitude: coords.longitude,
            accuracy_m: coords.accuracy,
          }),
          words: `This phone knows where it is to within about ${distanceWords(coords.accuracy)}.`,
          height: heightWords(coords.altitude, coords.altitudeAccuracy),
        });
      },
      (fault) => {
        setBusy(false);
        setFound(null);
        setProblem(
          fault.code === 1
            ? 'The position is not allowed to this app. Allow it in the browser, or write the postcode, which works just as well.'
            : 'This phone does not find its position here. Try again at a window, or write the postcode, which works just as well.',
        );
      },
      { enableHighAccuracy: true, timeout: PATIENCE_MS, maximumAge: 0 },
    );
  };
  return (
    <section class="group-plain" aria-label="Station and nation">
      <h3>Station and nation</h3>
      {byCode && <Offers open={open} record={record} place={byCode} by={`By the postcode ${String(postcode)}`} />}
      {!byCode && (
        <p>
          {postcode ? `${String(postcode)} is no postcode that is known here. Correct it` : 'Write the postcode'}, or
          use the position of this phone. Neither needs signal.
        </p>
      )}
      <div class="buttons">
        <button type="button" class="button" onClick={locate} disabled={isBusy}>
          {isBusy ? 'Asking this phone' : 'Use the position of this phone'}
        </button>
      </div>
      <p class="field-notes">Only while you stand at the house. The position is neither kept nor sent.</p>
      <p class="field-problem" role="alert">
        {problem}
      </p>
      <div role="status">
        {found && (
          <>
            <p>{found.words}</p>
            {!found.place && (
              <p>
                <b>Nothing can be chosen by it:</b> it is too rough, or far from every station. Write the postcode.
              </p>
            )}
          </>
        )}
      </div>
      {found?.place && <Offers open={open} record={record} place={found.place} by="By the position" />}
      {found && <p>{found.height}</p>}
    </section>
  );
}

function Offers({ open, record, place, by }: WhereHereProps & { place: Whereabouts; by: string }) {
  const [saved, setSaved] = useState<string | null>(null);
  const take = async (values: Values) => {
    setSaved(null);
    if (await keep(() => saveEdits(open.survey.id, [{ kind: 'survey', id: record.id, values }])))
      setSaved(Object.keys(values)[0]!);
  };
  const line = (name: 'design_location' | 'nation', value: string | null, more: string, none: string) => {
    const field = fieldOf('survey', name);
    if (value === null) return <p>{none}</p>;
    const words = choiceLabel(field, value);
    const isTaken = record.values[name] === value;
    return (
      <div class="opening">
        <p>
          {field.label}: <b>{words}</b>
          {more}
        </p>
        {isTaken ? (
          <span class={saved === name ? 'field-saved' : undefined} role="status">
            {saved === name ? SAVED_HERE : 'as it stands'}
          </span>
        ) : (
          <button type="button" class="button" onClick={() => void take({ [name]: value })}>
            Take {words}
          </button>
        )}
      </div>
    );
  };
  return (
    <div class="group-plain" role="group" aria-label={by}>
      <h4>{by}</h4>
      {line(
        'design_location',
        place.station,
        place.station_km === null ? '' : `, about ${plainNumber(place.station_km, 0)}${NBSP}km away`,
        'No weather station is known for it: choose one below.',
      )}
      {line('nation', place.nation, '', 'So near a border it does not tell the nation: choose it below.')}
    </div>
  );
}

function distanceWords(metres: number): string {
  return metres < 1000 ? `${plainNumber(Math.max(1, metres), 0)}${NBSP}m` : `${plainNumber(metres / 1000, 1)}${NBSP}km`;
}

/** A height that a browser gives is that above an ideal globe, not above the sea as maps have it (some 50 m apart in Britain), and roughly measured. */
function heightWords(height: number | null, accuracy: number | null): string {
  const unknown = 'The height above the sea is not known by this: read it from a map.';
  if (height === null) return unknown;
  const within = accuracy === null ? '' : `, give or take ${plainNumber(accuracy, 0)}${NBSP}m`;
  return `${unknown} The phone says ${plainNumber(height, 0)}${NBSP}m${within}, which may be 50 m from what maps call the height, so it is not taken.`;
}
