import type { ReplacedTest, SegmentPage, TestRow } from '../../core/contract/asks/segment.ts';
import { dayWords, monthYear, yearOf } from './dates.ts';
import { inWords } from './labels.ts';
import { asSet, count, measured, nb, whole } from './numbers.ts';
import type { Sentence } from './sentence.ts';
import { opening } from './standing.ts';
import { conductorArea, lengthUnit, lengthWords, position, thickness, type UnitSystem } from './units.ts';

/** The line under a segment's name, after its feeder: what the cable is. */
export function whatItIs(page: SegmentPage, units: UnitSystem): string[] {
  const parts = [lengthWords(page.lengthM, units)];
  if (page.ratedKv !== null)
    parts.push(
      `${asSet(page.ratedKv)}${nb}kV${page.insulationLevelPct === null ? '' : `, ${asSet(page.insulationLevelPct)}${nb}%`}`,
    );
  const conductor = [
    page.conductorMaterial === null ? '' : inWords(page.conductorMaterial),
    page.conductorAreaMm2 === null ? '' : conductorArea(page.conductorAreaMm2, units),
  ]
    .filter((word) => word !== '')
    .join(' ');
  parts.push([page.insulation, conductor].filter((word) => word !== '').join(', '));
  if (page.phases !== 'ABC') parts.push(page.phases.length === 1 ? `phase ${page.phases}` : `phases ${page.phases}`);
  if (page.installation !== null) parts.push(inWords(page.installation));
  if (page.energisedOn !== null) parts.push(`in service since ${monthYear(page.energisedOn)}`);
  if (page.retiredOn !== null) parts.push(`retired ${dayWords(page.retiredOn)}`);
  return parts;
}

/** Further facts that only some segments have, for the margin. */
export function furtherFacts(page: SegmentPage, units: UnitSystem): string[] {
  const facts: string[] = [];
  if (page.fromPoint !== null || page.toPoint !== null)
    facts.push(`From ${page.fromPoint ?? 'an unnamed point'} to ${page.toPoint ?? 'an unnamed point'}.`);
  facts.push(`Owner’s id ${page.ownerId}; length as written ${page.lengthTyped}.`);
  if (page.insulationThicknessMm !== null)
    facts.push(
      `Insulation ${thickness(page.insulationThicknessMm, units)} thick${page.conductorDiameterMm === null ? '' : ` on a conductor of ${thickness(page.conductorDiameterMm, units)}`}.`,
    );
  if (page.customers !== null)
    facts.push(
      `${count(page.customers, 'customer')}${page.alternateSupply === null ? '' : page.alternateSupply ? ', another supply exists' : ', no other supply'}${page.criticalLoad ? ', critical load' : ''}.`,
    );
  return facts;
}

/** Splices in a line of the margin: '3 · at 96 m (1984, taped), 231 m (1984, taped).' */
export function spliceWords(page: SegmentPage, units: UnitSystem): string {
  const standing = page.splices.filter((splice) => splice.removedOn === null);
  if (standing.length === 0) return 'None recorded.';
  const each = [...standing]
    .sort((a, b) => (a.positionM ?? Number.POSITIVE_INFINITY) - (b.positionM ?? Number.POSITIVE_INFINITY))
    .slice(0, 12)
    .map((splice) => {
      const at =
        splice.positionM === null ? 'place unknown' : `${position(splice.positionM, units)}${nb}${lengthUnit(units)}`;
      const about = [
        splice.installedOn === null ? '' : String(yearOf(splice.installedOn)),
        splice.kind === null ? '' : inWords(splice.kind),
        splice.phase === null ? '' : `phase ${splice.phase}`,
      ].filter((word) => word !== '');
      return about.length === 0 ? at : `${at} (${about.join(', ')})`;
    });
  return `${standing.length} · at ${each.join(', ')}${standing.length > 12 ? ' and more' : ''}.`;
}

