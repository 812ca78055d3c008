/** Dark for lofts, light for gardens: the choice is this phone's own and is known before the first paint. */
import { computed, signal } from '@preact/signals';

export type Theme = 'system' | 'light' | 'dark';
const KEY = 'wattwalk-theme';

function read(): Theme {
  try {
    const kept = localStorage.getItem(KEY);
    return kept === 'light' || kept === 'dark' ? kept : 'system';
  } catch {
    // A browser that keeps no settings still shows the theme that the system asks for.
    return 'system';
  }
}

export const theme = signal<Theme>('system');

const systemIsDark = signal(false);
/** Whether the page is dark at this moment, by choice or because the system is. */
export const isDark = computed(() => (theme.value === 'system' ? systemIsDark.value : theme.value === 'dark'));

export function startTheme(): void {
  const asked = matchMedia('(prefers-color-scheme: dark)');
  systemIsDark.value = asked.matches;
  asked.addEventListener('change', () => (systemIsDark.value = asked.matches));
  setTheme(read());
}

export function setTheme(choice: Theme): void {
  theme.value = choice;
  if (choice === 'system') delete document.documentElement.dataset['theme'];
  else document.documentElement.dataset['theme'] = choice;
  try {
    localStorage.setItem(KEY, choice);
  } catch {
    // Not kept for the next start, which is all that is lost.
  }
}
