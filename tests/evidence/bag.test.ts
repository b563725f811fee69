import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import {
  appendFileSync,
  cpSync,
  existsSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join, relative } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { type Core, openCore } from '../../core/index.ts';
import { migrations } from '../../migrations/index.ts';

const folder = mkdtempSync(join(tmpdir(), 'bag-'));
const file = join(folder, 'demo.fleet');
const bag = join(folder, 'bag');
let core: Core;

// A clock that moves a little with every look: what is made from the same fleet must not depend on it.
let tick = Date.UTC(2026, 2, 1, 9);
const now = () => {
  tick += 1000;
  return new Date(tick).toISOString();
};
const period = { from: '2025-01-01', to: '2025-12-31' };

beforeAll(async () => {
  core = await openCore(file, { migrations, now, who: 'A. Approver', create: true });
  const certificate = join(folder, '=cmd|calibration "7".txt');
  writeFileSync(certificate, 'Calibrated.\n'.repeat(50));
  await done(core.send('demo.write', { segments: 60, seed: 3 }));
  const made = await done(core.send('evidence.calibration', period));
  const id = made.instruments[0]!.certificates.at(-1)!.id;
  await done(core.send('calibration.attach', { calibrationId: id, file: certificate }));
  const key = join(folder, 'key.pem');
  await done(core.send('evidence.makeKey', { out: key }));
  await done(core.send('evidence.sign', { key, reason: 'end of the year' }));
  await done(core.send('evidence.bag', { ...period, out: bag }));
});
afterAll(() => {
  core.close();
  rmSync(folder, { recursive: true, force: true });
});

async function done<T>(
  reply: Promise<{ ok: true; value: T } | { ok: false; problem: { message: string } }>,
): Promise<T> {
  const settled = await reply;
  if (!settled.ok) throw new Error(settled.problem.message);
  return settled.value;
}

const filesIn = (root: string): string[] =>
  readdirSync(root, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => relative(root, join(entry.parentPath, entry.name)).replaceAll('\\', '/'))
    .sort();
const sha256 = (path: string) => createHash('sha256').update(readFileSync(path)).digest('hex');

/** RFC 8493's rules, written from its text and from nothing of the project's. */
function bagItFaults(root: string): string[] {
  const faults: string[] = [];
  const text = (name: string) => readFileSync(join(root, name), 'utf8');
  // 2.1.1: exactly two lines, UTF-8 without a byte order mark.
  if (!/^BagIt-Version: 1\.0\r?\nTag-File-Character-Encoding: UTF-8\r?\n?$/.test(text('bagit.txt')))
    faults.push('2.1.1 bagit.txt');
  const all = filesIn(root);
  const payload = all.filter((path) => path.startsWith('data/'));
  // 2.1.2: the payload lies in data/.
  if (payload.length === 0) faults.push('2.1.2 no payload');
  // 2.1.3 and 2.2.1: a manifest's name is its algorithm in lower case; a line is a checksum, blanks and a path.
  for (const [name, must] of [
    ['manifest-sha256.txt', payload],
    ['tagmanifest-sha256.txt', all.filter((path) => !path.startsWith('data/') && !path.startsWith('tagmanifest-'))],
  ] as const) {
    const listed = new Map<string, string>();
    for (const line of text(name)
      .split(/\r\n|\n|\r/)
      .filter((one) => one !== '')) {
      const match = /^([0-9a-f]{64}) +(.+)$/i.exec(line);
      if (!match) faults.push(`2.1.3 line '${line}'`);
      else {
        const path = match[2]!
          .replace(/%0[aA]/g, '\n')
          .replace(/%0[dD]/g, '\r')
          .replace(/%25/g, '%');
        if (listed.has(path)) faults.push(`2.1.3 '${path}' twice`);
        if (path.startsWith('/') || path.includes('..')) faults.push(`5.1 '${path}' leads out`);
        listed.set(path, match[1]!.toLowerCase());
      }
    }
    // 3: complete and valid.
    for (const path of must) if (listed.get(path) !== sha256(join(root, path))) faults.push(`3 ${path} in ${name}`);
    for (const path of listed.keys()) if (!must.includes(path)) faults.push(`3 ${path} not there`);
  }
  // 2.2.2: label, colon, value; a continuation begins with a blank; Payload-Oxum is bytes and files.
  const info = text('bag-info.txt');
  for (const line of info.split('\n').filter((one) => one !== ''))
    if (!/^([^\s:][^:]*:\s?.*|[ \t].*)$/.test(line)) faults.push(`2.2.2 '${line}'`);
  const bytes = payload.reduce((sum, path) => sum + readFileSync(join(root, path)).length, 0);
  if (/^Payload-Oxum: (.*)$/m.exec(info)?.[1] !== `${bytes}.${payload.length}`) faults.push('2.2.2 Payload-Oxum');
  if (!/^Bagging-Date: \d{4}-\d{2}-\d{2}$/m.test(info)) faults.push('2.2.2 Bagging-Date');
  return faults;
}

