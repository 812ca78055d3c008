/** A place for the outdoor unit: its plan first, what is near, its measures, its bases, its photos. */
import { useState } from 'preact/hooks';
import { fieldOf, isEmpty, kindOf, titleOf } from '../../domain/model.ts';
import { placeOf, planOf, standingOf, zoneOf, type Wanted } from '../../domain/siting.ts';
import { unitAt } from '../../domain/standing.ts';
import { ForOffice, RecordForm } from '../../forms/RecordForm.tsx';
import { Notice } from '../../ui/Notice.tsx';
import { Page } from '../../ui/Page.tsx';
import { fromRecord } from '../../ui/lists.ts';
import { recordLink, stageLink } from '../../ui/router.ts';
import { PhotoStrip } from '../photos/PhotoStrip.tsx';
import { ItsHistory, RemoveButton } from '../Record.tsx';
import type { RecordScreenProps } from '../props.ts';
import { resultsToCome } from '../results/come.ts';
import { KindSection } from '../Stage.tsx';
import { FindingsHere } from '../results/FindingsHere.tsx';
import { AddNearby, NearbyList } from './Nearby.tsx';
import { Plan } from './Plan.tsx';
import { UnitHere } from './UnitHere.tsx';

/** What the planning shape wants, in words: one field says both which shape it is and where a second wall stands. */
function missingWords({ of, field }: Wanted): string {
  if (field === 'zone_shape') return 'the side of the second wall';
  const label = fieldOf(of, field).label.toLowerCase();
  return of === 'unit' ? `the unit's ${label}` : label;
}

type Adding = { place: { along_m: number; out_m: number } | null } | null;

export function PositionScreen({ open, record, query }: RecordScreenProps) {
  const { survey } = open;
  const [selected, setSelected] = useState<string | null>(null);
  const [adding, setAdding] = useState<Adding>(null);
  const unit = unitAt(survey, record);
  const plan = planOf(open, record.id);
  const zone = zoneOf(record.values, unit?.values, plan);
  // While no unit is chosen, that is what is missing; its size cannot be filled in.
  const missing = zone?.missing.filter((wanted) => unit || wanted.of !== 'unit') ?? [];
  const objects = survey.children('nearby_object', record.id);
  const inside = zone ? objects.filter((object) => standingOf(zone, object.values, object.id) === 'inside') : [];
  // A side is one of a room: it is asked once the room is named.
  const asksForSide = !isEmpty(record.values['room_behind']) || !isEmpty(record.values['side_behind']);
  const back = stageLink(survey.id, 'outside');
  const wantedLink = ({ of, field }: Wanted): string =>
    of === 'unit'
      ? fromRecord(recordLink(survey.id, of, unit!.id, field), record)
      : recordLink(survey.id, of, record.id, field);
  const done = (id: string | null) => {
    setAdding(null);
    setSelected(id);
  };
  return (
    <Page
      title={titleOf(kindOf('outdoor_position'), record.values)}
      over="Outdoor position"
      back={back}
      backWords="outside"
    >
      <p>Stand with your back to the wall where the unit would stand. Tap the plan where something is.</p>
      <section class="sheet" aria-label="Plan">
        <Plan
          position={record.values}
          unit={unit?.values}
          zone={zone}
          objects={objects}
          selected={selected}
          pending={adding?.place ?? null}
          onPlace={(along_m, out_m) => {
            setSelected(null);
            setAdding({ place: placeOf(along_m, out_m) });
          }}
          onSelect={(id) => {
            setAdding(null);
            setSelected(id);
          }}
        />
        <p class="field-notes">
          ■ opening · ▼ hollow · ◆ spark · ▬ boundary · ● anything else.{' '}
          {zone
            ? `Filled, in brackets and with its word: inside ${zone.planning ? 'the planning shape' : 'the protective zone'}. Dashed: not decided.`
            : "No zone: the unit's refrigerant does not burn. Follow the unit maker's siting drawing."}
        </p>
        {zone && !zone.is_drawn && (
          <Notice tone="warning">
            <p>
              The shape of this zone comes with the results. {resultsToCome()} Until then everything near counts as what
              may be inside.
            </p>
          </Notice>
        )}
        {zone?.planning && (
          <Notice tone="warning">
            <p>
              Planning shape, not a maker's: {zone.words}.{' '}
              {zone.safety === 'a2l'
                ? 'It is that of a propane unit, the stricter one: no size for a mildly flammable refrigerant is held. What is inside it has to be looked at; '
                : 'What is inside it stops the job; '}
              what is not inside it is not thereby clear. Once the unit is chosen, its maker's own drawing decides.
            </p>
            {unit && (
              <a
                class="button"
                href={fromRecord(
                  recordLink(
                    survey.id,
                    'unit',
                    unit.id,
                    unit.values['zone_drawing'] === 'corners' ? 'zone_corners' : 'zone_drawing',
                  ),
                  record,
                )}
              >
                Enter the maker's corners
              </a>
            )}
          </Notice>
        )}
        {missing.length > 0 && (
          <Notice tone="warning">
            <p>Not known: {missing.map(missingWords).join(', ')}. The shape may be drawn too small.</p>
            <a class="button" href={wantedLink(missing[0]!)}>
              Fill in {missingWords(missing[0]!)}
            </a>
          </Notice>
        )}
        {!adding && (
          <button
            type="button"
            class="button button-main"
            onClick={() => {
              setSelected(null);
              setAdding({ place: null });
            }}
          >
            Add something nearby
          </button>
        )}
      </section>
      {adding && <AddNearby open={open} position={record.id} place={adding.place} onDone={done} />}
      <section aria-label="Nearby">
        <h2 class="outside-title">
          {inside.length === 0
            ? 'Nearby'
            : `Nearby: ${inside.length === 1 ? 'one thing is' : `${inside.length} things are`} inside ${zone?.planning ? 'the planning shape' : 'the zone'}`}
        </h2>
        <NearbyList
          open={open}
          zone={zone}
          objects={objects}
          selected={selected}
          onSelect={(id) => {
            setAdding(null);
            setSelected(id);
          }}
        />
        {zone && objects.length > 0 && (
          <p class="field-notes outside-note">
            {plan?.hazard} Refrigerant work is for qualified people; the unit maker's siting drawing governs.
          </p>
        )}
      </section>
      <RecordForm
        open={open}
        record={record}
        without={asksForSide ? ['unit'] : ['unit', 'side_behind']}
        focus={query.get('field')}
        folds
      />
      <UnitHere open={open} place={record} unit={unit} focus={query.get('field')} />
      <KindSection open={open} kind={kindOf('base')} parent={record.id} />
      <ForOffice open={open} record={record} focus={query.get('field')} />
      <PhotoStrip open={open} record={record} />
      <FindingsHere open={open} records={[record, ...objects]} />
      <ItsHistory open={open} record={record} />
      <RemoveButton open={open} record={record} back={back} />
    </Page>
  );
}
