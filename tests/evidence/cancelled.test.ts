import { execFileSync, spawnSync } from 'node:child_process';
import { existsSync, readdirSync, readFileSync, rmSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { AskName, InputOf } from '../../core/contract/asks/index.ts';
import { linesOfFile, weighFile } from '../../core/tasks/long-files.ts';
import { aCore, type TestCore } from '../tasks/a-core.ts';

let t: TestCore;
let bag: string;
const period = { from: '2020-01-01', to: '2026-06-30' };
beforeAll(async () => {
  t = await aCore();
  await t.ask('demo.write', { segments: 60 });
  await t.ask('ranking.make', {});
  bag = join(t.folder, 'bag');
  await t.ask('evidence.bag', { ...period, out: bag });
});
afterAll(() => t.close());

/** Asks, and cancels at the n-th time that the task looks whether it should stop; tells how often it looked. */
async function stoppedAt<N extends AskName>(name: N, input: InputOf<N>, nth: number) {
  let looks = 0;
  const reply = await t.core.send(name, input, { stopped: () => ++looks >= nth });
  return { reply, looks };
}

describe('long work for an auditor', () => {
  const works: [string, number, () => readonly [AskName, InputOf<AskName>]][] = [
    // Of every thousand records, every stored file and trace, every kept answer, between its parts.
    ['a check of the fleet', 20, () => ['evidence.verify', {}]],
    // Of every test and every mebibyte, besides the check of the fleet in it.
    ['a bag', 100, () => ['evidence.bag', { ...period, out: join(t.folder, 'another') }]],
    // Of every mebibyte and every file.
    ['a check of a bag', 20, () => ['evidence.verify', { path: bag }]],
    // Of every step of every fit.
    ['a check of the method', 10, () => ['method.check', { segments: 200, regimes: ['plain'] }]],
  ];
  test.each(works)(
    '%s looks often whether it was cancelled, and ends there with nothing left behind',
    async (_words, often, work) => {
      const [name, input] = work();
      // It also looks while it waits for a thread of its own, the longer the busier the machine is: the lesser of two.
      let looks = Number.POSITIVE_INFINITY;
      for (let run = 0; run < 2; run++) {
        const whole = await stoppedAt(name, input, Number.POSITIVE_INFINITY);
        expect(whole.reply).toMatchObject({ ok: true });
        if (name === 'evidence.bag') rmSync(join(t.folder, 'another'), { recursive: true });
        looks = Math.min(looks, whole.looks);
      }
      expect(looks).toBeGreaterThan(often);
      const before = readdirSync(t.folder).sort();
      for (const share of [0, 0.3, 0.6, 0.9]) {
        const nth = 1 + Math.floor(share * (looks - 1));
        const cancelled = await stoppedAt(name, input, nth);
        expect(cancelled.reply).toMatchObject({ ok: false, problem: { code: 'cancelled' } });
        expect(cancelled.looks).toBe(nth);
        expect(readdirSync(t.folder).sort()).toEqual(before);
      }
    },
    60_000,
  );
});

describe('a file of any size', () => {
  test('is weighed as sha256sum (GNU coreutils) weighs it', () => {
    const file = join(t.folder, 'some');
    writeFileSync(file, Buffer.from(Array.from({ length: 3_000_000 }, (_, i) => (i * 7919) % 251)));
    const { sha256, bytes } = weighFile(file, () => {});
    expect(bytes).toBe(3_000_000);
    if (spawnSync('sha256sum', ['--version']).error) console.log('sha256sum is not here: the digest is not compared.');
    else expect(execFileSync('sha256sum', [file], { encoding: 'utf8' }).split(' ')[0]).toBe(sha256);
  });

  test('of more than 2 GiB, which Node refuses to read whole, is weighed by stretches, and cancelled between them', () => {
    const file = join(t.folder, 'large');
    writeFileSync(file, '');
    // Sparse: it takes no room on the disk.
    truncateSync(file, 2 ** 31 + 1);
    expect(() => readFileSync(file)).toThrow(/greater than 2 GiB/);
    let looks = 0;
    const stop = () => {
      if (++looks > 3) throw new Error('cancelled');
    };
    expect(() => weighFile(file, stop)).toThrow('cancelled');
    expect(looks).toBe(4);
  });

  test('gives its lines whole, wherever a stretch ends in one or in a letter', () => {
    const file = join(t.folder, 'lines');
    const lines = Array.from({ length: 90_000 }, (_, i) => `${'€ü'.repeat(i % 9)}${i}`);
    writeFileSync(file, `${lines.join('\n')}\n\nlast`);
    expect([...linesOfFile(file, () => {})]).toEqual([...lines, 'last']);
    expect(existsSync(file)).toBe(true);
  });
});
