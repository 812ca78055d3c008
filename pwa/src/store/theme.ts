/** Dark for lofts, light for gardens: the choice is this phone's own and is known before the first paint. */
import { computed, signal } from '@preact/signals';
import { keepSetting, readSetting } from './setting.ts';

export type Theme = 'system' | 'light' | 'dark';
const KEY = 'wattwalk-theme';

function read(): Theme {
  const kept = readSetting(KEY);
  return kept === 'light' || kept === 'dark' ? kept : 'system';
}

export const theme = signal<Theme>('system');

const systemIsDark = signal(false);
/** Whether the page is dark at this moment, by choice or because the system is. */
export const isDark = computed(() => (theme.value === 'system' ? systemIsDark.value : theme.value === 'dark'));

export function startTheme(): void {
  const asked = matchMedia('(prefers-color-scheme: dark)');
  systemIsDark.value = asked.matches;
  asked.addEventListener('change', () => (systemIsDark.value = asked.matches));
  show(read());
}

function show(choice: Theme): void {
  theme.value = choice;
  if (choice === 'system') delete document.documentElement.dataset['theme'];
  else document.documentElement.dataset['theme'] = choice;
}

export function setTheme(choice: Theme): void {
  show(choice);
  keepSetting(KEY, choice);
}
