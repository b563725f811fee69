// One static line per migration: bundlers can follow it, plain Node can too.
// tests/migrations fails when a file of this folder is missing here.
import type { Migration } from 'kysely/migration';
import * as m0001 from './0001-the-fleet.ts';
import * as m0002 from './0002-evidence.ts';
import * as m0003 from './0003-plans-and-policy.ts';
import * as m0004 from './0004-traces-by-file.ts';
import * as m0005 from './0005-kept-answers-by-row.ts';
import * as m0006 from './0006-treatments.ts';

export const migrations: Record<string, Migration> = {
  '0001-the-fleet': m0001,
  '0002-evidence': m0002,
  '0003-plans-and-policy': m0003,
  '0004-traces-by-file': m0004,
  '0005-kept-answers-by-row': m0005,
  '0006-treatments': m0006,
};
