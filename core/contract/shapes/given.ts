import { z } from 'zod';

/** A file or folder that is read, by its path. */
export const inPath = z.string().min(1).meta({ path: 'in' });

/** A file or folder to be written, by its path. */
export const outPath = z.string().min(1).meta({ path: 'out' });

/** Why something was decided or changed, as the ledger keeps it. */
export const reason = z.string().trim().min(3, 'say why in a few words').max(2000);

/** Paper of a printed sheet. */
export const paper = z.enum(['A4', 'Letter']).default('A4');
