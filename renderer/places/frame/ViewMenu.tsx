import { Header, MenuItem, MenuSection } from 'react-aria-components';
import { type ThemeChoice, themeChoices } from '../../theme/theme.ts';
import { themeNames, unitNames, unitNote } from '../../words/frame.ts';
import type { UnitSystem } from '../../words/units.ts';
import { change, useSettings } from '../settings.ts';
import { HeaderMenu } from './HeaderMenu.tsx';

/** Units, appearance, keys. */
export function ViewMenu({ onShortcuts }: { readonly onShortcuts: () => void }) {
  const settings = useSettings();
  return (
    <HeaderMenu label="View" buttonClass="menu-button" button="View" end>
      <MenuSection
        selectionMode="single"
        disallowEmptySelection
        selectedKeys={[settings.units]}
        onSelectionChange={(keys) => change({ units: [...keys][0] as UnitSystem })}
      >
        <Header className="menu-head">
          Units
          <span className="menu-note">{unitNote}</span>
        </Header>
        {(['metric', 'us'] as const).map((units) => (
          <MenuItem key={units} id={units} className="menu-item">
            {unitNames[units]}
          </MenuItem>
        ))}
      </MenuSection>
      <MenuSection
        selectionMode="single"
        disallowEmptySelection
        selectedKeys={[settings.theme]}
        onSelectionChange={(keys) => change({ theme: [...keys][0] as ThemeChoice })}
      >
        <Header className="menu-head">Appearance</Header>
        {themeChoices.map((theme) => (
          <MenuItem key={theme} id={theme} className="menu-item">
            {themeNames[theme]}
          </MenuItem>
        ))}
      </MenuSection>
      <MenuSection>
        <Header className="menu-head">Help</Header>
        <MenuItem className="menu-item" onAction={onShortcuts}>
          Keys <kbd>?</kbd>
        </MenuItem>
      </MenuSection>
    </HeaderMenu>
  );
}
