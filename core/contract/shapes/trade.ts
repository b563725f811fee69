import { z } from 'zod';

export const Phase = z.enum(['A', 'B', 'C']);
export type Phase = z.infer<typeof Phase>;
export const Insulation = z.enum(['PILC', 'HMWPE', 'XLPE', 'TR-XLPE', 'EPR', 'PVC', 'other']);
export type Insulation = z.infer<typeof Insulation>;
export const TestMethod = z.enum(['dc_withstand', 'dc_step', 'insulation_resistance']);
export const TestPurpose = z.enum(['acceptance', 'maintenance', 'after_repair']);
export const Outcome = z.enum(['withstood', 'breakdown', 'stopped']);
export const LengthUnit = z.enum(['m', 'km', 'ft', 'kft', 'mi']);
