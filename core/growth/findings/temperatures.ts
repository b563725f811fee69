import type { FleetColumns } from '../columns.ts';
import { type Comparable, monthlyTemperatures, monthOf, physicalC } from './comparable.ts';
import { type Finding, isoDay, noGrowthEffect, roughly } from './finding.ts';

/** A °C value this far above the month's usual, and over this many spreads, asks for an explanation. */
const farC = 18;
const farSpreads = 4;
/** Taken as °F it must come this close to the month's usual. */
const nearC = 8;
const hottestAirC = 50;
const coldestAirC = -50;

const celsius = (fahrenheit: number): number => (fahrenheit - 32) / 1.8;

/**
 * Insulation temperatures that no buried cable has (under −30 or over 110 °C), air that no place has (under −50 or
 * over 50 °C), and values far above the month's usual that fit it well when taken as °F. One finding a test.
 */
export function findTemperatures(fleet: FleetColumns, comparable: Comparable): Finding[] {
  const { readings } = fleet;
  const { events } = comparable;
  const { middle, spread } = monthlyTemperatures(readings);
  const findings: Finding[] = [];
  for (let e = 0; e < events.count; e++) {
    const usual = middle[monthOf(events.day[e]!)]!;
    const odd: number[] = [];
    let fahrenheit = 0;
    let impossible = 0;
    let air = Number.NaN;
    for (let r = events.start[e]!; r < events.start[e + 1]!; r++) {
      const t = readings.insulationTempC[r]!;
      const ambient = readings.ambientTempC[r]!;
      if (ambient < coldestAirC || ambient > hottestAirC) air = ambient;
      const outside = t < physicalC.coldest || t > physicalC.hottest;
      const asFahrenheit =
        t - usual > Math.max(farC, farSpreads * spread) && Math.abs(celsius(t) - usual) < Math.max(nearC, 2 * spread);
      if (!outside && !asFahrenheit) continue;
      odd.push(r);
      if (asFahrenheit) fahrenheit++;
      else impossible++;
    }
    if (odd.length > 0) add(e, odd, fahrenheit > impossible, usual);
    else if (!Number.isNaN(air)) addAir(e, air);
  }
  return findings;

  function add(e: number, odd: number[], fahrenheit: boolean, usual: number): void {
    const r = odd[0]!;
    const t = readings.insulationTempC[r]!;
    const month = Number.isNaN(usual) ? [] : [{ name: 'usual in that month', value: usual, unit: '°C' }];
    const right = fahrenheit ? [{ name: 'taken as °F', value: celsius(t), unit: '°C' }] : [];
    findings.push({
      ...about(e, odd),
      cure: { do: 'temperature', of: 'insulation', as: fahrenheit ? 'fahrenheit' : 'unknown' },
      certainty: fahrenheit ? 'likely' : 'certain',
      seen: [{ name: 'insulation temperature', value: t, unit: '°C' }, ...month, ...right],
      says: fahrenheit
        ? `An insulation temperature of ${roughly(t)} °C on ${isoDay(events.day[e]!)} is ${roughly(t - usual)} °C above what the month usually has; as ${roughly(t)} °F it would be ${roughly(celsius(t))} °C, as usual.`
        : `An insulation temperature of ${roughly(t)} °C on ${isoDay(events.day[e]!)} is outside what a buried cable under test can have (${physicalC.coldest} to ${physicalC.hottest} °C).`,
      wouldChange: fahrenheit
        ? 'With the right temperature the reading is corrected to 20 °C by less, and comes out higher.'
        : 'The temperature would count as unknown, and the season’s usual one would stand in with its uncertainty.',
    });
  }

  function addAir(e: number, ambient: number): void {
    const own = Array.from({ length: events.start[e + 1]! - events.start[e]! }, (_, i) => events.start[e]! + i);
    findings.push({
      ...about(e, own),
      cure: { do: 'temperature', of: 'ambient', as: 'unknown' },
      certainty: 'certain',
      seen: [
        { name: 'ambient temperature', value: ambient, unit: '°C' },
        { name: 'taken as °F', value: celsius(ambient), unit: '°C' },
      ],
      says: `An air temperature of ${roughly(ambient)} °C on ${isoDay(events.day[e]!)} is none that crews work in; as °F it would be ${roughly(celsius(ambient))} °C.`,
      wouldChange:
        'It would count as unknown, as it does already: where the insulation’s is unknown too, the season’s stands in.',
    });
  }

  function about(e: number, odd: number[]) {
    return {
      kind: 'temperature',
      segment: events.segment[e]!,
      event: readings.event[odd[0]!]!,
      instrument: readings.instrument[odd[0]!]!,
      readings: odd,
      growth: noGrowthEffect('it depends on the temperature put in its place'),
    } as const;
  }
}
