import { useEffect, useRef } from 'react';
import type { OutputOf } from '../../../core/contract/asks/index.ts';
import { rulePreviewHeads } from '../../words/heads.ts';
import { whole } from '../../words/numbers.ts';

/** What a rule would change: counts before and after, and the first of the tests whose day moves. */
export function RulePreview({ answer }: { readonly answer: OutputOf<'policy.previewRetest'> }) {
  const { before, after, moved } = answer;
  const region = useRef<HTMLElement>(null);
  // The button that asked for it waits for a reason now: the keyboard goes on here, and Escape still leaves the sheet.
  // biome-ignore lint/correctness/useExhaustiveDependencies: each answer is read anew
  useEffect(() => region.current?.focus(), [answer]);
  const row = (name: string, was: number, is: number) => (
    <tr>
      <th scope="row" className="left">
        {name}
      </th>
      <td>{whole(was)}</td>
      <td>{whole(is)}</td>
    </tr>
  );
  return (
    <section ref={region} tabIndex={-1} aria-label="What it changes" className="rule-preview">
      <p className="say" role="status">
        {answer.sentence}
      </p>
      <table className="ledger">
        <thead>
          <tr>
            <th scope="col" className="left">
              On {answer.on}
            </th>
            <th scope="col">{rulePreviewHeads.asItIs}</th>
            <th scope="col">{rulePreviewHeads.asItWouldBe}</th>
          </tr>
        </thead>
        <tbody>
          {row('overdue', before.overdue, after.overdue)}
          {row('due within 30 days', before.within30, after.within30)}
          {row('within 90', before.within90, after.within90)}
          {row('within a year', before.within365, after.within365)}
        </tbody>
      </table>
      {moved.length > 0 && (
        <table className="ledger">
          <thead>
            <tr>
              <th scope="col" className="left">
                {rulePreviewHeads.firstOfThem}
              </th>
              <th scope="col" className="left">
                {rulePreviewHeads.wasDue}
              </th>
              <th scope="col" className="left">
                {rulePreviewHeads.wouldBe}
              </th>
              <th scope="col" className="left">
                {rulePreviewHeads.by}
              </th>
            </tr>
          </thead>
          <tbody>
            {moved.map((each) => (
              <tr key={each.segmentOwnerId}>
                <td className="left">{each.segment}</td>
                <td className="left nowrap">{each.before}</td>
                <td className={each.becomesOverdue ? 'left nowrap caution' : 'left nowrap'}>{each.after}</td>
                <td className="left second">{each.because}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      <p className="caption">{answer.words}</p>
    </section>
  );
}
