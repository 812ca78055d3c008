/** A place for the outdoor unit: its plan first, what is near, its measures, its bases, its photos. */
import { useState } from 'preact/hooks';
import { fieldOf, kindOf, titleOf } from '../../domain/model.ts';
import { placeOf, planOf, standingOf, zoneOf } from '../../domain/siting.ts';
import { RecordForm } from '../../forms/RecordForm.tsx';
import { Notice } from '../../ui/Notice.tsx';
import { Page } from '../../ui/Page.tsx';
import { recordLink, stopLink } from '../../ui/router.ts';
import { PhotoStrip } from '../photos/PhotoStrip.tsx';
import { RemoveButton } from '../Record.tsx';
import type { RecordScreenProps } from '../props.ts';
import { resultsToCome } from '../results/come.ts';
import { KindSection } from '../Stop.tsx';
import { FindingsHere } from '../results/FindingsHere.tsx';
import { AddNearby, NearbyList } from './Nearby.tsx';
import { Plan } from './Plan.tsx';

type Adding = { place: { along_m: number; out_m: number } | null } | null;

export function PositionScreen({ open, record, query }: RecordScreenProps) {
  const { survey } = open;
  const [selected, setSelected] = useState<string | null>(null);
  const [adding, setAdding] = useState<Adding>(null);
  const zone = zoneOf(record.values, planOf(open, record.id));
  const objects = survey.children('nearby_object', record.id);
  const inside = zone ? objects.filter((object) => standingOf(zone, object.values, object.id) === 'inside') : [];
  const back = stopLink(survey.id, 'outside');
  const done = (id: string | null) => {
    setAdding(null);
    setSelected(id);
  };
  return (
    <Page title={titleOf(kindOf('outdoor_position'), record.values)} over="Outdoor position" back={back} backWords="outside">
      <p>Stand with your back to the wall where the unit would stand. Tap the plan where something is.</p>
      <section class="sheet" aria-label="Plan">
        <Plan
          position={record.values} zone={zone} objects={objects} selected={selected} pending={adding?.place ?? null}
          onPlace={(along_m, out_m) => { setSelected(null); setAdding({ place: placeOf(along_m, out_m) }); }}
          onSelect={(id) => { setAdding(null); setSelected(id); }}
        />
        <p class="field-notes">
          ■ opening · ▼ hollow · ◆ spark · ▬ boundary · ● anything else.{' '}
          {zone ? 'Filled, in brackets and with its word: inside the protective zone.' : 'The zone is drawn for R290 only; for another refrigerant follow the unit maker\'s siting drawing.'}
        </p>
        {zone && !zone.is_drawn && (
          <Notice tone="warning"><p>{zone.states ? 'The shape of this zone cannot be told yet.' : `The shape of this zone comes with the results. ${resultsToCome()}`} Until then everything near counts as what may be inside.</p></Notice>
        )}
        {zone && zone.missing.length > 0 && (
          <Notice tone="warning">
            <p>{zone.is_drawn ? 'The zone is drawn too small' : 'For its shape is wanted'}: {zone.missing.map((name) => fieldOf('outdoor_position', name).label.toLowerCase()).join(', ')} {zone.is_drawn ? ' not known' : ''}. The maker's drawing has them.</p>
            <a class="button" href={recordLink(survey.id, 'outdoor_position', record.id, zone.missing[0])}>Fill in {fieldOf('outdoor_position', zone.missing[0]!).label.toLowerCase()}</a>
          </Notice>
        )}
        {!adding && <button type="button" class="button button-main" onClick={() => { setSelected(null); setAdding({ place: null }); }}>Add something nearby</button>}
      </section>
      {adding && <AddNearby open={open} position={record.id} place={adding.place} onDone={done} />}
      <section aria-label="Nearby">
        <h2 class="outside-title">{inside.length === 0 ? 'Nearby' : inside.length === 1 ? 'Nearby: one thing is inside the zone' : `Nearby: ${inside.length} things are inside the zone`}</h2>
        <NearbyList open={open} zone={zone} objects={objects} selected={selected} onSelect={(id) => { setAdding(null); setSelected(id); }} />
        {zone && objects.length > 0 && <p class="field-notes outside-note">Propane (R290) is heavier than air: it sinks, spreads and burns. Refrigerant work is for qualified people; the unit maker's siting drawing governs.</p>}
      </section>
      <KindSection open={open} kind={kindOf('base')} parent={record.id} />
      <RecordForm open={open} record={record} focus={query.get('field')} />
      <PhotoStrip open={open} record={record} />
      <FindingsHere open={open} records={[record, ...objects]} />
      <RemoveButton open={open} record={record} back={back} />
    </Page>
  );
}
