const names: Readonly<Record<string, string>> = {
  'ranking.make': 'Fitting growth and forecast',
  'ranking.list': 'Writing the ranking',
  'forecast.list': 'Forecasting the fleet',
  'fleet.import': 'Importing',
  'fleet.export': 'Exporting the fleet folder',
  'fleet.backup': 'Copying the fleet',
  'findings.list': 'Looking for what is wrong in the data',
  'demo.write': 'Writing the invented utility',
  'host.openDemo': 'Writing the invented utility',
  'plan.make': 'Choosing the plan',
  'evidence.bag': 'Packing the evidence',
  'evidence.verify': 'Verifying the ledger',
};

/** Work that a person began, and whose end is worth a word. */
export const isWorthTelling = (ask: string): boolean => ask in names && ask !== 'ranking.make';

/** What a piece of long work is called. */
export const workName = (ask: string): string => names[ask] ?? 'Reading the fleet';
