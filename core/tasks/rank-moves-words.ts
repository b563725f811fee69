import type { OutputOf } from '../contract/asks/index.ts';
import type { SegmentId } from '../contract/ids.ts';
import { moveReasons, type RankMove } from '../contract/shapes/rank-move.ts';
import type { Insulation } from '../contract/shapes/trade.ts';
import type { TestNews } from '../growth/ownNews.ts';
import { counted } from '../report/counted.ts';
import { isoOf, yearsApart } from './days.ts';
import type { Frame } from './frame.ts';
import type { Move, Moves } from './rank-moves.ts';
import type { Fact } from './rank-news.ts';
import { unrankedBecause } from './unranked.ts';

/**
 * Parts under this, % points a year, or under this share of the largest are not worth a sentence, as long as they do not
 * show in print: what is not said of its own goes with what is, so that sentences and columns tell the same growths.
 */
const worthSaying = 0.05;
const shareWorthSaying = 0.1;
const showsInPrint = 0.1;
/** Of many tests in the period the last ones are named. */
const testsNamed = 3;
/** Within this many standard deviations a test reads as expected. */
const asExpected = 0.5;

const firstUpper = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);
const minus = (text: string) => text.replace('-', '−');
const one = (x: number) => minus((Math.abs(x) < 0.05 ? 0 : x).toFixed(1));
const signed = (x: number) => (Math.abs(x) < 0.05 ? '0.0' : `${x < 0 ? '−' : '+'}${Math.abs(x).toFixed(1)}`);

function testWords({ day, lnAway, surprise, belowFloor }: TestNews): string {
  const on = `Its test of ${isoOf(day)}`;
  if (belowFloor)
    return surprise < -1
      ? `${on} lay under the instrument’s floor where more was expected (${signed(surprise)} standard deviations)`
      : `${on} lay under the instrument’s floor, as expected`;
  const away = Math.abs(100 * Math.expm1(lnAway));
  const size =
    lnAway > Math.LN2
      ? `${Math.exp(lnAway).toFixed(1)} times`
      : `${away.toFixed(0)} % ${lnAway < 0 ? 'below' : 'above'}`;
  const deviations = `(${signed(surprise)} standard deviations)`;
  return Math.abs(surprise) < asExpected
    ? `${on} read as expected ${deviations}`
    : `${on} read ${size} what was expected of that day ${deviations}`;
}

interface Steps {
  /** Growth of then, seen today without the new tests, and at the end, % a year. */
  readonly from: number;
  readonly seenNow: number;
  readonly to: number;
}

/** The way from the growth of then to the growth of now as it is told; parts that are not said are in the one beside them. */
function stepsOf({ then }: Moves, { i, own, parts, growthThen, growth }: Move, says: (part: number) => boolean): Steps {
  const { correction, clock, own: ownPart, fleet } = parts!;
  const from = says(correction) ? then.growth[i]! : growthThen!.value;
  const to = says(fleet) ? then.growth[i]! + clock + ownPart : growth!.value;
  const tested = own !== null && own.tests.length > 0;
  const seenNow = !says(clock) ? from : tested ? then.growth[i]! + clock : to;
  return { from, seenNow, to };
}

function ownWords({ own }: Move, steps: Steps): string[] {
  if (!own || own.tests.length === 0) return [];
  const named = own.tests.slice(-testsNamed).map(testWords);
  const more = own.tests.length - named.length;
  if (more > 0) named[0] = `${more} more tests came before. ${named[0]}`;
  named.push(
    `${named.pop()!}: with nothing else changed, growth would go from ${one(steps.seenNow)} to ${one(steps.to)} % a year`,
  );
  return [`${named.join('. ')}.`];
}

function factWords(fact: Fact): string {
  switch (fact.kind) {
    case 'work':
      return `${firstUpper(fact.work)} on ${fact.on}.`;
    case 'failure':
      return `It failed on ${fact.on}${fact.part ? ` (${fact.part})` : ''}.`;
    case 'left out':
      return `Its test of ${fact.on} was left out: ${fact.because}.`;
    case 'slip':
      return `A reading of ${fact.on} is off by a power of ten and was put right for the estimate; see the findings.`;
    case 'corrected':
      return `Its test of ${fact.testedOn} was corrected on ${fact.on}.`;
    case 'verdict':
      return `The finding “${fact.finding}” was ${fact.verdict} on ${fact.on}.`;
  }
}

/** What moved a segment, the weightiest first, then what else befell it. */
function becauseOf(frame: Frame, moves: Moves, move: Move): string[] {
  const { now } = moves;
  const { i, parts } = move;
  const facts = move.news?.facts ?? [];
  const told = facts.map(factWords);
  if (move.reason === 'new') return [newWords(move), ...told];
  if (move.reason === 'gone') {
    const { retiredOn } = frame.rows[i]!;
    return [retiredOn ? `Retired on ${retiredOn}.` : `No longer ranked: ${unrankedBecause(now, i)}.`];
  }
  if (!parts) return told;
  const largest = Math.max(...Object.values(parts).map(Math.abs));
  const least = Math.max(worthSaying, Math.min(shareWorthSaying * largest, showsInPrint));
  const says = (part: number): boolean => Math.abs(part) >= least;
  const steps = stepsOf(moves, move, says);
  const said: { size: number; words: string[] }[] = [{ size: Math.abs(parts.own), words: ownWords(move, steps) }];
  if (says(parts.correction))
    said.push({
      size: Math.abs(parts.correction),
      words: [`Corrections entered and verdicts given since then moved it by ${signed(parts.correction)} % points.`],
    });
  if (says(parts.clock)) said.push({ size: Math.abs(parts.clock), words: [clockWords(moves, move, steps)] });
  if (says(parts.fleet)) said.push({ size: Math.abs(parts.fleet), words: [restWords(moves, move, parts.fleet)] });
  said.sort((a, b) => b.size - a.size);
  const sentences = said.flatMap(({ words }) => words);
  if (move.reason === 'others')
    sentences.unshift(
      `Its growth hardly changed (${one(move.growthThen!.value)} then, ${one(move.growth!.value)} now); others ${move.rank > move.rankThen ? 'passed it' : 'fell behind it'}.`,
    );
  return [...sentences, ...told];
}

