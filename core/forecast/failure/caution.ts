import { noTestPredictsFailure } from '../../trade/cautions.ts';
import { sourceWords } from '../../trade/source.ts';

/** Stands beside every failure probability and every crossing year. */
export const forecastCaution =
  `${noTestPredictsFailure.says} (${sourceWords(noTestPredictsFailure.source)}) These are probabilities drawn from past ` +
  'failures and tests: they rank and they budget, they clear no cable for service and condemn none. Whether a cable ' +
  'stays in service is for qualified people under local rules to decide.';
