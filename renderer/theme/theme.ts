/** What a person can choose; 'system' follows the operating system's light or dark and its wish for contrast, by colours of its own too. */
export const themeChoices = ['system', 'light', 'dark', 'contrast'] as const;
export type ThemeChoice = (typeof themeChoices)[number];

type Theme = 'light' | 'dark' | 'contrast' | 'contrast-dark';

const dark = matchMedia('(prefers-color-scheme: dark)');
const more = matchMedia('(prefers-contrast: more), (forced-colors: active)');

function resolve(choice: ThemeChoice): Theme {
  if (choice === 'contrast' || (choice === 'system' && more.matches))
    return dark.matches ? 'contrast-dark' : 'contrast';
  if (choice === 'system') return dark.matches ? 'dark' : 'light';
  return choice;
}

let choice: ThemeChoice = 'system';

function apply(): void {
  const theme = resolve(choice);
  const root = document.documentElement;
  if (root.dataset.theme === theme) return;
  root.dataset.theme = theme;
  root.style.colorScheme = theme.includes('dark') ? 'dark' : 'light';
}

dark.addEventListener('change', apply);
more.addEventListener('change', apply);

export function setTheme(next: ThemeChoice): void {
  choice = next;
  apply();
}

/** The value of a token as it stands now: token('ink') is '#1d2830' in light. */
export const token = (name: string): string =>
  getComputedStyle(document.documentElement).getPropertyValue(`--${name}`).trim();
