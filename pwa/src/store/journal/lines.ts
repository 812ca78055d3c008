/**
 * The lines of the journal: what each says, and how it is written so that a torn end is told from damage.
 *
 * A line is its length in bytes and its checksum (CRC-32), eight hexadecimal digits each, a space after either, then JSON and a line end.
 */
import type { Change } from '../../domain/changes.ts';
import type { Leaving, LockedRow, PhotoRow, RecordRow, Session, SurveyRow } from '../database.ts';
import type { PulledChange } from '../rows.ts';

export type Line =
  /** A survey is on this phone. `born` tells two lives of it apart: taken off the phone and fetched again. */
  | { t: 'survey'; survey: string; born: string; created_at: number }
  /** An edit: `edits` is its number within the survey, which no clock can turn around. */
  | { t: 'edit'; survey: string; born: string; edits: number; changes: Change[] }
  /** What came from the office, from one revision to another. */
  | { t: 'pulled'; survey: string; from: number; to: number; changes: PulledChange[] }
  | { t: 'photo'; row: PhotoRow }
  /** All of a survey at one moment, in place of the lines before. */
  | { t: 'whole'; row: SurveyRow; records: RecordRow[]; waiting: Change[]; photos: PhotoRow[] }
  /** The survey was taken off this phone by a person. */
  | { t: 'gone'; survey: string }
  | { t: 'epoch'; epoch: string }
  | { t: 'device'; device: string }
  | { t: 'session'; session: Session }
  /** Nobody is signed in: what is said of a survey after this, by a tab that had not heard of it, is nobody's. */
  | { t: 'signed_out'; leaving: Leaving | null }
  /** Unsent work of somebody who has signed out. */
  | { t: 'locked'; work: LockedRow };

const TABLE = Uint32Array.from({ length: 256 }, (_none, value) => {
  let sum = value;
  for (let bit = 0; bit < 8; bit += 1) sum = sum & 1 ? (sum >>> 1) ^ 0xedb88320 : sum >>> 1;
  return sum;
});

/** CRC-32 as in ISO 3309 and ITU-T V.42: the check value of '123456789' is cbf43926. */
export function checksum(bytes: Uint8Array): number {
  let sum = 0xffffffff;
  for (const byte of bytes) sum = TABLE[(sum ^ byte) & 0xff]! ^ (sum >>> 8);
  return (sum ^ 0xffffffff) >>> 0;
}

const HEAD = 18;
const SPACE = 32;
const END = 10;
const hex = (value: number): string => value.toString(16).padStart(8, '0');

export function encode(lines: readonly Line[]): Uint8Array<ArrayBuffer> {
  const encoder = new TextEncoder();
  const parts = lines.map((line) => encoder.encode(JSON.stringify(line)));
  const whole = new Uint8Array(parts.reduce((sum, part) => sum + HEAD + part.length + 1, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(encoder.encode(`${hex(part.length)} ${hex(checksum(part))} `), at);
    whole.set(part, at + HEAD);
    whole[at + HEAD + part.length] = END;
    at += HEAD + part.length + 1;
  }
  return whole;
}

export interface Decoded {
  lines: Line[];
  /** Where the last good line ends: what follows is a torn end. */
  end: number;
  /** Places between good lines that could not be read. */
  damaged: number;
}

/** Read what can be read. A bad place with good lines after it is damage; one that reaches the end was torn off while it was written. */
export function decode(bytes: Uint8Array): Decoded {
  const found: Decoded = { lines: [], end: 0, damaged: 0 };
  let at = 0;
  while (at < bytes.length) {
    const line = lineAt(bytes, at);
    if (line) {
      if (at > found.end) found.damaged += 1;
      found.lines.push(line.line);
      found.end = at = line.end;
    } else {
      // Even the line end may be what was spoilt, so the next good line is looked for at every byte.
      at += 1;
    }
  }
  return found;
}

function lineAt(bytes: Uint8Array, at: number): { line: Line; end: number } | null {
  if (at + HEAD >= bytes.length || bytes[at + 8] !== SPACE || bytes[at + 17] !== SPACE) return null;
  const head = String.fromCharCode(...bytes.subarray(at, at + HEAD));
  const match = /^([0-9a-f]{8}) ([0-9a-f]{8}) $/.exec(head);
  if (!match) return null;
  const from = at + HEAD;
  const to = from + parseInt(match[1]!, 16);
  if (to >= bytes.length || bytes[to] !== END) return null;
  const body = bytes.subarray(from, to);
  if (checksum(body) !== parseInt(match[2]!, 16)) return null;
  return { line: JSON.parse(new TextDecoder().decode(body)) as Line, end: to + 1 };
}
