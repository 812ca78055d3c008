/** The emitters of a room: picked by what one sees from above, measured in one line. */
import { NBSP } from '../../domain/check.ts';
import { useEffect, useRef, useState } from 'preact/hooks';
import { watts } from '../../domain/assessment.ts';
import { newId } from '../../domain/ids.ts';
import { choiceLabel, fieldOf, isAsked, kindOf, withDefaults, type Values } from '../../domain/model.ts';
import type { SurveyRecord } from '../../domain/survey.ts';
import { shortWords } from '../../forms/names.ts';
import { RecordForm } from '../../forms/RecordForm.tsx';
import { keep, useOneAtATime } from '../../forms/saving.tsx';
import { tryOut } from '../../engine/live.ts';
import { SizesInput } from '../../forms/Sizes.tsx';
import { Profile } from '../../pictures/Profile.tsx';
import type { OpenSurvey } from '../../store/live.ts';
import { saveEdits } from '../../store/surveys.ts';
import { bring } from '../../ui/reach.ts';
import { recordLink } from '../../ui/router.ts';
import { useAsked } from '../asked.ts';

export function Emitters({ open, room }: { open: OpenSurvey; room: SurveyRecord }) {
  const { survey } = open;
  const [isChoosing, setChoosing] = useState(false);
  const box = useAsked('emitter');
  const emitters = survey.children('emitter', room.id);
  const types = fieldOf('emitter', 'type').choices ?? [];
  const [fresh, setFresh] = useState<string | null>(null);
  const add = useOneAtATime(async (values: Values) => {
    const id = newId();
    if (!(await keep(() => saveEdits(survey.id, [{ kind: 'emitter', id, values: { room: room.id, ...values } }]))))
      return;
    setChoosing(false);
    setFresh(id);
  });
  const last = survey
    .ofKind('emitter')
    .filter(
      (item) =>
        item.values['room'] !== room.id &&
        typeof item.values['height_mm'] === 'number' &&
        typeof item.values['length_mm'] === 'number',
    )
    .at(-1);
  const same: Values = Object.fromEntries(
    ['type', 'height_mm', 'length_mm', 'rated_output_w', 'exponent', 'columns', 'sections', 'depth_mm'].flatMap(
      (name) => (last?.values[name] === undefined ? [] : [[name, last.values[name]]]),
    ),
  );
  return (
    <section class="group" aria-label="Emitters" id="room-emitters" ref={box}>
      <h2>Emitters</h2>
      {emitters.map((emitter) => (
        <EmitterPart key={emitter.id} open={open} emitter={emitter} isFresh={emitter.id === fresh} />
      ))}
      {isChoosing || emitters.length === 0 ? (
        <>
          <p>Look at it from above and tap what you see.</p>
          {last && (
            <button type="button" class="button button-wide" onClick={() => add(same)}>
              Same as the last: {shortWords(last)}, {last.values['height_mm'] as number} ×{' '}
              {last.values['length_mm'] as number}
              {NBSP}mm
            </button>
          )}
          <div class="profiles">
            {types.map((type) => (
              <button key={type.value} type="button" class="profile" onClick={() => add({ type: type.value })}>
                <Profile type={type.value} />
                {type.label}
              </button>
            ))}
          </div>
          {emitters.length > 0 && (
            <button type="button" class="button button-quiet" onClick={() => setChoosing(false)}>
              None more
            </button>
          )}
        </>
      ) : (
        <button type="button" class="button" onClick={() => setChoosing(true)}>
          Another emitter
        </button>
      )}
    </section>
  );
}

function EmitterPart({ open, emitter, isFresh }: { open: OpenSurvey; emitter: SurveyRecord; isFresh: boolean }) {
  const { survey } = open;
  const part = useRef<HTMLDivElement>(null);
  const values = withDefaults(kindOf('emitter'), emitter.values);
  const type = String(values['type'] ?? '');
  const isMeasured = isAsked(fieldOf('emitter', 'height_mm'), values);
  const result = open.assessment?.assessment.rooms
    .flatMap((room) => room.emitters)
    .find((item) => item.id === emitter.id);
  useEffect(() => {
    if (isFresh && !isMeasured) bring(() => part.current);
  }, [isFresh]);
  const only =
    type === 'underfloor'
      ? ['plan', 'heated_area_m2', 'pipe_spacing_mm', 'covering']
      : isMeasured
        ? ['plan']
        : ['plan', 'rated_output_w'];
  return (
    <div class="part" ref={part}>
      <div class="part-head">
        {type && <Profile type={type} />}
        <p>
          <b>{type ? choiceLabel(fieldOf('emitter', 'type'), type) : 'Type not said yet'}</b>
          {result ? (
            <>
              <br />
              <small>{result.counts ? `gives ${watts(result.output_w)}` : 'does not count: to be taken out'}</small>
            </>
          ) : null}
        </p>
      </div>
      {isMeasured && (
        <SizesInput
          label="Height × length"
          unit="mm"
          kind="emitter"
          names={['height_mm', 'length_mm']}
          values={emitter.values}
          example="600 x 1200"
          isFocused={isFresh}
          path={`${survey.id}/emitter/${emitter.id}/size`}
          onSave={async (size) => {
            await saveEdits(survey.id, [{ kind: 'emitter', id: emitter.id, values: size }]);
            if (isFresh) bring(() => part.current?.querySelector<HTMLElement>('#field-plan'));
          }}
          onType={(size) => tryOut(open, size && [{ kind: 'emitter', id: emitter.id, values: size }])}
        />
      )}
      <RecordForm open={open} record={emitter} only={only} isPlain />
      <a class="more" href={recordLink(survey.id, 'emitter', emitter.id)}>
        All about it: declared output, pipe, valve, condition
      </a>
    </div>
  );
}
