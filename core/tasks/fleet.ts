import { renameSync, rmSync, statSync } from 'node:fs';
import type { TreeNode } from '../contract/asks/fleet.ts';
import type { FeederId, SegmentId, SubstationId } from '../contract/ids.ts';
import { refuse } from '../contract/problem.ts';
import { feedersOf, fleetRow, substations } from '../store/browse.ts';
import { ledgerHead, revisionOf } from '../store/ledger.ts';
import { byName } from '../store/name-order.ts';
import { asProblem } from '../store/open.ts';
import { type Desk, today } from './desk.ts';
import { areDutiesKept } from './duties.ts';
import { find } from './find.ts';
import { fleetSums } from './fleet-sums.ts';
import { type Frame, frameOf } from './frame.ts';
import { placeFor } from './out-file.ts';
import { narrows, type Passing, passing } from './passing.ts';
import { readyDue } from './ready-due.ts';
import type { Standings } from './standings.ts';
import { isShownBefore, shownStandingsOrNone } from './standings-before.ts';
import { groupStrip, segmentStrip } from './strips.ts';
import type { TasksOf } from './task.ts';

type Order = 'name' | 'growth';

/** What a tree is made of: every segment, how it stands, and which pass the filter. */
interface Grown {
  readonly frame: Frame;
  readonly standings: Standings | null;
  readonly passing: Passing;
  /** Branches without a passing segment are left out. */
  readonly narrow: boolean;
}

/** What the branches of a tree roll up to, by place; kept with what passes, as long as the standings are the same. */
const rolled = new WeakMap<Passing, { standings: Standings | null; byPlace: Map<string, RolledUp> }>();
type RolledUp = ReturnType<typeof rollUp>;

function rolledUp(grown: Grown, id: string, ordinals: readonly number[], retired: boolean): RolledUp {
  let kept = rolled.get(grown.passing);
  if (!kept || kept.standings !== grown.standings) {
    kept = { standings: grown.standings, byPlace: new Map() };
    rolled.set(grown.passing, kept);
  }
  let known = kept.byPlace.get(id);
  if (!known) {
    known = rollUp(grown, ordinals, retired);
    kept.byPlace.set(id, known);
  }
  return known;
}

/** What the tree shows of a group of segments: those that pass. */
function rollUp({ frame, standings, passing }: Grown, ordinals: readonly number[], retired: boolean) {
  let lengthM = 0;
  let tests = 0;
  let of = 0;
  let worst = Number.NEGATIVE_INFINITY;
  const present: number[] = [];
  const feeders = new Set<string>();
  for (const i of ordinals) {
    const row = frame.rows[i]!;
    if (row.retiredOn === null || retired) of++;
    if (passing.passes[i] === 0) continue;
    lengthM += row.lengthM;
    present.push(i);
    feeders.add(row.feederId);
    if (!standings) continue;
    tests += standings.tests[i]!;
    if (standings.rank[i]! > 0) worst = Math.max(worst, standings.growth[i]!);
  }
  return {
    segments: present.length,
    feeders: feeders.size,
    of,
    lengthKm: lengthM / 1000,
    tests,
    worstGrowthPctPerYr: Number.isFinite(worst) ? worst : null,
    strip: standings ? groupStrip(standings, present) : null,
  };
}

function inOrder(nodes: TreeNode[], order: Order): TreeNode[] {
  if (order === 'name') return nodes.sort((a, b) => byName(a.name, b.name));
  const worst = (node: TreeNode) => node.worstGrowthPctPerYr ?? Number.NEGATIVE_INFINITY;
  return nodes.sort((a, b) => worst(b) - worst(a));
}

function segmentNodes({ frame, standings, passing }: Grown, feederId: string): TreeNode[] {
  const ordinals = (frame.byFeeder.get(feederId) ?? []).filter((i) => passing.passes[i] === 1);
  return ordinals.map((i): TreeNode => {
    const row = frame.rows[i]!;
    const ranked = standings && standings.rank[i]! > 0;
    return {
      kind: 'segment',
      id: row.id,
      name: row.name,
      segments: 1,
      of: 1,
      lengthKm: row.lengthM / 1000,
      children: 0,
      tests: standings ? standings.tests[i]! : 0,
      worstGrowthPctPerYr: ranked ? standings.growth[i]! : null,
      retired: row.retiredOn !== null,
      strip: standings ? segmentStrip(standings, i, 'tree') : null,
    };
  });
}

