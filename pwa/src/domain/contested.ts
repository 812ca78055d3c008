/** Answers that people gave without having seen each other's, and how they are written for whoever decides. */
import { valueWords } from './check.ts';
import { kindOf, model, titleOf, type Field, type Value } from './model.ts';
import { isFollowed } from './sizes.ts';
import type { Survey } from './survey.ts';
import { momentWords } from './words.ts';

/** One side of a contested field; `edited` names what was edited by somebody who had not seen the record taken away. */
export interface ContestedSide {
  change: string;
  value: Value;
  user: string | null;
  device?: string | null;
  made_at: string | null;
  revision: number | null;
  edited?: { field: string; label: string; value: Value } | null;
}
export interface ContestedField {
  kind: string;
  record: string;
  field: string;
  label: string;
  title?: string;
  values: ContestedSide[];
}

/** The declared field, or undefined for what this version of the model does not know. */
function knownField(kind: string, name: string): Field | undefined {
  return model.kinds[kind]?.fields.find((field) => field.name === name);
}

export function fieldLabel(kind: string, name: string): string {
  return name === 'deleted' ? 'Taken away' : (knownField(kind, name)?.label ?? name);
}

/** Write a value of the log for a person; a reference by the name of its record. */
export function loggedWords(survey: Survey, kind: string, name: string, value: Value, record?: string): string {
  if (name === 'deleted') return value === true ? 'Taken away' : 'There';
  const field = knownField(kind, name);
  if (value === null) return kind === 'surface' && isOfRoom(survey, record, name) ? 'As the room is' : 'Empty';
  if (!field) return typeof value === 'object' ? JSON.stringify(value) : String(value);
  if (field.type === 'reference') {
    const target = (field.refers_to ?? []).map((item) => survey.find(item, value)).find((item) => item !== undefined);
    return target ? titleOf(kindOf(target.kind), target.values) : 'A record that is gone';
  }
  if (field.type === 'moment') return momentWords(Date.parse(String(value)));
  return valueWords(field, value) || 'Empty';
}

/** Whether a surface that says no such size is as large as its room there. */
function isOfRoom(survey: Survey, record: string | undefined, name: string): boolean {
  const surface = survey.find('surface', record);
  const room = survey.find('room', surface?.values['room']);
  return (
    surface !== undefined && room !== undefined && isFollowed(name, { ...surface.values, [name]: null }, room.values)
  );
}

/** One side of a contested field as the person who picks reads it. */
export function sideWords(survey: Survey, contested: ContestedField, side: ContestedSide): string {
  if (contested.field !== 'deleted')
    return loggedWords(survey, contested.kind, contested.field, side.value, contested.record);
  if (side.value === true) return 'Take it away';
  return side.edited
    ? `Keep it, with ${side.edited.label}: ${loggedWords(survey, contested.kind, side.edited.field, side.edited.value)}`
    : 'Keep it';
}

/** Who gave an answer, when, and on which device, as far as it is known. `own` is the name of this device in the log. */
export function byWords(side: ContestedSide, own: string | null, now?: number): string {
  const moment = side.made_at ? Date.parse(side.made_at) : NaN;
  const where =
    side.device && own
      ? side.device === own
        ? 'on this device'
        : side.user
          ? `on a device of ${side.user}`
          : 'on another device'
      : '';
  return [side.user ?? 'Somebody unknown', Number.isNaN(moment) ? '' : momentWords(moment, now), where]
    .filter(Boolean)
    .join(', ');
}
