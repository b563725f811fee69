import { useState } from 'react';
import { Header, MenuItem, MenuSection } from 'react-aria-components';
import { host } from '../../client/index.ts';
import { useHostState } from '../hostState.ts';
import { backUp, closeFleet, exportFolder, openFleet } from './fleetActs.ts';
import { HeaderMenu } from './HeaderMenu.tsx';
import { NewFleet } from './NewFleet.tsx';

/** The utility's name opens the menu of fleets: new, open, recent, copies, close. */
export function FleetMenu({ utility }: { readonly utility: string }) {
  const state = useHostState();
  const [naming, setNaming] = useState(false);
  const here = state.data?.fleet?.file;
  const recent = (state.data?.recent ?? []).filter((fleet) => fleet.file !== here).slice(0, 6);
  return (
    <>
      <HeaderMenu label="Fleets" buttonClass="header-name" button={utility} buttonLabel={`${utility}: fleets`}>
        <MenuSection>
          <Header className="menu-head">Fleet</Header>
          <MenuItem className="menu-item" onAction={() => setNaming(true)}>
            New…
          </MenuItem>
          <MenuItem className="menu-item" onAction={() => void openFleet(null, false)}>
            Open…
          </MenuItem>
          <MenuItem className="menu-item" onAction={() => void openFleet(null, true)}>
            Open read-only…
          </MenuItem>
        </MenuSection>
        {recent.length > 0 && (
          <MenuSection>
            <Header className="menu-head">Recent</Header>
            {recent.map((fleet) => (
              <MenuItem key={fleet.file} className="menu-item" onAction={() => void openFleet(fleet.file, false)}>
                {fleet.name}
              </MenuItem>
            ))}
          </MenuSection>
        )}
        <MenuSection>
          <Header className="menu-head">This fleet</Header>
          <MenuItem className="menu-item" onAction={() => void exportFolder()}>
            Export as a folder of CSV…
          </MenuItem>
          <MenuItem className="menu-item" onAction={() => void backUp()}>
            Copy while in use…
          </MenuItem>
          <MenuItem className="menu-item" onAction={() => host.print()}>
            Print this page…
          </MenuItem>
          <MenuItem className="menu-item" onAction={() => void closeFleet()}>
            Close
          </MenuItem>
        </MenuSection>
      </HeaderMenu>
      <NewFleet open={naming} onClose={() => setNaming(false)} />
    </>
  );
}
