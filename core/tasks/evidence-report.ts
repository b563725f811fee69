import { type EvidenceReport, moment } from '../report/evidence-pdf.ts';
import { fleetName, ledgerCount, ledgerPage } from '../store/ledger.ts';
import type { Fleet } from '../store/sql.ts';
import { notASwitchingOrder } from '../trade/cautions.ts';
import type { CalibrationOf } from './evidence-calibration.ts';
import type { CompletenessOf } from './evidence-completeness.ts';
import { type ComplianceOf, complianceCaution, complianceSentence } from './evidence-compliance.ts';
import { sentenceOf, verifyLimit } from './evidence-sentences.ts';
import type { Verified } from './evidence-verify.ts';
import type { PolicyShown } from './policies.ts';
import { rolesLimit } from './roles.ts';

/** Rows of a table of the report; the bag's files hold all. */
const mostRows = 300;
const mostTestsNamed = 40;
const shownExceptions = new Set(['late', 'missing', 'excused']);

interface Found {
  readonly compliance: ComplianceOf;
  readonly calibration: CalibrationOf;
  readonly completeness: CompletenessOf;
  readonly verified: Verified;
  readonly wrong: readonly string[];
}

/** Everything the report on a period shows, as plain rows and sentences. */
export function reportOf(fleet: Fleet, { from, to }: { from: string; to: string }, found: Found): EvidenceReport {
  const { compliance, calibration, completeness, verified } = found;
  const head = verified.head!;
  const exceptions = compliance.rows.filter((row) => shownExceptions.has(row.status));
  const lines = ledgerCount(fleet, { from });
  return {
    utility: fleetName(fleet)!.utility_name,
    from,
    to,
    head: { line: head.seq, hash: head.hash, at: head.at },
    integrity: {
      sentence: sentenceOf(verified.faults.count, found.wrong[0], head),
      limit: verifyLimit,
      wrong: found.wrong,
    },
    signatures: verified.signatures.map(({ seq, by, at, holds }) => ({ line: seq, by, at, holds })),
    compliance: {
      sentence: complianceSentence(compliance, from, to),
      caution: complianceCaution,
      rules: compliance.rules.map((rule) => ({
        name: ruleSaid(rule),
        words: rule.words,
        source: rule.source,
      })),
      bySubstation: compliance.bySubstation,
      byFeeder: compliance.byFeeder,
      exceptions: exceptions
        .slice(0, mostRows)
        .map((row) => [
          row.segment,
          row.feeder,
          row.dueOn,
          row.doneOn ?? '',
          row.daysLate === null ? '' : `${row.daysLate}`,
          row.status,
          row.excuse ? `${row.excuse.reason} (${row.excuse.by})` : '',
        ]),
      exceptionsTotal: exceptions.length,
      unknown: compliance.unknown.length,
    },
    calibration: {
      sentence: calibration.sentence,
      instruments: calibration.instruments.map((one) => [
        one.instrument,
        one.serial ?? '',
        `${one.tests}`,
        `${one.outOfCalibration}`,
        one.certificates
          .filter((paper) => paper.calibratedOn <= to && paper.dueOn >= from)
          .map(certificateWords)
          .join('; '),
      ]),
      lapses: calibration.lapses.map((lapse) => ({
        says: lapse.says,
        tests: testsNamed(lapse.tests.map((test) => test.ownerId)),
      })),
    },
    completeness: {
      sentence: completeness.sentence,
      fields: completeness.fields
        .filter((one) => one.missing > 0)
        .map((one) => [one.field, one.held, `${one.missing}`, one.source]),
    },
    changes: {
      sentence: `The ledger ends at line ${head.seq}; lines written since ${from}: ${lines}. Newest first.`,
      rows: ledgerPage(fleet, { from }, Number.MAX_SAFE_INTEGER, mostRows).map((line) => [
        `${line.seq}`,
        moment(line.at),
        line.who,
        line.what,
        line.why ?? '',
        `${line.records}`,
      ]),
      total: lines,
    },
    roles: rolesLimit,
    footCaution: notASwitchingOrder,
  };
}

