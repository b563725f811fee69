import { renameSync, rmSync, statSync } from 'node:fs';
import type { TreeNode } from '../contract/asks/fleet.ts';
import type { FeederId, SegmentId, SubstationId } from '../contract/ids.ts';
import { refuse } from '../contract/problem.ts';
import type { YearStrip } from '../contract/shapes/strip.ts';
import { feedersOf, fleetCounts, fleetRow, fleetSpan, segmentsOfFeeder, substations } from '../store/browse.ts';
import { ledgerHead, revisionOf } from '../store/ledger.ts';
import { asProblem } from '../store/open.ts';
import { type Desk, today } from './desk.ts';
import { find } from './find.ts';
import { type Frame, frameOf } from './frame.ts';
import { placeFor } from './out-file.ts';
import { keptStandings, type Standings } from './standings.ts';
import { groupStrip, segmentStrip } from './strips.ts';
import type { TasksOf } from './task.ts';

type Order = 'name' | 'growth';

/** What the tree shows of a group of segments. */
function rollUp(frame: Frame, standings: Standings | null, ordinals: readonly number[]) {
  let lengthM = 0;
  let segments = 0;
  let tests = 0;
  let worst = Number.NEGATIVE_INFINITY;
  const present: number[] = [];
  for (const i of ordinals) {
    const row = frame.rows[i]!;
    if (row.retiredOn !== null) continue;
    segments++;
    lengthM += row.lengthM;
    present.push(i);
    if (!standings) continue;
    tests += standings.tests[i]!;
    if (standings.rank[i]! > 0) worst = Math.max(worst, standings.growth[i]!);
  }
  return {
    segments,
    lengthKm: lengthM / 1000,
    tests,
    worstGrowthPctPerYr: Number.isFinite(worst) ? worst : null,
    strip: standings ? groupStrip(standings, present) : null,
  };
}

function inOrder(nodes: TreeNode[], order: Order): TreeNode[] {
  if (order === 'name') return nodes.sort((a, b) => a.name.localeCompare(b.name, 'en', { numeric: true }));
  const worst = (node: TreeNode) => node.worstGrowthPctPerYr ?? Number.NEGATIVE_INFINITY;
  return nodes.sort((a, b) => worst(b) - worst(a));
}

function segmentNodes(desk: Desk, frame: Frame, standings: Standings | null, feederId: string, retired: boolean) {
  const nodes: TreeNode[] = [];
  for (const row of segmentsOfFeeder(desk.fleet, feederId)) {
    if (row.retiredOn !== null && !retired) continue;
    const i = frame.ordinalById.get(row.id)!;
    const ranked = standings && standings.rank[i]! > 0;
    let strip: YearStrip | null = null;
    if (standings) strip = segmentStrip(standings, i, 'tree');
    nodes.push({
      kind: 'segment',
      id: row.id,
      name: row.name,
      segments: 1,
      lengthKm: row.lengthM / 1000,
      children: 0,
      tests: standings ? standings.tests[i]! : 0,
      worstGrowthPctPerYr: ranked ? standings.growth[i]! : null,
      retired: row.retiredOn !== null,
      strip,
    });
  }
  return nodes;
}

function placeNodes(desk: Desk, frame: Frame, standings: Standings | null, substationId: string | null): TreeNode[] {
  const places = substationId === null ? substations(desk.fleet) : feedersOf(desk.fleet, substationId);
  const groups = substationId === null ? frame.bySubstation : frame.byFeeder;
  return places.map((place) => ({
    kind: substationId === null ? 'substation' : 'feeder',
    id: place.id,
    name: place.name,
    children: place.children,
    retired: false,
    ...rollUp(frame, standings, groups.get(place.id) ?? []),
  }));
}

export const fleetTasks: TasksOf<'fleet.info' | 'fleet.tree' | 'fleet.find' | 'fleet.path' | 'fleet.backup'> = {
  'fleet.info'(desk) {
    const { fleet } = desk;
    const head = ledgerHead(fleet);
    const span = fleetSpan(fleet);
    return {
      file: fleet.file,
      utilityName: fleetRow(fleet)?.utilityName ?? 'A new fleet',
      readOnly: fleet.readOnly,
      revision: revisionOf(fleet),
      ledgerHead: head ? Buffer.from(head.hash).toString('hex') : null,
      today: today(desk),
      counts: fleetCounts(fleet),
      lengthKm: span.lengthM / 1000,
      firstTestOn: span.firstTestOn,
      lastTestOn: span.lastTestOn,
    };
  },

  'fleet.tree'(desk, { under, order, retired }) {
    const frame = frameOf(desk.fleet);
    const standings = keptStandings(desk, today(desk));
    const nodes =
      under?.kind === 'feeder'
        ? segmentNodes(desk, frame, standings, under.id, retired)
        : placeNodes(desk, frame, standings, under?.id ?? null);
    return { nodes: inOrder(nodes, order), ranked: standings !== null };
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
