/** What a tester's file becomes. The columns are as long as each other; NaN where a cell was empty or unreadable. */
export interface SampleTable {
  readonly timeS: Float64Array;
  readonly voltageKv: Float64Array;
  readonly currentUa: Float64Array;
  readonly resistanceMohm: Float64Array | null;
}

export const columnRoles = ['time', 'date', 'voltage', 'current', 'resistance', 'other'] as const;
export type ColumnRole = (typeof columnRoles)[number];

/** Units a person may choose from, by role. */
export const unitsOfRole: Readonly<Record<ColumnRole, readonly string[]>> = {
  time: ['s', 'ms', 'min', 'h', 'd', 'clock', 'date-time'],
  date: ['date'],
  voltage: ['V', 'kV'],
  current: ['nA', 'uA', 'mA', 'A'],
  resistance: ['Ohm', 'kOhm', 'MOhm', 'GOhm', 'TOhm'],
  other: [],
};

export interface LayoutColumn {
  /** As the header writes it, both lines of it; 'column 2' where there is none. */
  readonly name: string;
  readonly role: ColumnRole;
  readonly unit: string | null;
  /** True where neither header nor preamble says the unit and the values decided. */
  readonly unitGuessed: boolean;
}

export type Delimiter = '\t' | ';' | ',' | '|' | 'blanks';

/** How a file was read: shown to a person beside the first rows, corrected, and kept under its fingerprint. */
export interface SampleLayout {
  /** The same for every file with this header, whatever stands above it. */
  readonly fingerprint: string;
  readonly encoding: 'utf-8' | 'utf-16le' | 'utf-16be' | 'windows-1252' | 'workbook';
  readonly delimiter: Delimiter | null;
  readonly decimal: '.' | ',';
  readonly sheet: string | null;
  /** Line numbers from 0; null where the file has no header. */
  readonly headerLine: number | null;
  readonly unitLine: number | null;
  readonly firstDataLine: number;
  readonly columns: readonly LayoutColumn[];
  /** 0 to 1: how sure the guess is. */
  readonly confidence: number;
  /** What a person should look at. */
  readonly doubts: readonly string[];
}

/** What the words around the samples say; null where they do not. */
export interface SampleSubject {
  readonly segmentText: string | null;
  readonly phase: 'A' | 'B' | 'C' | null;
  /** YYYY-MM-DD; null where day and month cannot be told apart. */
  readonly testedOn: string | null;
  readonly testedOnText: string | null;
  readonly instrumentSerial: string | null;
  readonly tempC: number | null;
  readonly ambientC: number | null;
  readonly humidityPct: number | null;
  readonly plannedDwellS: number | null;
  readonly plannedKv: number | null;
  readonly resultText: string | null;
  readonly crew: string | null;
}

export interface NamedValue {
  readonly name: string;
  readonly value: string;
}

export type SampleFile =
  | {
      readonly ok: true;
      readonly name: string;
      readonly samples: SampleTable;
      readonly layout: SampleLayout;
      readonly subject: SampleSubject;
      /** Every `name: value` of the preamble and the footer. */
      readonly named: readonly NamedValue[];
      /** The header and the first rows as cells, for a person to see. */
      readonly preview: readonly (readonly string[])[];
      /** What was left out or mended, in words. */
      readonly findings: readonly string[];
    }
  | {
      readonly ok: false;
      readonly name: string;
      readonly because: string;
      /** The best guess, where one could be made: a person can correct it and read again. */
      readonly layout: SampleLayout | null;
      readonly preview: readonly (readonly string[])[];
    };