const certificateWords = (one: CalibrationOf['instruments'][number]['certificates'][number]): string =>
  `${one.calibratedOn} to ${one.dueOn}${one.dueAssumed ? ' (assumed)' : ''}${one.certificate ? `, ${one.certificate}` : ''}${one.file ? ', attached' : ''}`;

const testsNamed = (tests: readonly string[]): string =>
  tests.length <= mostTestsNamed
    ? `Tests: ${tests.join(', ')}.`
    : `Tests: ${tests.slice(0, mostTestsNamed).join(', ')} and ${tests.length - mostTestsNamed} more, in calibration.csv.`;

/** Which version, and where it was set only after it was to count, that too: it may have made late tests timely. */
function ruleSaid({ set, version, edition, inForceFrom, by, at }: PolicyShown): string {
  if (!set) {
    const taken = at === null ? '' : `, taken up on ${at.slice(0, 10)}`;
    return `our default, edition ${edition}${taken}, since the owner had set none`;
  }
  if (by === null || at === null) return `version ${version}, in force from ${inForceFrom}`;
  const afterwards = at.slice(0, 10) > inForceFrom ? ', AFTER that day' : '';
  return `version ${version}, in force from ${inForceFrom}, set by ${by} on ${at.slice(0, 10)}${afterwards}`;
}

/** The bag in words, for a person who has nothing but general tools. */
export function bagReadme(report: EvidenceReport): string {
  return `Evidence of cable tests, ${report.from} to ${report.to}
${report.utility}

This folder is a bag as in RFC 8493 (BagIt 1.0). Any BagIt tool can check it. With sha256sum alone, in the folder that
holds bagit.txt:

    sha256sum -c manifest-sha256.txt
    sha256sum -c tagmanifest-sha256.txt

What is in data/ (folders only where there is something for them):

  report.pdf           the report
  compliance.csv       every test due or done in the period, by the rule as it stood
  rules.jsonl          the rules that compliance.csv counts by, one JSON object a line: each version of the owner's rule,
                       and each edition of the program's default where the owner had set none
  calibration.csv      every test, and whether its instrument was in calibration that day
  completeness.csv     every field that a record lacks and a standard asks for
  records/             the tests of the period and all assets as plain CSV; datapackage.json describes every column
                       (Frictionless Data Package, Table Schema)
  original-files/      files as the testers wrote them
  certificates/        calibration certificates
  ledger.jsonl         every change ever made to the fleet file: one JSON object a line. 'hash' is the SHA-256 of
                       'line' in canonical JSON (RFC 8785, UTF-8); 'line.previous' is the hash of the line before.
                       The first follows the SHA-256 of fleet.json without its line end.
  test-digests.jsonl   each test of the period, those too that a correction superseded (the correction's content names
                       it): 'content' as it was sealed; 'digest' is the SHA-256 of 'content' as JSON without white
                       space (UTF-8); 'line' is the ledger line that wrote it.
  decisions.jsonl      in the same form what people decided and the register and the ranking count by: rules and the
                       currency ('policy'), limits, excuses, verdicts on findings, which readings each takes and how
                       ('treatment'), costs, persons with their roles; as they stand now, ledger.jsonl has what was.
                       Plans are not in this bag: the ledger says which were kept and approved, and by whom.
  signatures.json      signatures of ledger lines: Ed25519 (RFC 8032) over the canonical JSON of
                       {"fleet":FLEET_ID,"hash":HASH,"ledger":LINE}
  public-keys/         the keys they were made with. Trust a key only if you had it from its owner by another way.

The head of the ledger is line ${report.head.line}, written ${moment(report.head.at)}:
    ${report.head.hash}
It stands at the foot of every page of the report. A sheet of it kept elsewhere pins the fleet file: the file's own check
(yearbook verify FLEET --head HASH) fails once any line up to this one is rewritten. What ties a test to its ledger line
is the digest over all records of that line; to follow it, verify the fleet file itself.

${report.integrity.limit}

${report.footCaution}
`;
}
