import {
  closeSync,
  existsSync,
  openSync,
  readdirSync,
  renameSync,
  rmdirSync,
  rmSync,
  statSync,
  writeFileSync,
  writeSync,
} from 'node:fs';
import { dirname, join, relative, sep } from 'node:path';
import { refuse } from '../contract/problem.ts';
import { type BagFile, bagInfoText, bagitText, manifestText, oxum, safeName } from '../evidence/bag.ts';
import { canonicalJson, type Json, sha256 } from '../evidence/canonical.ts';
import { evidencePdf } from '../report/evidence-pdf.ts';
import { filesOfPeriod, writtenTestsOfPeriod } from '../store/evidence.ts';
import { fleetName, ledgerHead, wholeLines } from '../store/ledger.ts';
import { type AnyRow, everyRecord, readingsOfEvent, recordById } from '../store/records.ts';
import { signatures } from '../store/signatures.ts';
import type { Entity } from '../store/tables.ts';
import { beginSnapshot, viewOf } from '../store/verify.ts';
import { contentOf } from './content.ts';
import { type Desk, today } from './desk.ts';
import { calibrationCsv, calibrationOf } from './evidence-calibration.ts';
import { completenessCsv, completenessOf } from './evidence-completeness.ts';
import { checkPeriod, complianceCsv, complianceOf } from './evidence-compliance.ts';
import { bagReadme, reportOf } from './evidence-report.ts';
import { signatureJson } from './evidence-signatures.ts';
import { unpacked, verifyFleet } from './evidence-verify.ts';
import { inWords } from './evidence-words.ts';
import { exportFolder } from './folder-export.ts';
import { weighFile } from './long-files.ts';
import { makeFolder } from './out-file.ts';
import type { Task } from './task.ts';

/** The bag is written beside its place under another name and then moved, so that half a bag is never found there. */
export const bagTask: Task<'evidence.bag'> = async (asked, input) => {
  const { view, close } = viewOf(asked.fleet);
  const { file, now, day, who, blankFleet, progress, checkStop, whenIdle } = asked;
  try {
    return await packBag({ fleet: view, file, now, day, who, blankFleet, progress, checkStop, whenIdle }, input);
  } finally {
    close();
  }
};

async function packBag(desk: Desk, { from, to, out }: { from: string; to: string; out: string }) {
  checkPeriod(from, to);
  if (existsSync(out) && (!statSync(out).isDirectory() || readdirSync(out).length > 0))
    throw refuse('not-allowed', 'The place for the bag must be empty or not exist.', { where: out });
  const fleet = fleetName(desk.fleet);
  const head = ledgerHead(desk.fleet);
  if (!fleet || !head) throw refuse('too-few', 'The fleet is empty; there is nothing to put into a bag.');
  const part = `${out}.part`;
  rmSync(part, { recursive: true, force: true });
  const endSnapshot = beginSnapshot(desk.fleet);
  try {
    makeFolder(join(part, 'data'));
    const sentence = await writePayload(desk, join(part, 'data'), from, to);
    endSnapshot();
    desk.progress(0, 0, 'weighing the bag');
    const payload = filesUnder(desk, part, 'data');
    const headHash = Buffer.from(head.hash).toString('hex');
    const put = (name: string, text: string) => writeFileSync(join(part, name), text);
    put('bagit.txt', bagitText);
    put(
      'bag-info.txt',
      bagInfoText([
        ['Source-Organization', fleet.utility_name],
        ['External-Description', `Cable tests and their evidence from ${from} to ${to}`],
        ['Bagging-Date', head.at.slice(0, 10)],
        ['External-Identifier', `${fleet.fleet_id} ${from} ${to}`],
        ['Payload-Oxum', oxum(payload)],
        ['Bag-Software-Agent', 'Cable Yearbook'],
        ['Ledger-Line', `${head.seq}`],
        ['Ledger-Head-SHA256', headHash],
      ]),
    );
    const manifest = manifestText(payload);
    put('manifest-sha256.txt', manifest);
    const tags = ['bag-info.txt', 'bagit.txt', 'manifest-sha256.txt'].map((path) => weighed(desk, part, path));
    put('tagmanifest-sha256.txt', manifestText(tags));
    desk.checkStop();
    if (existsSync(out)) rmdirSync(out);
    renameSync(part, out);
    return {
      folder: out,
      sentence,
      files: payload.length + tags.length + 1,
      bytes: payload.reduce((sum, file) => sum + file.bytes, 0),
      ledgerHead: headHash,
      manifestSha256: sha256(manifest).toString('hex'),
    };
  } finally {
    endSnapshot();
    rmSync(part, { recursive: true, force: true });
  }
}