function placeNodes(desk: Desk, grown: Grown, substationId: string | null, retired: boolean): TreeNode[] {
  const top = substationId === null;
  const { frame, narrow } = grown;
  const places = top ? substations(desk.fleet) : feedersOf(desk.fleet, substationId);
  const nodes = places.map((place): TreeNode => {
    const ordinals = (top ? frame.bySubstation : frame.byFeeder).get(place.id) ?? [];
    const { feeders, ...sums } = rolledUp(grown, place.id, ordinals, retired);
    return {
      kind: top ? 'substation' : 'feeder',
      id: place.id,
      name: place.name,
      children: !top ? sums.segments : narrow ? feeders : place.children,
      retired: false,
      ...sums,
    };
  });
  return narrow ? nodes.filter((node) => node.segments > 0) : nodes;
}

const readied = new WeakSet<Frame>();

/** Has what is looked at next made while nothing is asked: a segment's page, what is due. */
function readyRest(desk: Desk, frame: Frame): void {
  if (!readied.has(frame)) desk.whenIdle('places of the segments', frame.findEveryPlace());
  readied.add(frame);
  readyDue(desk);
}

export const fleetTasks: TasksOf<
  'fleet.info' | 'fleet.tree' | 'fleet.passing' | 'fleet.find' | 'fleet.path' | 'fleet.backup'
> = {
  'fleet.info'(desk) {
    const { fleet } = desk;
    const head = ledgerHead(fleet);
    const { counts, segmentsInService, lengthKm, firstTestOn, lastTestOn } = fleetSums(fleet);
    return {
      file: fleet.file,
      utilityName: fleetRow(fleet)?.utilityName ?? 'A new fleet',
      readOnly: fleet.readOnly,
      revision: revisionOf(fleet),
      ledgerHead: head ? Buffer.from(head.hash).toString('hex') : null,
      today: today(desk),
      counts,
      segmentsInService,
      lengthKm,
      firstTestOn,
      lastTestOn,
      rankingBehind: isShownBefore(desk, today(desk)),
      isDueCounted: areDutiesKept(desk),
    };
  },

  'fleet.tree'(desk, { under, order, filter }) {
    const passes = passing(desk, filter);
    const grown: Grown = {
      frame: frameOf(desk.fleet),
      standings: shownStandingsOrNone(desk, today(desk)),
      passing: passes,
      narrow: narrows(filter),
    };
    const nodes =
      under?.kind === 'feeder'
        ? segmentNodes(grown, under.id)
        : placeNodes(desk, grown, under?.id ?? null, filter.retired === true);
    readyRest(desk, grown.frame);
    return {
      nodes: inOrder(nodes, order),
      ranked: grown.standings !== null,
      passing: passes.count,
      lengthKm: passes.lengthKm,
      of: passes.of,
    };
  },

  'fleet.passing'(desk, { under, filter, count }) {
    const frame = frameOf(desk.fleet);
    const { passes } = passing(desk, filter);
    const pool =
      under === null
        ? [...frame.rows.keys()]
        : ((under.kind === 'feeder' ? frame.byFeeder : frame.bySubstation).get(under.id) ?? []);
    const ordinals = pool.filter((i) => passes[i] === 1);
    const segments = ordinals.slice(0, count).map((i) => frame.rows[i]!);
    return { segments: segments.map(({ id, name }) => ({ id: id as SegmentId, name })), total: ordinals.length };
  },

  'fleet.find'(desk, { text, count }) {
    return { hits: find(desk.fleet, text, count) };
  },

  'fleet.path'(desk, { segmentId }) {
    const frame = frameOf(desk.fleet);
    const i = frame.ordinalById.get(segmentId);
    if (i === undefined) throw refuse('not-found', 'There is no such segment in this fleet.');
    const row = frame.rows[i]!;
    return {
      segmentId: row.id as SegmentId,
      feederId: row.feederId as FeederId,
      substationId: row.substationId as SubstationId,
    };
  },

  async 'fleet.backup'(desk, { out }) {
    const { target, part } = placeFor(desk.fleet, out);
    if (part === null) throw refuse('not-allowed', `${out} is no file; a backup needs one.`, { where: out });
    rmSync(part, { force: true });
    try {
      await desk.fleet.raw.backup(part, {
        progress({ totalPages, remainingPages }) {
          desk.checkStop();
          desk.progress(totalPages - remainingPages, totalPages, 'copying the fleet');
          return 4096;
        },
      });
      renameSync(part, target);
    } catch (error) {
      throw asProblem(error, out);
    } finally {
      rmSync(part, { force: true });
    }
    return { file: out, bytes: statSync(target).size };
  },
};
