import { describe, expect, test } from 'vitest';
import { seededRandom } from '../../core/numerics/random.ts';
import type { PlanInputs, Wish } from '../../core/plan/inputs.ts';
import { makePlan } from '../../core/plan/plan.ts';
import { randomFleet } from './fleet.ts';

// The check is an enumeration of every plan, written here from the definitions alone: it shares no code with the plan
// room beyond the shape of the inputs.

interface Choice {
  readonly year: number;
  readonly value: number;
  readonly cents: number;
  readonly metres: number;
}

const KINDS = ['replace', 'fluid_injection', 'splice_renewal'] as const;

function choicesOf(inputs: PlanInputs, i: number, netBenefit: boolean): Choice[] {
  const s = inputs.segments;
  const c = inputs.costs;
  const horizon = inputs.horizonYears;
  const hours = s.alternateSupply[i] ? c.restorationHoursWithAlternate : c.restorationHoursWithout;
  const customers = Number.isNaN(s.customers[i]!) ? 0 : s.customers[i]!;
  const interruption = customers * hours * c.perCustomerHour;
  const failure = c.repairPerFailure + interruption * (s.criticalLoad[i] ? c.criticalMultiplier : 1);
  const factor = (year: number) => 1 / (1 + inputs.discountRate) ** year;
  const injectable = [1, 2, 4].includes(s.insulation[i]!) && s.fillable[i] === 1;
  const choices: Choice[] = [];
  for (let y = 0; y < inputs.years; y++) {
    for (const kind of KINDS) {
      if (kind === 'fluid_injection' && !injectable) continue;
      if (kind === 'splice_renewal' && s.splices[i] === 0) continue;
      let cost = 0;
      let metres = 0;
      let benefit = 0;
      if (kind === 'replace') {
        cost = s.lengthM[i]! * (s.installation[i] === 0 ? c.replacementPerM.duct : c.replacementPerM.direct_buried);
        cost += s.splices[i]! * c.replacementPerSplice;
        metres = Math.round(s.lengthM[i]!);
      } else if (kind === 'fluid_injection') {
        cost = s.lengthM[i]! * c.injectionPerM;
        metres = Math.round(s.lengthM[i]! / 4);
      } else cost = s.splices[i]! * c.renewalPerSplice;
      for (let j = y; j < horizon; j++) {
        const p = s.failureProbability[i * horizon + j]!;
        let after = p;
        if (kind === 'replace')
          after = 1 - Math.exp((-inputs.newCable.failuresPerKmYear[j - y]! * s.lengthM[i]!) / 1000);
        else if (kind === 'splice_renewal')
          after = p * (1 - c.spliceFailureShare + c.spliceFailureShare * c.renewalHazardFactor);
        else if (j < y + c.injectionEffectYears) after = p * c.injectionHazardFactor;
        benefit += (p - after) * failure * factor(j + 1);
      }
      const worthThen = kind === 'replace' ? cost * Math.max(0, 1 - (horizon - y) / inputs.newCable.lifeYears) : 0;
      const value = netBenefit ? benefit - cost * factor(y + 1) + worthThen * factor(horizon) : benefit;
      if (grants(inputs.wishes, s.ordinal[i]!, inputs.startYear + y, kind)) {
        choices.push({ year: y, value, cents: Math.round(cost * 100), metres });
      }
    }
  }
  return choices;
}

function grants(wishes: readonly Wish[], segment: number, year: number, kind: string): boolean {
  for (const wish of wishes) {
    if (wish.segment !== segment) continue;
    if (wish.kind === 'pin' && (wish.year !== year || (wish.action && wish.action !== kind))) return false;
    if (wish.kind === 'pin') continue;
    const within = year >= (wish.fromYear ?? 0) && year <= (wish.toYear ?? 9999);
    if (wish.kind === 'must' ? !within : within) return false;
  }
  return true;
}

