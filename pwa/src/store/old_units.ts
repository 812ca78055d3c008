/** What a phone holds from before a unit's data lay on the unit: it goes from the place to the unit, with what waits for the office. */
import type { Transaction } from 'dexie';
import { coalesce, pathOf, stampNow, type Change } from '../domain/changes.ts';
import { newId } from '../domain/ids.ts';
import { movesOf, type Moves, type Said } from '../domain/moved.ts';
import { pullAnew, tableIn, type StoredRecord, type StoredSurvey } from './old_rows.ts';

interface Sent {
  path: string;
  change: Change;
}

/**
 * Lay on the units of a survey what its places said of them, inside a transaction of the caller's over the tables named below.
 *
 * What waits for the office, was refused there, or was sent in this life of its database goes along under its own id: where the office has
 * it already, it has laid that line on the unit too, and answers as before. What has to be said beside it is said to the office only where
 * something of that place waits; else the office has said it by itself, and the survey is pulled once more from the beginning.
 */
export async function takeOverUnits(transaction: Transaction, survey: string): Promise<void> {
  const table = tableIn(transaction);
  const records = await table<StoredRecord>('records').where('survey').equals(survey).toArray();
  const moves = movesOf(records);
  const row = moves.to.length + moves.said.length > 0 ? await table<StoredSurvey>('surveys').get(survey) : undefined;
  if (!row) return;
  const there = new Map(records.map((record) => [record.key, record]));
  const at = (kind: string, id: string): StoredRecord => {
    const key = `${survey}/${kind}/${id}`;
    const record = there.get(key) ?? { key, survey, kind, id, values: {}, seen: {} };
    there.set(key, record);
    return record;
  };
  for (const { place, field, unit, becomes } of moves.to) {
    const [from, to] = [at('outdoor_position', place), at('unit', unit)];
    to.values[becomes] = from.values[field]!;
    if (from.seen[field] !== undefined) to.seen[becomes] = from.seen[field];
    delete from.values[field];
    delete from.seen[field];
  }
  const waiting = await moveChanges(table, survey, moves);
  const add: Change[] = [];
  const drop: string[] = [];
  const madeAt = stampNow();
  for (const said of moves.said) {
    const record = at(said.kind, said.id);
    if (waiting.places.has(said.place)) {
      const path = pathOf({ survey, kind: said.kind, record: said.id, field: said.field });
      const edit = { survey, kind: said.kind, id: said.id, values: { [said.field]: said.value } };
      const made = coalesce(edit, waiting.byPath.get(path) ?? [], record.seen, newId, madeAt);
      add.push(...made.add);
      drop.push(...made.drop);
    }
    put(record, said);
  }
  await table<StoredRecord>('records').bulkPut([...there.values()]);
  await table<Change>('outbox').bulkDelete(drop);
  await table<Change>('outbox').bulkAdd(add);
  await pullAnew(table, survey, row, true);
}

function put(record: StoredRecord, said: Said): void {
  if (said.value === null) delete record.values[said.field];
  else record.values[said.field] = said.value;
}

interface Waiting {
  /** Places of which something waits for the office. */
  places: Set<string>;
  byPath: Map<string, Change[]>;
}

/** Lay every change that a place's moved fields have here on the unit. */
async function moveChanges(table: ReturnType<typeof tableIn>, survey: string, moves: Moves): Promise<Waiting> {
  const to = new Map(
    moves.to.map((move) => [pathOf({ survey, kind: 'outdoor_position', record: move.place, field: move.field }), move]),
  );
  const moved = (change: Change): Change | null => {
    const move = to.get(pathOf(change));
    return move ? { ...change, kind: 'unit', record: move.unit, field: move.becomes } : null;
  };
  const waiting: Waiting = { places: new Set(), byPath: new Map() };
  for (const change of await table<Change>('outbox').where('survey').equals(survey).sortBy('id')) {
    if (change.kind === 'outdoor_position') waiting.places.add(change.record);
    const changed = moved(change);
    if (changed) await table<Change>('outbox').put(changed);
    const path = pathOf(changed ?? change);
    waiting.byPath.set(path, [...(waiting.byPath.get(path) ?? []), changed ?? change]);
  }
  for (const refused of await table<Change>('refused').where('survey').equals(survey).toArray()) {
    const changed = moved(refused);
    if (changed) await table<Change>('refused').put(changed);
  }
  for (const sent of await table<Sent>('sent').where('survey').equals(survey).toArray()) {
    const changed = moved(sent.change);
    if (!changed) continue;
    await table<Sent>('sent').delete(sent.path);
    await table<Sent>('sent').put({ ...sent, path: pathOf(changed), change: changed });
  }
  return waiting;
}
