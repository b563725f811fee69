/** Heads of tables, a table each. */

export const figureTableHeads = {
  from: 'From',
  to: 'To',
  what: 'What',
} as const;

export const calibrationHeads = {
  tests: 'Tests',
  outOfCalibration: 'Out of calibration',
  instrument: 'Instrument',
  serial: 'Serial',
  certificatesOfThePeriod: 'Certificates of the period',
} as const;

export const completenessHeads = {
  askedFor: 'Asked for',
  heldAs: 'Held as',
  firstOfThem: 'First of them',
  source: 'Source',
} as const;

export const ledgerLinesHeads = {
  line: 'Line',
  records: 'Records',
  whenUtc: 'When, UTC',
  who: 'Who',
  what: 'What',
  about: 'About',
  why: 'Why',
} as const;

export const peopleHeads = {
  name: 'Name',
  role: 'Role',
  leftOn: 'Left on',
} as const;

export const registerHeads = {
  due: 'Due',
  segment: 'Segment',
  feeder: 'Feeder',
  countedFromBy: 'Counted from, by',
  done: 'Done',
  status: 'Status',
  testOrWhyNot: 'Test, or why not',
} as const;

export const sampleHeads = {
  no: 'No.',
  tested: 'Tested',
  test: 'Test',
  segment: 'Segment',
} as const;

export const substationCountsHeads = {
  substation: 'Substation',
} as const;

export const verifyHeads = {
  ledgerLine: 'Ledger line',
  record: 'Record',
  whatIsWrong: 'What is wrong',
  whatItSaidBefore: 'What it said before',
} as const;

export const fleetOverviewHeads = {
  rank: 'Rank',
  crossesTheLimit: 'Crosses the limit',
  segment: 'Segment',
  feeder: 'Feeder',
  growthPctAYear: 'Growth, % a year, 90 % interval',
  years: 'Years',
} as const;

export const readingsHeads = {
  step: 'Step',
  kv: 'kV',
  min: 'min',
  microAmps: 'µA',
  humidityPct: 'Humidity, %',
  levelAt20Celsius: 'nS/km at 20 °C',
  phase: 'Phase',
  outcome: 'Outcome',
  inTheModel: 'In the model',
} as const;

export const importReportHeads = {
  line: 'Line',
  rows: 'Rows',
  new: 'New',
  changed: 'Changed',
  asItIs: 'As it is',
  refused: 'Refused',
  file: 'File',
  column: 'Column',
  value: 'Value',
  whatWouldBeRight: 'What would be right',
} as const;

export const testerFilesHeads = {
  file: 'File',
  segment: 'Segment',
  phase: 'Phase',
  testedOn: 'Tested on',
  whatItSays: 'What it says',
} as const;

export const comparePlansHeads = {
  presentValues: 'Present values',
} as const;

export const costsHeads = {
  value: 'Value',
  figure: 'Figure',
  unit: 'Unit',
  source: 'Source',
} as const;

export const keptPlansHeads = {
  projects: 'Projects',
  spent: 'Spent',
  compare: 'Compare',
  plan: 'Plan',
  madeUtc: 'Made, UTC',
  state: 'State',
} as const;

export const leftOutHeads = {
  bestYear: 'Best year',
  cost: 'Cost',
  priceOfLeavingIt: 'Price of leaving it',
  segment: 'Segment',
  feeder: 'Feeder',
  bestThingToDo: 'Best thing to do',
} as const;

export const retestFirstHeads = {
  improvesThePlanBy: 'Improves the plan by',
  costOfTheTest: 'Cost of the test',
  crewDays: 'Crew days',
  segment: 'Segment',
  feeder: 'Feeder',
  whatItWouldDecide: 'What it would decide',
} as const;

export const whatIfHeads = {
  projects: 'Projects',
  payForThemselves: 'Pay for themselves',
  spent: 'Spent',
  riskRemoved: 'Risk removed',
  riskLeft: 'Risk left',
  net: 'Net',
  failuresExpected: 'Failures expected',
  terms: 'Terms',
} as const;

export const yearListHeads = {
  segment: 'Segment',
  feeder: 'Feeder',
  whatIsDone: 'What is done',
  workOn: 'Work on',
  cost: 'Cost',
  riskRemoved: 'Risk removed',
  net: 'Net',
} as const;

export const yearsTableHeads = {
  budget: 'Budget',
  spent: 'Spent',
  carriedOn: 'Carried on',
  crewKm: 'Crew km',
  riskNoPlan: 'Risk, no plan',
  riskLeft: 'Risk left',
  waitOfAYear: 'A year’s wait',
  failuresNoPlan: 'Failures, no plan',
  failuresPlan: 'Failures, plan',
  customerMinutes: 'Customer minutes',
  saidiMin: 'SAIDI, min',
  saifi: 'SAIFI',
  year: 'Year',
} as const;

export const briefTestsHeads = {
  kv: 'kV',
  min: 'min',
  aMicroAmps: 'A, µA',
  bMicroAmps: 'B, µA',
  cMicroAmps: 'C, µA',
  levelAt20Celsius: 'nS/km at 20 °C',
  tested: 'Tested',
  instrument: 'Instrument',
  whatItSays: 'What it says',
} as const;

export const limitsDialogHeads = {
  segments: 'Segments',
  insulation: 'Insulation',
  nowLevelAt20: 'Now, nS/km at 20 °C',
  anew: 'Anew',
  from: 'From',
} as const;

export const rulePreviewHeads = {
  asItIs: 'as it is',
  asItWouldBe: 'as it would be',
  firstOfThem: 'First of them',
  wasDue: 'Was due',
  wouldBe: 'Would be',
  by: 'By',
} as const;

export const stepReadingsHeads = {
  kvMinutes: 'kV, minutes',
  phase: 'Phase',
  outcome: 'Outcome',
} as const;

export const voltageSaidHeads = {
  kvPeak: 'kV, peak',
  whatItSays: 'What it says',
  standard: 'Standard',
} as const;

export const dueHeads = {
  due: 'Due',
  in: 'In',
  segment: 'Segment',
  feeder: 'Feeder',
  lastTested: 'Last tested',
  itSaid: 'It said',
  how: 'How',
  whyThen: 'Why then',
} as const;
