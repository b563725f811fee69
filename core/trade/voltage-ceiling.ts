import { iceaDcTable, ufgsDcTable } from './test-voltages.ts';

/**
 * The highest DC test voltage that any published table here prints for the smallest listed class not under the rated
 * one, for new cable, kV. No cable of that class is tested above it, so a higher voltage is a slip of the pen. Infinity
 * above the highest class.
 */
export function highestPublishedDcKv(ratedKv: number): number {
  const rows = [
    ...iceaDcTable.map((row) => ({ ratedKv: row.ratedKv, kv: row.installKv })),
    ...ufgsDcTable.map((row) => ({
      ratedKv: row.classKv,
      kv: Math.max(row.withConnectorsKv, row.withoutConnectorsKv),
    })),
  ];
  const classes = rows.map((row) => row.ratedKv).filter((kv) => kv >= ratedKv - 0.01);
  if (classes.length === 0) return Number.POSITIVE_INFINITY;
  const nearest = Math.min(...classes);
  return Math.max(...rows.filter((row) => row.ratedKv === nearest).map((row) => row.kv));
}
