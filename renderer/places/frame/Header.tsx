import { memo } from 'react';
import { placeNames } from '../../words/frame.ts';
import { hrefOfPlace, places, useRoute } from '../route.ts';
import { Finder } from './Finder.tsx';
import { FleetMenu } from './FleetMenu.tsx';
import { ViewMenu } from './ViewMenu.tsx';
import './header.css';

interface Props {
  readonly utility: string;
  readonly readOnly: boolean;
  readonly because: string | null;
  readonly onShortcuts: () => void;
}

/** What stands above every place; of all that it holds only the places follow the address. */
export const Header = memo(function Header({ utility, readOnly, because, onShortcuts }: Props) {
  return (
    <header className="header">
      <button type="button" className="skip word" onClick={() => document.getElementById('place')?.focus()}>
        Skip to the page
      </button>
      <FleetMenu utility={utility} />
      {readOnly && (
        <span className="read-only" title={because ?? undefined}>
          read-only{because ? <span className="unseen">: {because}</span> : null}
        </span>
      )}
      <Places />
      <Finder />
      <ViewMenu onShortcuts={onShortcuts} />
    </header>
  );
});

function Places() {
  const { place } = useRoute();
  return (
    <nav aria-label="Places">
      {places.map((each) => (
        <a key={each} href={hrefOfPlace(each)} {...(each === place ? { 'aria-current': 'page' as const } : {})}>
          {placeNames[each]}
        </a>
      ))}
    </nav>
  );
}