/** The best objective of all plans, or null when none keeps the constraints. */
function bestOfAll(inputs: PlanInputs, netBenefit: boolean): number | null {
  const s = inputs.segments;
  const all = Array.from({ length: s.count }, (_, i) => choicesOf(inputs, i, netBenefit));
  const must = Array.from({ length: s.count }, (_, i) =>
    inputs.wishes.some(
      (w) => w.segment === s.ordinal[i] && (w.kind === 'must' || (w.kind === 'pin' && w.year !== null)),
    ),
  );
  const cents = new Float64Array(inputs.years);
  const metres = new Float64Array(inputs.years);
  const onSite = new Map<string, number>();
  const mobilisation = Math.round(inputs.costs.mobilisation * 100);
  let best: number | null = null;
  const visit = (i: number, value: number): void => {
    if (i === s.count) {
      let carried = 0;
      for (let y = 0; y < inputs.years; y++) {
        const left = Math.floor(inputs.budget[y]! * 100 + 1e-6) + carried - cents[y]!;
        if (left < 0 || metres[y]! > Math.floor(inputs.crewKm[y]! * 1000 + 1e-6)) return;
        carried = Math.min(left, Math.floor(inputs.carryOverMax * 100 + 1e-6));
      }
      if (best === null || value > best) best = value;
      return;
    }
    if (!must[i]) visit(i + 1, value);
    for (const choice of all[i]!) {
      const site = `${s.feeder[i]}/${choice.year}`;
      const there = onSite.get(site) ?? 0;
      const first = there === 0;
      onSite.set(site, there + 1);
      cents[choice.year]! += choice.cents + (first ? mobilisation : 0);
      metres[choice.year]! += choice.metres;
      const setUp =
        first && netBenefit ? inputs.costs.mobilisation / (1 + inputs.discountRate) ** (choice.year + 1) : 0;
      visit(i + 1, value + choice.value - setUp);
      onSite.set(site, there);
      cents[choice.year]! -= choice.cents + (first ? mobilisation : 0);
      metres[choice.year]! -= choice.metres;
    }
  };
  visit(0, 0);
  return best;
}

function smallProblem(seed: number): { inputs: PlanInputs; netBenefit: boolean } {
  const random = seededRandom(seed);
  const count = 3 + random.integer(3);
  const years = count === 5 ? 2 : 2 + random.integer(2);
  const fleet = randomFleet({
    seed: 9000 + seed,
    count,
    feeders: 1 + random.integer(3),
    years,
    horizonYears: 15 + random.integer(15),
    budgetShare: 0.05 + 0.4 * random.uniform(),
    carryOverMax: [0, 50_000, Infinity][random.integer(3)]!,
    ...(random.integer(2) === 0 ? {} : { crewShare: 0.15 + 0.3 * random.uniform() }),
  });
  const wishes: Wish[] = [];
  for (let i = 0; i < count; i++) {
    const segment = fleet.segments.ordinal[i]!;
    const kind = random.uniform();
    if (kind < 0.12) wishes.push({ kind: 'must', segment });
    else if (kind < 0.2) wishes.push({ kind: 'must', segment, fromYear: 2028 });
    else if (kind < 0.3) wishes.push({ kind: 'must-not', segment, toYear: 2027 });
    else if (kind < 0.36) wishes.push({ kind: 'pin', segment, year: 2027 + random.integer(years) });
    else if (kind < 0.4) wishes.push({ kind: 'pin', segment, year: null });
    else if (kind < 0.44) wishes.push({ kind: 'pin', segment, year: 2028, action: 'replace' });
  }
  const mobilisation = [0, 15_000, 60_000][random.integer(3)]!;
  return {
    inputs: { ...fleet, wishes, costs: { ...fleet.costs, mobilisation } },
    netBenefit: random.uniform() < 0.7,
  };
}

describe('the selection against an enumeration of every plan', () => {
  const objectives: number[] = [];
  let infeasible = 0;
  for (let block = 0; block < 10; block++) {
    test(`equals the best of all plans on small problems ${20 * block + 1} to ${20 * block + 20}`, async () => {
      for (let seed = 20 * block + 1; seed <= 20 * block + 20; seed++) {
        const { inputs, netBenefit } = smallProblem(seed);
        const best = bestOfAll(inputs, netBenefit);
        const plan = await makePlan(inputs, { objective: netBenefit ? 'net-benefit' : 'risk-removed', gapTarget: 0 });
        if (best === null) {
          infeasible++;
          expect(plan.status, `seed ${seed}`).toBe('infeasible');
          expect(plan.conflicts.length, `seed ${seed}`).toBeGreaterThan(0);
          continue;
        }
        expect(plan.status, `seed ${seed}`).toBe('optimal');
        objectives.push(best);
        expect(Math.abs(plan.objectivePv - best), `seed ${seed}: ${plan.objectivePv} against ${best}`).toBeLessThan(
          1e-9 * Math.abs(best) + 1e-6,
        );
      }
    });
  }
  test('has asked about real choices: most problems can be solved, are worth something, and some cannot be solved', () => {
    expect(objectives.length + infeasible).toBe(200);
    expect(objectives.filter((value) => value !== 0).length).toBeGreaterThan(120);
    expect(infeasible).toBeGreaterThan(5);
  });
});
