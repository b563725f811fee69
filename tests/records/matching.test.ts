import { expect, test } from 'vitest';
import { type FileToMatch, type Matchable, matchFiles } from '../../core/intake/matching/match-files.ts';

const cable = (ownerId: string, name: string, capacitanceNf: number | null = null, feederId = 'F1'): Matchable => ({
  ownerId,
  name,
  feederId,
  phases: 'ABC',
  capacitanceNf,
});
const file = (segmentText: string | null, more: Partial<FileToMatch> = {}): FileToMatch => ({
  segmentText,
  phase: 'A',
  testedOn: '2025-05-14',
  capacitanceNf: null,
  ...more,
});
const agrees = 0.2;
const cables = [
  cable('FH-101', 'Foundry Street to Weir', 70),
  cable('FH-102', 'Weir to Tannery Yard', 95),
  cable('HV-017', 'Reservoir Road North', 200, 'F2'),
  cable('HV-018', 'Reservoir Road South', 320, 'F2'),
];
const best = (files: readonly FileToMatch[], segments = cables) =>
  matchFiles(files, segments, agrees).map(({ candidates, clear, named, phase }) => ({
    id: candidates[0] ? segments[candidates[0].at]!.ownerId : null,
    clear,
    named,
    phase,
  }));

test('an id or a whole name in any spelling names a segment outright', () => {
  expect(best([file('fh 101'), file('FOUNDRY STREET TO WEIR'), file('Cable FH-102, rerun')])).toEqual([
    { id: 'FH-101', clear: true, named: true, phase: 'A' },
    { id: 'FH-101', clear: true, named: true, phase: 'A' },
    { id: 'FH-102', clear: true, named: false, phase: 'A' },
  ]);
});

test('a misspelt name is found, and is never said to be named outright', () => {
  expect(best([file('Foundary Street - Weir')])).toEqual([{ id: 'FH-101', clear: true, named: false, phase: 'A' }]);
});

test('a name that two segments share is not clear, whichever comes first', () => {
  const twins = [cable('A1', 'Mill Lane'), cable('A2', 'Mill Lane')];
  expect(best([file('Mill Lane')], twins)).toEqual([{ id: 'A1', clear: false, named: false, phase: 'A' }]);
});

test('where a name fits two alike, the capacitance tells which', () => {
  const [south] = matchFiles([file('Reservoir Road', { capacitanceNf: 310 })], cables, agrees);
  expect(cables[south!.candidates[0]!.at]!.ownerId).toBe('HV-018');
  expect(south!.candidates[0]!.because.join(' ')).toMatch(/capacitance agrees/);
  const [north] = matchFiles([file('Reservoir Road', { capacitanceNf: 205 })], cables, agrees);
  expect(cables[north!.candidates[0]!.at]!.ownerId).toBe('HV-017');
});

test('a file that says no phase takes the one its neighbours of the day leave open', () => {
  const day = [file('FH-101', { phase: 'A' }), file('FH-101', { phase: 'C' }), file('FH-101', { phase: null })];
  expect(best(day)[2]).toEqual({ id: 'FH-101', clear: true, named: true, phase: 'B' });
});

test('a file that says nothing is offered the day’s cables with a phase open, and is never clear', () => {
  const day = [
    file('FH-101', { phase: 'A' }),
    file('FH-102', { phase: 'B' }),
    file(null, { phase: null, capacitanceNf: 96 }),
  ];
  const [, , silent] = matchFiles(day, cables, agrees);
  expect(silent!.candidates.map((candidate) => cables[candidate.at]!.ownerId)).toEqual(['FH-102', 'FH-101']);
  expect([silent!.clear, silent!.named, silent!.phase]).toEqual([false, false, null]);
});
