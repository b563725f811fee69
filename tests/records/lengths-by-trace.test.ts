import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { AskName, InputOf } from '../../core/contract/asks/index.ts';
import { type Core, openCore } from '../../core/index.ts';
import { migrations } from '../../migrations/index.ts';
import { temporaryFolder } from '../hosts/small-fleet.ts';
import { drawPlan, makeTrace } from '../trace/generator/model.ts';

// A physics textbook's problem 26.37 prints 81 pF/m for a coaxial cable of relative permittivity 2.6 whose outer diameter
// is six times its inner; tree-retardant compounds reach 2.6 at most, so the dimensions alone lead to a little less.
const printedNfPerKm = 81;
const chargedKm = 1.2;

const home = temporaryFolder('lengths-by-trace');
let core: Core;
async function got<N extends AskName>(name: N, input: InputOf<N>) {
  const reply = await core.send(name, input);
  if (!reply.ok) throw new Error(`${name}: ${reply.problem.message}`);
  return reply.value;
}

/** Recorded lengths of cables that are all 1.2 km long, m. */
const recordedM = { right: 1200, feet: 3937, half: 600, bare: 3937 } as const;

beforeAll(async () => {
  const folder = home.file('folder');
  mkdirSync(folder);
  const write = (name: string, lines: readonly string[]) => writeFileSync(join(folder, name), `${lines.join('\n')}\n`);
  write('substations.csv', ['substation_id,name', 'S1,Harrow Vale']);
  write('feeders.csv', ['feeder_id,substation_id,name,nominal_kv', 'F1,S1,Foundry,15']);
  write('segments.csv', [
    'segment_id,feeder_id,name,length,length_unit,rated_kv,insulation,conductor_diameter_mm,insulation_thickness_mm,phases,energised_on',
    ...Object.entries(recordedM).map(
      ([id, m]) => `${id},F1,Cable ${id},${m},m,15,TR-XLPE,${id === 'bare' ? ',' : '10,25'},ABC,2010-06-01`,
    ),
  ]);
  core = await openCore(home.file('a.fleet'), {
    migrations,
    now: () => '2025-05-15T08:00:00.000Z',
    who: 'crew lead',
    create: true,
  });
  await got('fleet.import', { paths: [folder], utilityName: 'Harrow Vale Municipal Power' });
  const paths = Object.keys(recordedM).flatMap((id, c) =>
    (['A', 'B', 'C'] as const).map((phase, p) => {
      const trace = makeTrace({
        ...drawPlan(500 + 3 * c + p),
        kind: 'withstand',
        targetKv: 20,
        kvPerS: 1,
        dwellS: 300,
        capacitanceNf: printedNfPerKm * chargedKm,
      });
      const rows = Array.from(
        trace.timeS,
        (t, i) => `${t.toFixed(2)},${trace.voltageKv[i]!.toFixed(3)},${trace.currentUa[i]!.toFixed(4)}`,
      );
      const path = home.file(`${id} ${phase}.csv`);
      const head = [`Segment: ${id}`, `Phase: ${phase}`, 'Date: 2025-05-14', 'Time (s),Voltage (kV),Current (uA)'];
      writeFileSync(path, `${[...head, ...rows].join('\n')}\n`);
      return path;
    }),
  );
  const { files, revision } = await got('records.preview', { paths });
  const ids = await Promise.all(
    Object.keys(recordedM).map(async (segment) => (await got('retest.brief', { segment })).segmentId),
  );
  await got('records.accept', {
    paths,
    revision,
    files: files.map((file, i) => ({
      key: file.key,
      segmentId: ids[Math.floor(i / 3)]!,
      phase: (['A', 'B', 'C'] as const)[i % 3]!,
      testedOn: '2025-05-14',
      method: file.method,
      insulationTempC: 12,
      instrumentId: null,
      crew: null,
    })),
  });
});
afterAll(() => {
  core.close();
  home.clear();
});

test('findings hold lengths against the capacitance in accepted traces: feet taken for metres, and half the cable', async () => {
  const { findings } = await got('findings.list', {});
  const lengths = findings.filter((one) => one.kind === 'length slip');
  expect(lengths.map((one) => [one.segment!.ownerId, one.certainty])).toEqual([
    ['feet', 'likely'],
    ['half', 'weak'],
  ]);
  expect(lengths[0]!.seen).toMatch(
    /^The 3 traces show in the middle 9\d(\.\d+)? nF a phase, .*as feet and metres do\.$/,
  );
  expect(lengths[0]!.untilJudged).toBe('Until it is judged, the length is used as it was recorded.');
});

test('accepted, the length in feet is taken for what it is; the record itself stays until somebody edits it', async () => {
  const { findings } = await got('findings.list', {});
  const feet = findings.find((one) => one.segment?.ownerId === 'feet')!;
  const page = () => got('segment.page', { segmentId: feet.segment!.id });
  const before = (await page()).tests[0]!.nsPerKmAt20C!;
  const { changing } = await got('finding.decide', { keys: [feet.key], verdict: 'accepted', reason: 'map is in feet' });
  expect(changing).toBe(1);
  const after = await page();
  // The international foot is 0.3048 m exactly.
  expect(after.tests[0]!.nsPerKmAt20C! / before).toBeCloseTo(1 / 0.3048, 1);
  expect(after.lengthM).toBe(3937);
  expect(after.verdicts).toMatchObject([{ kind: 'length slip', verdict: 'accepted', does: { do: 'length' } }]);
});
