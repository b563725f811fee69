import { firstUpper } from './numbers.ts';

const names: Readonly<Record<string, string>> = {
  'ranking.make': 'Fitting growth and forecast',
  'retest.make': 'Counting when every test is due',
  'ranking.list': 'Writing the ranking',
  'ranking.moves': 'Comparing the ranking with an earlier day',
  'forecast.list': 'Forecasting the fleet',
  'method.backtest': 'Telling every last test from the earlier ones',
  'fleet.import': 'Importing',
  'fleet.export': 'Exporting the fleet folder',
  'fleet.backup': 'Copying the fleet',
  'findings.list': 'Looking for what is wrong in the data',
  'demo.write': 'Writing the invented utility',
  'host.openDemo': 'Writing the invented utility',
  'plan.make': 'Choosing the plan',
  'plan.whatIf': 'Choosing plans under other terms',
  'evidence.bag': 'Packing the evidence',
  'evidence.verify': 'Verifying every record',
  'evidence.compliance': 'Comparing what was due with what was done',
  'evidence.calibration': 'Looking up every calibration',
  'evidence.completeness': 'Reading every record for what it lacks',
  'evidence.sample': 'Drawing the sample',
  'ledger.export': 'Writing the ledger',
};

/** Work that a person began, and whose end is worth a word. */
export const isWorthTelling = (ask: string): boolean =>
  ask in names && !['ranking.make', 'retest.make', 'ranking.moves', 'method.backtest'].includes(ask);

/** What a piece of long work is called; what has no name of its own is called by what it says it does. */
export const workName = (ask: string, words: string): string =>
  names[ask] ?? (words === '' ? 'Reading the fleet' : firstUpper(words));
