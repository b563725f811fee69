import { makePlan } from '../../core/plan/plan.ts';
import { randomFleet } from '../plan/fleet.ts';

// Goal: 2,000 candidates × 10 years within 1 % of the best plan in 60 s, never under the greedy plan.
// Run: node tests/bench/plan.bench.ts (prints; decides nothing).
const shape = { count: 2000, feeders: 100, years: 10, horizonYears: 30, budgetShare: 0.01 };
for (const objective of ['net-benefit', 'risk-removed'] as const) {
  for (const seed of [1, 2]) {
    // Hazards twenty times those of the fleet's shape, so that every segment is worth some work: 2,000 real candidates.
    const fleet = randomFleet({ ...shape, seed });
    const s = fleet.segments;
    const failureProbability = s.failureProbability.map((p) => 1 - (1 - p) ** 20);
    const inputs = { ...fleet, segments: { ...s, failureProbability } };
    const start = performance.now();
    const cpu = process.cpuUsage();
    const plan = await makePlan(inputs, { objective }, { nowMs: () => performance.now() });
    const seconds = (performance.now() - start) / 1000;
    const cpuSeconds = process.cpuUsage(cpu).user / 1e6;
    const gap = plan.gap.known ? plan.gap.amount : Number.NaN;
    const overGreedy = plan.greedyPv.known ? plan.objectivePv / plan.greedyPv.amount - 1 : Number.NaN;
    console.log(
      `plan ${objective} seed ${seed}: ${plan.candidates} candidates × ${shape.years} years, ${plan.items.length} works, ` +
        `${seconds.toFixed(1)} s, ${cpuSeconds.toFixed(1)} s of them computing (${(seconds / 60).toFixed(2)} of the goal), gap ${(100 * gap).toFixed(3)} % ` +
        `(${(gap / 0.01).toFixed(2)} of the goal), ${(100 * overGreedy).toFixed(2)} % over greedy, ${plan.status}`,
    );
  }
}
