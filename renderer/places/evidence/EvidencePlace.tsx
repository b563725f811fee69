import { Empty } from '../../parts/states.tsx';

export function EvidencePlace() {
  return (
    <div className="sheet-scroll">
      <article className="sheet sheet-plain">
        <h1>Evidence</h1>
        <Empty title="No register can be shown here yet">
          <p>
            The register will hold every test due and done, each instrument’s calibration on the day, and every change
            with who and when. The ledger is written from the first day, whether it is shown or not.
          </p>
        </Empty>
      </article>
    </div>
  );
}