describe('a bag of evidence', () => {
  test('keeps every rule of RFC 8493', () => {
    expect(bagItFaults(bag)).toEqual([]);
  });

  test('passes sha256sum -c, both manifests', () => {
    for (const manifest of ['manifest-sha256.txt', 'tagmanifest-sha256.txt'])
      expect(() => execFileSync('sha256sum', ['-c', '--quiet', '--strict', manifest], { cwd: bag })).not.toThrow();
  });

  test('holds the report, the records, the certificate, the chain, the signature and its key', () => {
    const files = filesIn(join(bag, 'data'));
    for (const name of [
      'report.pdf',
      'README.txt',
      'compliance.csv',
      'calibration.csv',
      'completeness.csv',
      'ledger.jsonl',
      'fleet.json',
      'signatures.json',
      'test-digests.jsonl',
      'decisions.jsonl',
      'public-keys/key-1.pem',
      'records/datapackage.json',
      'records/tests.csv',
      'records/segments.csv',
    ])
      expect(files).toContain(name);
    const [certificate] = files.filter((name) => name.startsWith('certificates/'));
    expect(certificate).toMatch(/^certificates\/[0-9a-f]{12}-[A-Za-z0-9._-]+$/);
    expect(readFileSync(join(bag, 'data', certificate!), 'utf8')).toBe('Calibrated.\n'.repeat(50));
    expect(readFileSync(join(bag, 'data/report.pdf')).subarray(0, 8).toString()).toBe('%PDF-1.7');
  });

  test('of the same fleet and period is the same twice, byte for byte', { timeout: 120_000 }, async () => {
    const again = join(folder, 'again');
    await done(core.send('evidence.bag', { ...period, out: again }));
    expect(filesIn(again)).toEqual(filesIn(bag));
    for (const path of filesIn(bag)) expect(sha256(join(again, path)), path).toBe(sha256(join(bag, path)));
  });

  test('has only tests of the period', () => {
    const [header, ...rows] = readFileSync(join(bag, 'data/records/tests.csv'), 'utf8').trimEnd().split('\n');
    const at = header!.split(',').indexOf('tested_on');
    expect(rows.length).toBeGreaterThan(10);
    expect(rows.every((row) => row.split(',')[at]!.startsWith('2025-'))).toBe(true);
  });

  test('has a ledger whose chain general tools can follow: SHA-256 over canonical JSON, the first after fleet.json', () => {
    const lines = readFileSync(join(bag, 'data/ledger.jsonl'), 'utf8').trimEnd().split('\n');
    let previous = createHash('sha256')
      .update(readFileSync(join(bag, 'data/fleet.json'), 'utf8').trimEnd())
      .digest('hex');
    for (const text of lines) {
      const { hash, line } = JSON.parse(text) as { hash: string; line: { previous: string } };
      expect(line.previous).toBe(previous);
      // The file is in canonical form already, so that the line's own text is what was hashed.
      const inner = text.slice(text.indexOf('"line":') + 7, -1);
      expect(createHash('sha256').update(inner).digest('hex')).toBe(hash);
      previous = hash;
    }
    expect(readFileSync(join(bag, 'bag-info.txt'), 'utf8')).toContain(`Ledger-Head-SHA256: ${previous}`);
  });

  test('verifies, also by the head and the key', async () => {
    const head = /Ledger-Head-SHA256: (.*)/.exec(readFileSync(join(bag, 'bag-info.txt'), 'utf8'))![1]!;
    const answer = await done(
      core.send('evidence.verify', { path: bag, head, publicKey: join(folder, 'key.pem.pub.pem') }),
    );
    expect(answer).toMatchObject({ of: 'bag', intact: true, wrongCount: 0 });
    expect(answer.sentence).toMatch(/ The head given is a line of it\. The key given signed line 2\.$/);
    expect(answer.signatures.map((one) => one.holds)).toEqual([true]);
  });

  test.each([
    [
      'a changed byte of the report',
      (at: string) => appendFileSync(join(at, 'data/report.pdf'), ' '),
      /report\.pdf does not give its SHA-256/,
    ],
    [
      'a file that was added',
      (at: string) => writeFileSync(join(at, 'data/extra.txt'), 'x'),
      /data\/extra\.txt is not listed/,
    ],
    [
      'a file that was removed',
      (at: string) => rmSync(join(at, 'data/records/failures.csv')),
      /failures\.csv is listed in manifest-sha256\.txt and not there/,
    ],
    [
      'a changed tag file',
      (at: string) => appendFileSync(join(at, 'bag-info.txt'), 'Contact-Name: x\n'),
      /bag-info\.txt does not give its SHA-256/,
    ],
    [
      'a way out of the bag',
      (at: string) => appendFileSync(join(at, 'manifest-sha256.txt'), `${'0'.repeat(64)}  ../secret\n`),
      /'\.\.\/secret' leads out of the bag/,
    ],
  ])('does not verify with %s', async (_, spoil, says) => {
    const copy = join(folder, 'spoilt');
    rmSync(copy, { recursive: true, force: true });
    cpSync(bag, copy, { recursive: true });
    spoil(copy);
    const answer = await done(core.send('evidence.verify', { path: copy }));
    expect(answer.intact).toBe(false);
    expect(answer.wrong.map((one) => one.says).join('\n')).toMatch(says);
  });

  test('does not verify when a ledger line was changed and both manifests mended', async () => {
    const copy = join(folder, 'mended');
    cpSync(bag, copy, { recursive: true });
    const ledger = join(copy, 'data/ledger.jsonl');
    writeFileSync(ledger, readFileSync(ledger, 'utf8').replace('end of the year', 'end of the hear'));
    for (const name of ['manifest-sha256.txt', 'tagmanifest-sha256.txt']) {
      const text = readFileSync(join(copy, name), 'utf8').replace(
        /^([0-9a-f]{64}) {2}(.*)$/gm,
        (_line, _hash, path: string) => `${sha256(join(copy, path))}  ${path}`,
      );
      writeFileSync(join(copy, name), text);
    }
    expect(bagItFaults(copy)).toEqual([]);
    const answer = await done(core.send('evidence.verify', { path: copy }));
    expect(answer.wrong.map((one) => one.says)).toEqual([
      expect.stringMatching(/ledger line 3 does not give its own hash/),
    ]);
  });

  test('is never written over something that is there, and leaves nothing half done', async () => {
    const taken = await core.send('evidence.bag', { ...period, out: bag });
    expect(taken).toMatchObject({ ok: false, problem: { code: 'not-allowed' } });
    const out = join(folder, 'stopped');
    const stopped = await core.send('evidence.bag', { ...period, out }, { stopped: () => true });
    expect(stopped).toMatchObject({ ok: false, problem: { code: 'cancelled' } });
    expect([existsSync(out), existsSync(`${out}.part`)]).toEqual([false, false]);
  });

  test('holds what people decided as it was sealed: each digest is the SHA-256 of its content, its line in the chain', async () => {
    const source = 'board, minute 14';
    const reason = 'decided for the bag';
    await done(core.send('plan.setCurrency', { currency: 'EUR', source }));
    const { findings } = await done(core.send('findings.list', {}));
    expect(findings.length).toBeGreaterThan(0);
    await done(core.send('finding.decide', { keys: [findings[0]!.key], verdict: 'accepted', reason }));
    const { rows } = await done(core.send('evidence.compliance', { ...period, count: 1 }));
    await done(core.send('excuse.add', { segmentId: rows[0]!.segmentId, dueOn: rows[0]!.dueOn, reason }));
    await done(core.send('person.add', { name: 'A. Approver' }));
    const out = join(folder, 'decided');
    await done(core.send('evidence.bag', { ...period, out }));
    const read = (name: string) =>
      readFileSync(join(out, 'data', name), 'utf8')
        .trimEnd()
        .split('\n')
        .map((text) => JSON.parse(text) as { content: unknown[]; digest: string; line: number });
    const lines = readFileSync(join(out, 'data/ledger.jsonl'), 'utf8').trimEnd().split('\n').length;
    const decisions = read('decisions.jsonl');
    for (const { content, digest, line } of [...decisions, ...read('test-digests.jsonl')]) {
      expect(createHash('sha256').update(JSON.stringify(content)).digest('hex')).toBe(digest);
      expect(line).toBeLessThanOrEqual(lines);
    }
    expect([...new Set(decisions.map(({ content }) => content[0]))]).toEqual([
      'policy',
      'leakage_limit',
      'excuse',
      'finding_verdict',
      'treatment',
      'person',
    ]);
    const answer = await done(core.send('evidence.verify', { path: out }));
    expect(answer).toMatchObject({ intact: true, checked: { decisions: decisions.length } });
    appendFileSync(
      join(out, 'data/decisions.jsonl'),
      `{"content":["excuse","x","y"],"digest":"${'0'.repeat(64)}","line":1}\n`,
    );
    const spoilt = await done(core.send('evidence.verify', { path: out }));
    expect(spoilt.wrong.map((one) => one.says).join('\n')).toContain(
      'excuse y in decisions.jsonl does not give its digest',
    );
  });
});
