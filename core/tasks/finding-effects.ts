import type { Finding } from '../contract/asks/findings.ts';
import { roughly, type Finding as Seen } from '../growth/findings/finding.ts';
import { type Ruling, rule } from '../growth/findings/rule.ts';
import type { GrowthFit } from '../growth/growthFit.ts';
import { growthWhenHeld } from '../growth/heldFit.ts';
import { flag } from '../growth/normalise.ts';
import type { ColumnsRead } from './fleet-columns.ts';

type Places = NonNullable<Finding['places']>;
type Place = Places['now'];

/** What the ranking would be with every finding accepted, and with every one dismissed. */
export interface Effects {
  readonly placesOf: (seen: Seen) => Places | null;
  readonly inWords: (seen: Seen) => string;
}

/**
 * Growth and place of each finding's segment as the ranking is, with the segment's findings accepted and with them
 * dismissed, all that the fleet teaches held as fitted; every other segment stays where it is. Instruments' steps are
 * tried by themselves, since they touch many segments at once.
 */
export function effectsOf(read: ColumnsRead, fit: GrowthFit, found: readonly Seen[], retired: Uint8Array): Effects {
  const now = fit.segments.growthPctPerYr;
  const ranked = Float64Array.from(fit.order.filter((s) => retired[s] === 0)).map((s) => now[s]!);
  const own = found.filter((seen) => seen.segment >= 0);
  const shifts = found.filter((seen) => seen.segment < 0);
  const instruments = read.rulings.filter((ruling) => ruling.segment < 0);
  const rulings = (verdict: Ruling['verdict'], of: readonly Seen[]): Ruling[] =>
    of.map((seen) => ({ ...seen, verdict }));
  const held = (all: readonly Ruling[]) => growthWhenHeld(fit, rule(read.recorded, all));
  const accepted = own.length > 0 ? held([...instruments, ...rulings('accepted', own)]) : undefined;
  const dismissed = own.length > 0 ? held([...instruments, ...rulings('dismissed', own)]) : undefined;
  const others = read.rulings.filter((ruling) => ruling.segment >= 0);
  const taken = shifts.length > 0 ? held([...others, ...rulings('accepted', shifts)]) : undefined;

  const placeOf = (s: number, growth: Float64Array | undefined): Place => {
    const g = growth?.[s] ?? Number.NaN;
    if (Number.isNaN(g) || retired[s] === 1) return null;
    return { growthPctPerYr: g, rank: rankOf(ranked, g, now[s]!), of: ranked.length };
  };
  const placesOf = ({ segment }: Seen): Places | null =>
    segment < 0
      ? null
      : {
          now: placeOf(segment, now),
          accepted: placeOf(segment, accepted),
          dismissed: placeOf(segment, dismissed),
        };
  return {
    placesOf,
    inWords: (seen) => (seen.segment < 0 ? shiftWords(seen, read, now, taken) : placesInWords(placesOf(seen)!)),
  };
}

/** The place of a growth among the ranked, fastest first, its own present entry taken out. */
function rankOf(fastestFirst: Float64Array, growth: number, own: number): number {
  let low = 0;
  let high = fastestFirst.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (fastestFirst[middle]! > growth) low = middle + 1;
    else high = middle;
  }
  return low + (own > growth ? 0 : 1);
}

/** So fast a growth stretches the spreads of a fleet that has to hold it, and then comes out faster still. */
const stretchingPct = 100;

function placeWords(place: Place): string {
  if (place === null) return 'not ranked';
  const { growthPctPerYr: growth, rank, of } = place;
  return `growth ${growth > stretchingPct ? 'over ' : ''}${roughly(growth)} % a year, place ${rank} of ${of}`;
}

const alike = (a: Place, b: Place): boolean =>
  placeWords(a) === placeWords(b) ||
  (a !== null && b !== null && Math.abs(a.growthPctPerYr - b.growthPctPerYr) < 0.05 && a.rank === b.rank);

/** Three places in a sentence; equal ones are said once. */
export function placesInWords({ now, accepted, dismissed }: Places): string {
  const first = `In the ranking now: ${placeWords(now)}`;
  if (alike(now, accepted) && alike(now, dismissed)) return `${first}; neither verdict moves it.`;
  const then = (place: Place) => (alike(now, place) ? 'the same' : placeWords(place));
  return `${first}; accepted: ${then(accepted)}; dismissed: ${then(dismissed)}.`;
}

function shiftWords(seen: Seen, { recorded }: ColumnsRead, now: Float64Array, taken: Float64Array | undefined): string {
  const segments = [...new Set(seen.readings.map((r) => recorded.readings.segment[r]!))];
  const moves = segments.map((s) => (taken?.[s] ?? Number.NaN) - now[s]!).filter((move) => !Number.isNaN(move));
  if (moves.length === 0) return 'What it changes in the ranking cannot be said.';
  const sizes = moves.map(Math.abs).sort((a, b) => a - b);
  return `In the ranking: the growth of its ${moves.length} segments is as written now and if dismissed; accepted, it changes by ${roughly(sizes[sizes.length >> 1]!)} points in the middle and by ${roughly(sizes.at(-1)!)} at most.`;
}

/** How the fit takes the readings of a finding on which nobody has decided. */
export function untilJudged(seen: Seen, fit: GrowthFit): string {
  const { readings } = fit;
  const flags = new Set(seen.readings.map((r) => readings.flag[r]!));
  if (seen.kind === 'temperature')
    return seen.cure.do === 'temperature' && seen.cure.as === 'fahrenheit'
      ? 'Until it is judged, the temperature is used as it was written.'
      : 'Until it is judged, the temperature counts as unknown.';
  if (seen.cure.do === 'relabel') return 'Until it is judged, the phases stay as they are labelled.';
  if (seen.cure.do === 'length') return 'Until it is judged, the length is used as it was recorded.';
  if (flags.has(flag.repaired))
    return `Until it is judged, the fit takes it times ${roughly(readings.factor[seen.readings.find((r) => readings.flag[r] === flag.repaired)!]!)}.`;
  if (flags.has(flag.duplicate)) return 'Until it is judged, the fit counts the test once.';
  if (flags.has(flag.leftOut)) return 'Until it is judged, the fit leaves it out.';
  if (flags.has(flag.downWeighted)) return 'Until it is judged, the fit gives it less weight than the other phases.';
  return 'Until it is judged, the fit takes it as it was written.';
}
