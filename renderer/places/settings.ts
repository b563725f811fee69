import { useSyncExternalStore } from 'react';
import { setTheme, type ThemeChoice, themeChoices } from '../theme/theme.ts';
import type { UnitSystem } from '../words/units.ts';

/** What a person likes, kept by the window for every fleet. */
export interface Settings {
  readonly units: UnitSystem;
  readonly theme: ThemeChoice;
  readonly treeOrder: 'name' | 'growth';
  /** Columns of the ranking that are not shown. */
  readonly hiddenColumns: readonly string[];
}

const keptAs = 'cable-yearbook-settings';
const first: Settings = { units: 'metric', theme: 'system', treeOrder: 'growth', hiddenColumns: [] };

function read(): Settings {
  try {
    const kept = JSON.parse(localStorage.getItem(keptAs) ?? '{}') as Partial<Settings>;
    return {
      units: kept.units === 'us' ? 'us' : first.units,
      theme: themeChoices.find((choice) => choice === kept.theme) ?? first.theme,
      treeOrder: kept.treeOrder === 'name' ? 'name' : first.treeOrder,
      hiddenColumns: Array.isArray(kept.hiddenColumns) ? kept.hiddenColumns.map(String) : [],
    };
  } catch {
    return first;
  }
}

let settings = read();
setTheme(settings.theme);
const listeners = new Set<() => void>();

export function change(some: Partial<Settings>): void {
  settings = { ...settings, ...some };
  localStorage.setItem(keptAs, JSON.stringify(settings));
  setTheme(settings.theme);
  for (const listener of listeners) listener();
}

const follow = (listener: () => void): (() => void) => {
  listeners.add(listener);
  return () => listeners.delete(listener);
};

export const useSettings = (): Settings => useSyncExternalStore(follow, () => settings);

/** One of them: a change of the others draws nothing anew. */
export const useSetting = <K extends keyof Settings>(key: K): Settings[K] =>
  useSyncExternalStore(follow, () => settings[key]);

export const useUnits = (): UnitSystem => useSetting('units');
