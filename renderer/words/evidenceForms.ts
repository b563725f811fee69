/** Sentences of the parts and forms of Evidence. */

export const nobodyNamed =
  'Nobody is named in this fleet yet, so anyone may record and approve. The first who is named becomes approver.';

export const personAbout = 'What was recorded under this name stays under it.';

export const personTakenBack = 'Taken back. The ledger keeps both.';

export const calibrationWaiting = 'Looking up every calibration…';

export const certificateKept = 'The certificate is kept with its SHA-256.';

export const completenessWaiting = 'Reading every record for what it lacks…';

export const fieldsWritten = 'The list is written as CSV.';

export const excuseAbout =
  'An excuse needs the role of approver where roles are set. It never removes the line from the register.';

export const excused = (segment: string): string => `${segment} is excused; the ledger says by whom and why.`;

export const bagWritten = 'The bag is written; sha256sum -c manifest-sha256.txt verifies it without this program.';

export const registerWaiting = 'Comparing what was due with what was done…';

export const registerWritten = 'The register is written as CSV.';

export const ledgerWritten = 'The ledger is written as CSV.';

export const verifyAbout =
  'Every record is compared with the line of the ledger that wrote it, every line with the one before, every kept file with its hash.';

export const sampleAbout =
  'A sample that nobody picked: write any text, and the same text draws the same tests for whoever asks.';
