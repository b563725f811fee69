import type { ReactNode } from 'react';
import { Dialog, Heading, ModalOverlay, Modal as Sheet } from 'react-aria-components';
import './modal.css';

interface Props {
  readonly title: string;
  readonly open: boolean;
  readonly onClose: () => void;
  readonly children: ReactNode;
  readonly wide?: boolean;
}

/** A sheet laid on the page. Escape and a press beside it close it. */
export function Modal({ title, open, onClose, children, wide = false }: Props) {
  return (
    <ModalOverlay className="modal-shade" isOpen={open} onOpenChange={(next) => !next && onClose()} isDismissable>
      <Sheet className={wide ? 'modal wide' : 'modal'}>
        <Dialog className="modal-dialog">
          <Heading slot="title" level={2}>
            {title}
          </Heading>
          {children}
        </Dialog>
      </Sheet>
    </ModalOverlay>
  );
}
