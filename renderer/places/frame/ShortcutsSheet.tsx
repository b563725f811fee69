import { Modal } from '../../parts/Modal.tsx';
import { shortcuts } from '../../words/frame.ts';

export function ShortcutsSheet({ open, onClose }: { readonly open: boolean; readonly onClose: () => void }) {
  return (
    <Modal title="Keys" open={open} onClose={onClose} wide>
      <div className="keys">
        {shortcuts.map((group) => (
          <section key={group.where}>
            <h3>{group.where}</h3>
            <dl>
              {group.keys.map(([key, does]) => (
                <div key={key}>
                  <dt>
                    <kbd>{key}</kbd>
                  </dt>
                  <dd>{does}</dd>
                </div>
              ))}
            </dl>
          </section>
        ))}
      </div>
      <div className="modal-acts">
        <button type="button" className="button" onClick={onClose}>
          Close
        </button>
      </div>
    </Modal>
  );
}
