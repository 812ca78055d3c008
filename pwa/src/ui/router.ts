/** Where we are: the part of the address behind the '#', so that the app needs no server to move about. */
import { computed, signal } from '@preact/signals';

export interface Route {
  path: string[];
  query: URLSearchParams;
}

function parse(hash: string): Route {
  const [path = '', query = ''] = hash.replace(/^#/, '').split('?');
  return {
    path: path
      .split('/')
      .filter((part) => part !== '')
      .map(decodeURIComponent),
    query: new URLSearchParams(query),
  };
}

const hash = signal(location.hash);
addEventListener('hashchange', () => (hash.value = location.hash));

export const route = computed(() => parse(hash.value));

export function link(...parts: string[]): string {
  return `#/${parts.map(encodeURIComponent).join('/')}`;
}

export function go(target: string): void {
  location.hash = target;
}

/** Go without leaving the present page in the browser's history: for pages that are gone, such as a deleted record. */
export function replaceWith(target: string): void {
  location.replace(target);
}

export const surveyLink = (survey: string, ...parts: string[]): string => link('survey', survey, ...parts);
export const stageLink = (survey: string, stage: string): string => surveyLink(survey, 'stage', stage);

/** The address of a room's screen with one of its sides open. */
export const sideLink = (survey: string, room: string, side: string): string =>
  `${surveyLink(survey, 'record', 'room', room)}?side=${encodeURIComponent(side)}`;

/** The address of a record's screen, with the field to put the cursor in. */
export function recordLink(survey: string, kind: string, id: string, field?: string | null): string {
  return surveyLink(survey, 'record', kind, id) + (field ? `?field=${encodeURIComponent(field)}` : '');
}

/** The address of a survey's history: all of it, what belongs to a record, or one answer of that. */
export function historyLink(survey: string, record?: string, field?: string): string {
  const query = new URLSearchParams({
    ...(record ? { record } : {}),
    ...(record && field ? { field } : {}),
  }).toString();
  return surveyLink(survey, 'office', 'history') + (query ? `?${query}` : '');
}
