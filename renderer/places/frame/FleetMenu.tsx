import { useState } from 'react';
import { Header, MenuItem, MenuSection } from 'react-aria-components';
import { host, type RecentFleet } from '../../client/index.ts';
import { useHostState } from '../hostState.ts';
import { backUp, closeFleet, exportFolder, openFleet } from './fleetActs.ts';
import { HeaderMenu } from './HeaderMenu.tsx';
import { NewFleet } from './NewFleet.tsx';

/** The utility's name opens the menu of fleets: new, open, recent, copies, close. */
export function FleetMenu({ utility }: { readonly utility: string }) {
  const state = useHostState();
  const [naming, setNaming] = useState(false);
  const open = state.data?.fleet;
  const recent = (state.data?.recent ?? []).filter((fleet) => fleet.file !== open?.file).slice(0, 6);
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
          <>
            <Recent fleets={recent} readOnly={false} />
            <Recent fleets={recent} readOnly />
          </>
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
          {open && (
            <MenuItem className="menu-item" onAction={() => void openFleet(open.file, !open.readOnly)}>
              {open.readOnly ? 'Open it for writing' : 'Go on read-only'}
            </MenuItem>
          )}
          <MenuItem className="menu-item" onAction={() => void closeFleet()}>
            Close
          </MenuItem>
        </MenuSection>
      </HeaderMenu>
      {naming && <NewFleet onClose={() => setNaming(false)} />}
    </>
  );
}

/** Fleets that were open before, to write to or only to look at. */
function Recent({ fleets, readOnly }: { readonly fleets: readonly RecentFleet[]; readonly readOnly: boolean }) {
  const head = readOnly ? 'Recent, read-only' : 'Recent';
  return (
    <MenuSection>
      <Header className="menu-head">{head}</Header>
      {fleets.map((fleet) => (
        <MenuItem
          key={fleet.file}
          id={`${head} ${fleet.file}`}
          className="menu-item"
          textValue={fleet.name}
          {...(readOnly ? { 'aria-label': `${fleet.name}, read-only` } : {})}
          onAction={() => void openFleet(fleet.file, readOnly)}
        >
          {fleet.name}
        </MenuItem>
      ))}
    </MenuSection>
  );
}