function newWords({ own, news }: Move): string {
  const first = news?.events.find((event) => event.kind === 'test');
  return first && !own
    ? `New in the ranking: its first test that counts is of ${isoOf(first.day)}.`
    : 'New in the ranking.';
}

function clockWords({ then, now }: Moves, { own }: Move, { from, seenNow }: Steps): string {
  const tested = own !== null && own.tests.length > 0;
  const years = yearsApart(then.asOf, now.asOf);
  const later = Math.abs(years - 1) < 0.05 ? 'a year' : `${years.toFixed(1)} years`;
  return `${tested ? 'Without its new tests' : 'No new test'}: the old ones, seen ${later} later, give ${one(seenNow)} % a year instead of ${one(from)}.`;
}

function restWords({ then, now }: Moves, move: Move, size: number): string {
  if (move.reason === 'reread')
    return `An older reading is now taken otherwise in the light of the later ones (a slip, a double, or left out): ${signed(size)} % points.`;
  const cohort = now.cohorts[now.cohort[move.i]!]!;
  const before = then.cohorts.find((each) => each.name === cohort.name);
  const lent =
    before && (cohort.growthPctPerYr - before.growthPctPerYr) * Math.sign(size) >= worthSaying
      ? `; its cohort (${cohort.name}) grows by ${one(cohort.growthPctPerYr)} % a year, ${one(before.growthPctPerYr)} then`
      : '';
  return `What the rest of the fleet taught since: ${signed(size)} % points${lent}.`;
}

/** A move with its words, as it goes out. */
export function moveRow(frame: Frame, moves: Moves, move: Move): RankMove {
  const row = frame.rows[move.i]!;
  return {
    id: row.id as SegmentId,
    ownerId: row.ownerId,
    name: row.name,
    feeder: row.feederName,
    substation: row.substationName,
    insulation: row.insulation as Insulation,
    rankThen: move.rankThen || null,
    rank: move.rank || null,
    growthThen: move.growthThen,
    growthPctPerYr: move.growth,
    reason: move.reason,
    because: becauseOf(frame, moves, move),
    parts: move.parts,
  };
}

const reasonWords: Readonly<Record<RankMove['reason'], string>> = {
  test: 'by tests of their own',
  work: 'by work on them',
  correction: 'by corrections',
  reread: 'because an older reading is taken otherwise',
  clock: 'by the clock alone',
  fleet: 'by what the rest of the fleet taught',
  others: 'because others moved past them',
  new: 'new',
  gone: 'gone',
};

export function countsOf(moves: Moves): OutputOf<'ranking.moves'>['counts'] {
  return moveReasons
    .map((reason) => ({ reason, moves: moves.list.filter((move) => move.reason === reason).length }))
    .filter((each) => each.moves > 0);
}

/** What changed, in two sentences. */
export function movesSentence(moves: Moves): string {
  const moved = moves.list.filter((move) => move.rank > 0 && move.rankThen > 0).length;
  const count = (reason: RankMove['reason']) => moves.list.filter((move) => move.reason === reason).length;
  const by = countsOf(moves)
    .filter(({ reason }) => reason !== 'new' && reason !== 'gone')
    .map((each) => `${counted(each.moves)} ${reasonWords[each.reason]}`);
  const came = [
    count('new') > 0 ? `${counted(count('new'))} came in` : '',
    count('gone') > 0 ? `${counted(count('gone'))} went out` : '',
  ]
    .filter(Boolean)
    .join(', ');
  const tests = `${counted(moves.tested)} were tested in that time${moves.testedStill > 0 ? `, of which ${counted(moves.testedStill)} stand about where they stood` : ''}.`;
  return `From ${moves.then.asOf} to ${moves.now.asOf}, of ${counted(moves.compared)} segments ranked on both days ${counted(moved)} moved by more than noise${by.length > 0 ? `: ${by.join(', ')}` : ''}${came ? `; ${came}` : ''}. ${tests}`;
}

/** What counts as a move, and what the reasons rest on. */
export function movesBasis(moves: Moves): string {
  const corrected = moves.asEntered
    ? 'The earlier ranking is made from the records as they stood then, before their corrections and the verdicts on findings given since.'
    : 'No reading of that day has been corrected or decided on since; readings brought in later but taken before it count in both.';
  return `A move is more than noise where growth changed by more than ${one(moves.noisePct)} % a year (three times what it usually moves where nothing happened, and at least what shows in print) and the rank by more places than lie within that; or where others shifted a segment by more than a twentieth of the list. What the clock did is found by fitting the earlier records as of the later day; what its own tests and work did, by adding them to that fit with all that the fleet shares held as it was; the rest is what the fleet’s estimates moved. Work on a cable begins a new stretch: its level starts anew, and growth is learned within each stretch. ${corrected}`;
}
