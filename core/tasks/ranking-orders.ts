import { rankingOrders } from '../contract/asks/ranking.ts';
import { atOnce } from '../numerics/atOnce.ts';
import { orderOf } from '../numerics/orderOf.ts';
import type { Desk } from './desk.ts';
import type { Frame } from './frame.ts';
import { frameColumns } from './frame-columns.ts';
import { findSomeNameRanks, nameRanks } from './name-ranks.ts';
import type { Standings } from './standings.ts';

export interface Order {
  readonly by: (typeof rankingOrders)[number];
  readonly descending: boolean;
}

/** Every segment in service in each order that was asked for or made ready; one revision's standings, one revision's orders. */
const kept = new WeakMap<Standings, Map<string, Int32Array>>();

/** Ordinals of the segments in service, in this order; those without the number last in either direction. */
export const wholeOrder = (order: Order, standings: Standings, frame: Frame): Int32Array =>
  atOnce(wholeInSteps(order, standings, frame));

/** Some ordinals, put in order. */
export const inOrder = (ordinals: ArrayLike<number>, order: Order, standings: Standings, frame: Frame): Int32Array =>
  atOnce(inSteps(ordinals, order, standings, frame));

function* wholeInSteps(order: Order, standings: Standings, frame: Frame): Generator<void, Int32Array> {
  let orders = kept.get(standings);
  if (!orders) {
    orders = new Map();
    kept.set(standings, orders);
  }
  const name = `${order.by} ${order.descending}`;
  const before = orders.get(name);
  if (before) return before;
  const sorted = yield* inSteps(everyInService(standings), order, standings, frame);
  // Where somebody asked for it between two steps, it is there already.
  const whole = orders.get(name) ?? sorted;
  orders.set(name, whole);
  return whole;
}

function* inSteps(
  ordinals: ArrayLike<number>,
  { by, descending }: Order,
  standings: Standings,
  frame: Frame,
): Generator<void, Int32Array> {
  if (by === 'name') {
    while (!findSomeNameRanks(frame)) yield;
    // Names fall from Z to A where numbers rise.
    return yield* orderOf(ordinals, nameRanks(frame), !descending);
  }
  // Many cross the limit today, or not within the years foreseen: of those the likelier to stand above it in five years comes first.
  const from = by === 'crossing' ? yield* orderOf(ordinals, standings.pExceed5, descending) : ordinals;
  const keys = sortKeys(by, standings, frame);
  yield;
  return yield* orderOf(from, keys, descending);
}

const readied = new WeakSet<Standings>();

/** Has every order of these standings made while nothing is asked, so that the first sort by a column is quick too. */
export function readyOrders(desk: Desk, standings: Standings, frame: Frame): void {
  if (readied.has(standings)) return;
  readied.add(standings);
  desk.whenIdle('orders of the ranking', everyOrder(standings, frame));
}

function* everyOrder(standings: Standings, frame: Frame): Generator<void, void> {
  frameColumns(frame);
  yield;
  for (const by of rankingOrders)
    for (const descending of [true, false]) {
      yield* wholeInSteps({ by, descending }, standings, frame);
      yield;
    }
}

function everyInService({ retired }: Standings): Int32Array {
  const ordinals = new Int32Array(retired.length);
  let count = 0;
  for (let i = 0; i < retired.length; i++) if (!retired[i]) ordinals[count++] = i;
  return ordinals.subarray(0, count);
}

/** The number that each segment is sorted by, NaN where it has none. */
function sortKeys(by: Exclude<Order['by'], 'name'>, standings: Standings, frame: Frame): Float64Array {
  switch (by) {
    case 'growth':
      return standings.growth.map((growth, i) => (standings.rank[i]! > 0 ? growth : Number.NaN));
    case 'level':
      return standings.level;
    case 'pExceed5y':
      return standings.pExceed5;
    case 'crossing':
      // Sooner is higher: what crosses first heads the descending list.
      return standings.crossingYear.map((year) => -year);
    case 'tests':
      return Float64Array.from(standings.tests);
    case 'energised':
      return Float64Array.from(standings.energisedYear, (year) => year || Number.NaN);
    case 'length':
      return frameColumns(frame).lengthM;
  }
}