async function writePayload(desk: Desk, data: string, from: string, to: string): Promise<string> {
  const put = (name: string, bytes: string | Uint8Array) => {
    makeFolder(dirname(join(data, name)));
    writeFileSync(join(data, name), bytes);
  };
  const compliance = complianceOf(desk, from, to, today(desk));
  desk.checkStop();
  const calibration = calibrationOf(desk.fleet, from, to);
  desk.checkStop();
  const completeness = completenessOf(desk.fleet, from, to);
  desk.checkStop();
  put('compliance.csv', complianceCsv(compliance.rows));
  put('calibration.csv', calibrationCsv(calibration));
  put('completeness.csv', completenessCsv(completeness));
  exportFolder(desk, join(data, 'records'), { from, to });
  putFiles(desk, put, from, to);
  putLedger(desk, data, put);
  putDigests(desk, data, from, to);
  put('rules.jsonl', compliance.rules.map((rule) => `${canonicalJson(rule)}\n`).join(''));
  put('decisions.jsonl', decisions(desk));
  const verified = await verifyFleet(desk, desk.fleet, undefined);
  const wrong = verified.faults.list.slice(0, 20).map((fault) => inWords(desk.fleet, fault, false).says);
  const report = reportOf(desk.fleet, { from, to }, { compliance, calibration, completeness, verified, wrong });
  desk.progress(0, 0, 'writing the report');
  put('report.pdf', await evidencePdf(report));
  put('README.txt', bagReadme(report));
  return `${report.compliance.sentence} ${report.calibration.sentence}`;
}

/** Files as they were received: those the tests came from, and certificates. */
function putFiles(desk: Desk, put: (name: string, bytes: Uint8Array) => void, from: string, to: string): void {
  for (const { id, what } of filesOfPeriod(desk.fleet, from, to)) {
    const file = recordById(desk.fleet, 'source_file', id)!;
    const name = `${Buffer.from(file.sha256).toString('hex').slice(0, 12)}-${safeName(file.name)}`;
    put(`${what === 'original' ? 'original-files' : 'certificates'}/${name}`, unpacked(file.compression, file.bytes));
    desk.checkStop();
  }
}

const json = (text: string | null): Json => (text === null ? null : (JSON.parse(text) as Json));
const hex = (bytes: Uint8Array | null): string | null => (bytes === null ? null : Buffer.from(bytes).toString('hex'));

/** The whole chain: each line holds what its hash covers, and the hash. */
function putLedger(desk: Desk, data: string, put: (name: string, text: string) => void): void {
  const fd = openSync(join(data, 'ledger.jsonl'), 'w');
  try {
    for (const line of wholeLines(desk.fleet)) {
      desk.checkStop();
      const sealed = {
        seq: line.seq,
        at: line.at,
        who: line.who,
        what: line.what,
        entity: line.entity,
        id: line.entity_id,
        before: json(line.before),
        after: json(line.after),
        why: line.why,
        rows: hex(line.rows_digest),
        locator: hex(line.rows_locator),
        previous: hex(line.previous_hash),
      };
      writeSync(fd, `${canonicalJson({ hash: hex(line.hash), line: sealed })}\n`);
    }
  } finally {
    closeSync(fd);
  }
  const fleet = fleetName(desk.fleet)!;
  const name = { fleet: fleet.fleet_id, utility: fleet.utility_name, created: fleet.created_at };
  put('fleet.json', `${canonicalJson(name)}\n`);
  const signed = signatures(desk.fleet);
  put('signatures.json', `${canonicalJson(signed.map(signatureJson))}\n`);
  const keys = [...new Set(signed.map((row) => row.public_key))].sort();
  for (const [i, key] of keys.entries()) put(`public-keys/key-${i + 1}.pem`, key);
}

type Parts = readonly AnyRow[] | undefined;

/** A record's content as sealed, its digest and the line that wrote it. */
function sealedText(entity: Entity, row: AnyRow, parts?: Parts): string {
  const content = [entity, ...contentOf(entity, row, parts)] as Json;
  return `${canonicalJson({ content, digest: hex(row.digest as Uint8Array), line: row.ledger_seq as number })}\n`;
}

/** The tests of the period, those superseded too. */
function putDigests(desk: Desk, data: string, from: string, to: string): void {
  const fd = openSync(join(data, 'test-digests.jsonl'), 'w');
  try {
    for (const id of writtenTestsOfPeriod(desk.fleet, from, to)) {
      desk.checkStop();
      const row = recordById(desk.fleet, 'test_event', id) as unknown as AnyRow;
      writeSync(fd, sealedText('test_event', row, readingsOfEvent(desk.fleet, id) as unknown as Parts));
    }
  } finally {
    closeSync(fd);
  }
}

/** What people decided, by which the register and the ranking count. */
const decided = ['policy', 'leakage_limit', 'excuse', 'finding_verdict', 'treatment', 'cost', 'person'] as const;

const decisions = ({ fleet }: Desk): string =>
  decided.flatMap((entity) => [...everyRecord(fleet, entity)].map((row) => sealedText(entity, row))).join('');

const weighed = (desk: Desk, bag: string, path: string): BagFile => ({
  path,
  ...weighFile(join(bag, path), desk.checkStop),
});

export function filesUnder(desk: Desk, bag: string, folder: string): BagFile[] {
  const found = readdirSync(join(bag, folder), { withFileTypes: true, recursive: true });
  return found
    .filter((entry) => entry.isFile())
    .map((entry) => weighed(desk, bag, relative(bag, join(entry.parentPath, entry.name)).split(sep).join('/')))
    .sort((a, b) => (a.path < b.path ? -1 : 1));
}
