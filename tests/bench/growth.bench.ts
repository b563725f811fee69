import { fitGrowth } from '../../core/growth/fitGrowth.ts';
import { regimes } from '../../core/growth/proving/regimes.ts';
import { simulateFleet } from '../../core/growth/proving/simulateFleet.ts';

// Fits about 1,000,000 readings of 200,000 segments and prints time and peak memory, and the time as a ratio against
// one scan of the same columns in memory. Run: node tests/bench/growth.bench.ts [segments]

const segments = Number(process.argv[2] ?? 200_000);
const messy = regimes.find((regime) => regime.name === 'messy')!;
const { columns } = simulateFleet({ ...messy, eventsPerSegment: 1.6 }, segments, 1);
const { readings } = columns;

function scan(): number {
  let sum = 0;
  for (let r = 0; r < readings.count; r++) {
    const leakage = readings.leakageUa[r]!;
    const voltage = readings.voltageKv[r]!;
    const warm = readings.insulationTempC[r]!;
    const length = columns.segments.lengthKm[readings.segment[r]!]!;
    sum += Math.log(leakage / voltage / length) - 0.05 * ((Number.isNaN(warm) ? 15 : warm) - 20) + readings.day[r]!;
  }
  return sum;
}

scan();
const scanStart = performance.now();
let check = 0;
for (let i = 0; i < 5; i++) check += scan();
const scanMs = (performance.now() - scanStart) / 5;

let peak = process.memoryUsage().rss;
const cpuStart = process.cpuUsage();
const start = performance.now();
const fit = fitGrowth(columns, {}, () => {
  peak = Math.max(peak, process.memoryUsage().rss);
});
const seconds = (performance.now() - start) / 1000;
const cpu = process.cpuUsage(cpuStart);
peak = Math.max(peak, process.memoryUsage().rss);
process.stdout.write(
  `${JSON.stringify({
    segments,
    readings: readings.count,
    events: fit.report.events,
    fitSeconds: Number(seconds.toFixed(1)),
    // Above the fit's seconds when the collector ran beside it; far under them when the machine was busy.
    cpuSeconds: Number(((cpu.user + cpu.system) / 1e6).toFixed(1)),
    scanMs: Number(scanMs.toFixed(1)),
    fitOverScan: Math.round((seconds * 1000) / scanMs),
    peakMb: Math.round(peak / 1e6),
    passes: fit.report.passes,
    converged: fit.report.converged,
    check: Number.isFinite(check),
  })}\n`,
);
