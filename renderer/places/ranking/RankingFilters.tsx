import { memo } from 'react';
import type { RankingFilter } from '../../../core/contract/asks/ranking.ts';
import { WordFilter } from '../../parts/WordFilter.tsx';
import {
  classChoice,
  classWords,
  everyWords,
  feederWords,
  filterNames,
  insulationWords,
  onlyChoices,
  onlyFilterWords,
  substationWords,
} from '../../words/ranking.ts';
import { useAsk } from '../asking.ts';

interface Props {
  readonly filter: RankingFilter;
  readonly onFilter: (filter: RankingFilter) => void;
  readonly readAhead: (filter: RankingFilter) => Promise<unknown>;
}

/** The filters of the ranking as words in its head. A feeder can be named once a substation is. */
export const RankingFilters = memo(function RankingFilters({ filter, onFilter, readAhead }: Props) {
  const choices = useAsk('ranking.choices', {});
  const data = choices.data;
  const { substationId, feederId: _f, ...rest } = filter;
  const under = useAsk('ranking.feeders', substationId ? { substationId } : {}, {
    enabled: substationId !== undefined,
  });
  if (!data) return null;
  const feeders = (substationId && under.data?.feeders) || [];
  /** What choosing some words makes of the filter, now and ahead. */
  const makes = (filterOf: (ids: readonly string[]) => RankingFilter) => ({
    onChoose: (ids: string[]) => onFilter(filterOf(ids)),
    readAhead: (ids: string[]) => readAhead(filterOf(ids)),
  });
  return (
    <>
      <WordFilter
        label={filterNames.substation}
        words={substationWords(filter, data.substations)}
        every={everyWords.substation}
        choices={data.substations}
        chosen={substationId ? [substationId] : []}
        {...makes(([id]) => {
          const chosen = data.substations.find((each) => each.id === id);
          return chosen ? { ...rest, substationId: chosen.id } : rest;
        })}
      />
      {substationId && (
        <WordFilter
          label={filterNames.feeder}
          words={feederWords(filter, feeders)}
          every={everyWords.feeder}
          choices={feeders}
          chosen={filter.feederId ? [filter.feederId] : []}
          {...makes(([id]) => {
            const { feederId: _, ...others } = filter;
            const chosen = feeders.find((each) => each.id === id);
            return chosen ? { ...others, feederId: chosen.id } : others;
          })}
        />
      )}
      <WordFilter
        label={filterNames.insulation}
        words={insulationWords(filter)}
        every={everyWords.insulation}
        many
        choices={data.insulations.map((each) => ({ id: each, name: each }))}
        chosen={filter.insulation ?? []}
        {...makes((ids) => {
          const { insulation: _, ...others } = filter;
          const chosen = data.insulations.filter((each) => ids.includes(each));
          return chosen.length > 0 ? { ...others, insulation: chosen } : others;
        })}
      />
      <WordFilter
        label={filterNames.class}
        words={classWords(filter)}
        every={everyWords.class}
        many
        choices={data.ratedKv.map((kv) => ({ id: String(kv), name: classChoice(kv) }))}
        chosen={(filter.ratedKv ?? []).map(String)}
        {...makes((ids) => {
          const { ratedKv: _, ...others } = filter;
          const chosen = data.ratedKv.filter((kv) => ids.includes(String(kv)));
          return chosen.length > 0 ? { ...others, ratedKv: chosen } : others;
        })}
      />
      <WordFilter
        label={filterNames.growth}
        words={onlyFilterWords(filter.only)}
        every={onlyFilterWords(undefined)}
        choices={onlyChoices}
        chosen={filter.only ? [filter.only] : []}
        {...makes(([id]) => {
          const { only: _, ...others } = filter;
          const chosen = onlyChoices.find((each) => each.id === id);
          return chosen ? { ...others, only: chosen.id } : others;
        })}
      />
    </>
  );
});
