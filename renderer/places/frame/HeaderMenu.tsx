import { type ReactNode, useState } from 'react';
import { Button, Menu, MenuTrigger, Popover } from 'react-aria-components';

interface Props {
  readonly label: string;
  readonly buttonClass: string;
  readonly button: ReactNode;
  /** What a screen reader calls the button, where its words do not say that it opens a menu of something. */
  readonly buttonLabel?: string;
  readonly end?: boolean;
  readonly children: ReactNode;
}

/** A menu that opens from the header and stays inside it, so that it is part of a landmark. */
export function HeaderMenu({ label, buttonClass, button, buttonLabel, end = false, children }: Props) {
  const [open, setOpen] = useState(false);
  const header = open ? document.querySelector('header') : null;
  return (
    <MenuTrigger isOpen={open} onOpenChange={setOpen}>
      <Button className={buttonClass} {...(buttonLabel === undefined ? {} : { 'aria-label': buttonLabel })}>
        {button}
      </Button>
      <Popover
        className="menu-sheet"
        placement={end ? 'bottom end' : 'bottom start'}
        {...(header ? { UNSTABLE_portalContainer: header } : {})}
      >
        <Menu className="menu" aria-label={label}>
          {children}
        </Menu>
      </Popover>
    </MenuTrigger>
  );
}
