import { z } from 'zod';
import { ask } from '../ask.ts';
import { Day, SegmentId } from '../ids.ts';
import {
  ComplianceRow,
  ComplianceStatus,
  FieldChange,
  LedgerEntry,
  LedgerFilter,
  PersonRow,
  PolicyVersion,
  Role,
  StatusCounts,
  VerifyAnswer,
} from '../shapes/evidence.ts';
import { inPath, outPath, reason } from '../shapes/given.ts';

const hash = z.string().regex(/^[0-9a-fA-F]{64}$/, 'a SHA-256 in hexadecimal: 64 digits');
const period = { from: Day.describe('first day of the period'), to: Day.describe('last day of the period') };
const page = {
  skip: z.number().int().min(0).default(0).describe('rows passed over before the first that is listed'),
  count: z.number().int().min(1).max(1000).default(100).describe('rows listed at most'),
};
const revision = z.object({ revision: z.number().int() });

const registerSaid = {
  sentence: z.string(),
  caution: z.string(),
  rules: z.array(PolicyVersion),
  total: StatusCounts,
  bySubstation: z.array(z.object({ name: z.string(), counts: StatusCounts })),
  /** Segments for which no due day can be told, and why. */
  unknown: z.object({ count: z.number().int(), because: z.string(), segments: z.array(z.string()) }),
  rowsTotal: z.number().int(),
  rows: z.array(ComplianceRow),
};