/** The caution on direct voltage. A bare reason means that no table allows it. */
export function directVoltageWords(caution: string): string {
  if (/^[A-Z]/.test(caution)) return caution;
  const family = caution.includes('extruded')
    ? ' The IEEE 400 family warns that direct voltage can harm service-aged extruded insulation.'
    : '';
  return `No direct voltage is advised: ${caution}.${family} Local codes and licensed practice decide; the retest brief names other methods.`;
}

/** A limit on the chart: its value and whose it is. */
export function limitedFigure(page: SegmentPage): SegmentPage['figure'] {
  const { standing, figure } = page;
  if (!standing.known) return figure;
  return {
    ...figure,
    levels: figure.levels.map((level) => ({
      ...level,
      name: `${level.name} ${asSet(level.y)} nS/km, ${standing.limitSource}`,
    })),
  };
}

/** The sentence that opens a segment's page, from what the page holds. */
export const openingOf = (page: SegmentPage): Sentence =>
  opening({
    standing: page.standing,
    now: page.strip.now,
    testedOn: page.tests.map((test) => test.testedOn),
    lastNsPerKm: page.tests[0]?.nsPerKmAt20C ?? null,
  });

/** 'feeder W-12'; where the name says feeder itself, the name. */
export const feederName = (name: string): string => (/feeder/i.test(name) ? name : `feeder ${name}`);
export const substationName = (name: string): string => (/(sub)?station/i.test(name) ? name : `${name} substation`);

type Reading = TestRow['readings'][number];

/** A reading as the crew wrote it: '25.1', '<0.1' at the instrument's floor. */
export const leakage = (reading: Pick<Reading, 'belowFloor' | 'leakageUa'>): string =>
  `${reading.belowFloor ? '<' : ''}${measured(reading.leakageUa)}`;

/** The reading that stands for a phase in the table: the last step of a step test. */
export function lastStep<R extends Pick<Reading, 'phase' | 'step'>>(
  test: { readonly readings: readonly R[] },
  phase: string,
): R | null {
  let best: R | null = null;
  for (const reading of test.readings)
    if (reading.phase === phase && (best === null || reading.step >= best.step)) best = reading;
  return best;
}

/** '15', '5 to 15', '–': one value, or the span where the phases differ. */
export function spanOf(values: readonly (number | null)[], write: (value: number) => string): string {
  const known = values.filter((value) => value !== null);
  if (known.length === 0) return '–';
  const [lo, hi] = [write(Math.min(...known)), write(Math.max(...known))];
  return lo === hi ? lo : `${lo}–${hi}`;
}

export const customersWords = (n: number | null): string => (n === null ? '' : count(n, 'customer'));
export const minutesWords = (n: number | null): string => (n === null ? '' : `${whole(n)}${nb}min`);

/** How many tests the table shows, and which of them count for nothing. */
export const testsWords = ({ tests, replacedTests }: Pick<SegmentPage, 'tests' | 'replacedTests'>): string =>
  `${count(tests.length, 'test')}, newest first. A date opens its readings.${
    replacedTests.length === 0
      ? ''
      : ` ${count(replacedTests.length, 'test')} that a correction replaced ${replacedTests.length === 1 ? 'stands' : 'stand'} below what replaced ${replacedTests.length === 1 ? 'it, and counts' : 'them, and count'} for nothing.`
  }`;

/** 'replaced on 2026-11-30 by Ada Thornbury: phase C misread'. */
export const replacedWords = ({ at, who, why }: ReplacedTest): string =>
  `replaced on ${at.slice(0, 10)} by ${who}${why === null || why === '' ? '' : `: ${why}`}`;

/** Words of the table of tests. */
export const testsHeads = {
  tested: 'Tested',
  kv: 'kV',
  minutes: 'min',
  level: `nS/km at 20${nb}°C`,
  instrument: 'Instrument',
  says: 'What it says',
  none: 'No test is recorded. Drop the tester’s files on the window to add one.',
  brief: 'Retest brief',
} as const;
