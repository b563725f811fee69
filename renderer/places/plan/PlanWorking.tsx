/** That a plan is being made, in its place; how far it is stands among the long works. */
export function PlanWorking({ words, onStop }: { readonly words: string; readonly onStop: () => void }) {
  return (
    <p role="status" className="second plan-working">
      {words}{' '}
      <button type="button" className="word" onClick={onStop}>
        Cancel
      </button>
    </p>
  );
}