export const evidenceAsks = {
  'evidence.verify': ask({
    kind: 'study',
    help: 'Whether a fleet or a bag is as it was written: yes, or the exact record.',
    command: { word: 'verify', positional: ['path'], opens: 'none', holds: 'intact' },
    input: z.strictObject({
      path: inPath.optional().describe('a fleet file or a bag; without one, the fleet named with --fleet'),
      head: hash.optional().describe("the hash of a ledger head kept elsewhere, as printed at a PDF's foot"),
      publicKey: inPath.optional().describe('a public key (PEM) that must have signed the ledger'),
    }),
    output: VerifyAnswer,
  }),

  'person.list': ask({
    kind: 'read',
    help: 'Who is named in this fleet, with which role, and who asks.',
    input: z.strictObject({}),
    output: z.object({
      people: z.array(PersonRow),
      you: z.object({ name: z.string(), role: Role.nullable() }),
      /** What a role in a local file can and cannot do. */
      limit: z.string(),
    }),
  }),
  'person.add': ask({
    kind: 'write',
    help: 'Names a person with a role. The first becomes approver; from then on roles count.',
    input: z.strictObject({ name: z.string().trim().min(1).max(200), role: Role.default('reader') }),
    output: z.object({ id: z.string(), role: Role, revision: z.number().int() }),
  }),
  'person.change': ask({
    kind: 'write',
    help: "Changes a person's role or says when they left; the last approver stays.",
    input: z.strictObject({ id: z.uuid(), role: Role.optional(), leftOn: Day.nullable().optional(), reason }),
    output: revision,
  }),

  'ledger.page': ask({
    kind: 'read',
    help: 'Changes to the fleet, newest first: who, when, what, before, after and why.',
    input: z.strictObject({
      before: z.number().int().min(1).optional().describe('lines before this one'),
      count: z.number().int().min(1).max(500).default(100),
      filter: LedgerFilter.default({}),
    }),
    output: z.object({
      total: z.number().int(),
      entries: z.array(LedgerEntry),
      choices: z.object({ who: z.array(z.string()), what: z.array(z.string()), entities: z.array(z.string()) }),
    }),
  }),
  'ledger.ofRecord': ask({
    kind: 'read',
    help: 'The whole history of one record, oldest first; corrections and what they supersede among it.',
    input: z.strictObject({ entity: z.string().max(40), id: z.uuid() }),
    output: z.object({
      name: z.string(),
      versions: z.array(
        z.object({
          line: z.number().int(),
          at: z.string(),
          who: z.string(),
          what: z.string(),
          why: z.string().nullable(),
          fields: z.array(FieldChange),
        }),
      ),
      supersedes: z.object({ id: z.string(), name: z.string() }).nullable(),
      supersededBy: z.object({ id: z.string(), name: z.string() }).nullable(),
    }),
  }),
  'ledger.export': ask({
    kind: 'study',
    help: 'Writes the ledger, or the lines that a filter leaves, as CSV.',
    input: z.strictObject({ out: outPath, filter: LedgerFilter.default({}) }),
    output: z.object({ file: z.string(), lines: z.number().int() }),
  }),

  'evidence.sign': ask({
    kind: 'write',
    help: "Signs the ledger's head with an Ed25519 key, so that nobody can rewrite what lies before it unseen.",
    command: { word: 'sign', opens: 'fleet' },
    input: z.strictObject({
      key: inPath.describe('the private key, PEM'),
      passphraseFile: inPath.optional().describe("a file that holds the key's passphrase"),
      reason: z.string().trim().max(2000).optional().describe('why it is signed now'),
    }),
    output: z.object({ line: z.number().int(), hash: z.string(), publicKey: z.string(), revision: z.number().int() }),
  }),
  'evidence.makeKey': ask({
    kind: 'read',
    help: 'Makes an Ed25519 key to sign with; the public half is written beside it.',
    command: { word: 'make-key', positional: ['out'], opens: 'none' },
    input: z.strictObject({
      out: outPath.describe('file for the private key, PEM; must not exist'),
      passphraseFile: inPath.optional().describe('a file that holds the passphrase to encipher it with'),
    }),
    output: z.object({ key: z.string(), publicKeyFile: z.string(), publicKey: z.string() }),
  }),

  'evidence.compliance': ask({
    kind: 'study',
    help: 'Every test due and done in a period: on time, early, late, missing, excused, by the rule as it stood.',
    input: z.strictObject({
      ...period,
      ...page,
      status: ComplianceStatus.optional(),
      csv: outPath.optional().describe('where to write every row as CSV'),
    }),
    output: z.object({
      ...registerSaid,
      /** With the first rows only: there may be thousands. */
      byFeeder: z.array(z.object({ name: z.string(), substation: z.string(), counts: StatusCounts })),
      written: z.array(z.string()),
    }),
  }),
  'evidence.register': ask({
    kind: 'read',
    help: 'Rows of the register of tests due and done in a period, at once.',
    input: z.strictObject({ ...period, ...page, status: ComplianceStatus.optional() }),
    output: z.object(registerSaid),
  }),
  'evidence.calibration': ask({
    kind: 'study',
    help: 'Whether each test of a period was made with an instrument in calibration that day; lapses with the tests they touch.',
    input: z.strictObject({ ...period, csv: outPath.optional() }),
    output: z.object({
      sentence: z.string(),
      counts: z.object({
        inCalibration: z.number().int(),
        outOfCalibration: z.number().int(),
        unknown: z.number().int(),
      }),
      instruments: z.array(
        z.object({
          instrument: z.string(),
          serial: z.string().nullable(),
          tests: z.number().int(),
          outOfCalibration: z.number().int(),
          certificates: z.array(
            z.object({
              id: z.string(),
              calibratedOn: z.string(),
              dueOn: z.string(),
              dueAssumed: z.boolean(),
              certificate: z.string().nullable(),
              file: z.object({ id: z.string(), name: z.string(), sha256: z.string() }).nullable(),
            }),
          ),
        }),
      ),
      lapses: z.array(
        z.object({
          instrument: z.string(),
          from: z.string().nullable(),
          to: z.string().nullable(),
          says: z.string(),
          tests: z.array(z.object({ id: z.string(), ownerId: z.string(), segment: z.string(), testedOn: z.string() })),
        }),
      ),
      unknown: z.array(
        z.object({ ownerId: z.string(), segment: z.string(), testedOn: z.string(), because: z.string() }),
      ),
      unknownTotal: z.number().int(),
      written: z.array(z.string()),
    }),
  }),
  'calibration.without': ask({
    kind: 'study',
    help: 'What the ranking would be without the tests made with an instrument out of calibration.',
    input: z.strictObject({ asOf: Day.optional() }),
    output: z.object({
      asOf: z.string(),
      sentence: z.string(),
      /** Tests left out, and segments not retired that they touch. */
      tests: z.number().int(),
      touched: z.number().int(),
      segments: z.array(
        z.object({
          segmentId: SegmentId,
          segment: z.string(),
          segmentOwnerId: z.string(),
          /** Null where the segment has no rank. */
          now: z.object({ rank: z.number().int(), growthPctPerYr: z.number() }).nullable(),
          without: z.object({ rank: z.number().int(), growthPctPerYr: z.number() }).nullable(),
        }),
      ),
    }),
  }),
  'calibration.attach': ask({
    kind: 'write',
    help: 'Attaches a certificate file to a calibration; its bytes are kept with their SHA-256.',
    input: z.strictObject({ calibrationId: z.uuid(), file: inPath }),
    output: z.object({ sourceFileId: z.string(), sha256: z.string(), bytes: z.number(), revision: z.number().int() }),
  }),
  'evidence.completeness': ask({
    kind: 'study',
    help: 'What the records of a period lack of what standards ask of a test record, field by field.',
    input: z.strictObject({ ...period, csv: outPath.optional() }),
    output: z.object({
      sentence: z.string(),
      tests: z.number().int(),
      fields: z.array(
        z.object({
          group: z.string(),
          field: z.string(),
          source: z.string(),
          /** What the file holds for it. */
          held: z.string(),
          missing: z.number().int(),
          first: z.array(z.string()),
        }),
      ),
      /** Asked for, and no place in the file: keep it with the report. */
      notHeld: z.array(z.object({ group: z.string(), field: z.string(), source: z.string() })),
      written: z.array(z.string()),
    }),
  }),
  'evidence.sample': ask({
    kind: 'study',
    help: 'A seeded random sample of the tests of a period, that another auditor draws the same.',
    input: z.strictObject({
      ...period,
      count: z.number().int().min(1).max(10_000).default(25).describe('how many'),
      seed: z.string().min(1).max(200).describe('any text; the same text draws the same sample'),
    }),
    output: z.object({
      how: z.string(),
      population: z.number().int(),
      tests: z.array(
        z.object({
          id: z.string(),
          ownerId: z.string(),
          segmentId: SegmentId,
          segment: z.string(),
          testedOn: z.string(),
          order: z.string(),
        }),
      ),
    }),
  }),
  'evidence.bag': ask({
    kind: 'study',
    help: 'Writes the evidence of a period as a bag (BagIt 1.0, RFC 8493) that general tools can verify.',
    command: { word: 'evidence', opens: 'fleet' },
    input: z.strictObject({ ...period, out: outPath.describe('folder to write; must be empty or not exist') }),
    output: z.object({
      folder: z.string(),
      sentence: z.string(),
      files: z.number().int(),
      bytes: z.number(),
      ledgerHead: z.string(),
      manifestSha256: z.string(),
    }),
  }),
} as const;
