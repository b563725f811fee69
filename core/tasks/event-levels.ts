import type { ColumnsRead } from './fleet-columns.ts';

/** Days and mean ln levels (nS/km at 20 °C) of a segment's usable events in order, into the arrays given. */
export function eventLevels(
  read: ColumnsRead,
  adjusted: ArrayLike<number>,
  segment: number,
  days: number[],
  logs: number[],
): void {
  days.length = 0;
  logs.length = 0;
  const { readings } = read.columns;
  let event = -1;
  let sum = 0;
  let n = 0;
  let day = 0;
  const close = () => {
    if (n === 0) return;
    days.push(day);
    logs.push(sum / n);
    sum = 0;
    n = 0;
  };
  for (let r = read.firstReading[segment]!; r < read.firstReading[segment + 1]!; r++) {
    if (readings.event[r] !== event) {
      close();
      event = readings.event[r]!;
      day = readings.day[r]!;
    }
    const nsPerKm = adjusted[r]!;
    if (Number.isNaN(nsPerKm)) continue;
    sum += Math.log(nsPerKm);
    n++;
  }
  close();
}
