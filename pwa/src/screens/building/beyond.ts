import { shortWords } from '../../forms/names.ts';
import type { OpenSurvey } from '../../store/live.ts';

/** What is beyond a surface, in a word or two: a room by its name. */
export function beyondWords(open: OpenSurvey, surface: Record<string, unknown>, isShared: boolean): string {
  if (surface['other_side'] === 'room') {
    const other = open.survey.find('room', isShared ? surface['room'] : surface['other_room']);
    return other ? shortWords(other) : 'a room, not said which';
  }
  const short: Record<string, string> = {
    outside: surface['side'] === 'slope' ? 'roof' : surface['element'] === 'roof' ? 'loft or roof' : 'outside',
    ground: 'ground',
    unheated: 'unheated',
    neighbour: 'neighbour',
    nothing: 'not counted',
  };
  return short[String(surface['other_side'])] ?? 'not said yet';
}
