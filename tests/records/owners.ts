import writeWorkbook from 'write-excel-file/node';

/** Five invented owners' own tables, each with its own habits. A second file of the same shape has another year's rows. */

const utf8 = (text: string): Uint8Array => new TextEncoder().encode(text);
const windows1252 = (text: string): Uint8Array => Uint8Array.from(text, (letter) => letter.charCodeAt(0) & 0xff);

type Cell = string | number | Date | null;
const sheet = async (rows: readonly (readonly Cell[])[], name: string): Promise<Uint8Array> =>
  new Uint8Array(
    await writeWorkbook(
      rows.map((row) =>
        row.map((value) =>
          value === null
            ? null
            : typeof value === 'number'
              ? { type: Number, value }
              : value instanceof Date
                ? { type: Date, value, format: 'yyyy-mm-dd' }
                : { type: String, value },
        ),
      ),
      { sheet: name },
    ).toBuffer(),
  );

export interface OwnerTableFile {
  readonly name: string;
  readonly bytes: Uint8Array;
}

/** US units: feet, inches of conductor as kcmil and AWG, mils of insulation, years instead of days. */
export const usInventory = (): Promise<OwnerTableFile> =>
  sheet(
    [
      ['Underground cable inventory, Mill District', null, null, null, null, null, null, null, null, null, null],
      [null, null, null, null, null, null, null, null, null, null, null],
      [
        'Cable No.',
        'Circuit',
        'Substation',
        'From',
        'To',
        'Length (ft)',
        'Class kV',
        'Insulation',
        'Conductor',
        'Wall (mil)',
        'Year Installed',
      ],
      ['MX-1', 'Mill 4', 'Old Mill', 'Vault 12', 'Vault 14', 1240, 15, 'XLP', '500 kcmil Cu', 175, 1984],
      ['MX-2', 'Mill 4', 'Old Mill', 'Vault 14', 'Pad 9', 655, 15, 'EPR', '4/0 Al', 220, 1998],
      ['MX-3', 'Quay 1', 'Harbour', 'Vault 3', 'Pad 2', 2010.5, 25, 'TRXLPE', '#2 Al', 260, 2009],
      ['MX-4', 'Quay 1', 'Harbour', 'Pad 2', 'Pad 5', 880, 25, 'PILC', '350 MCM Cu', 'n/a', 1972],
      ['Total', null, null, null, null, 4785.5, null, null, null, null, null],
    ],
    'Inventory',
  ).then((bytes) => ({ name: 'mill district inventory.xlsx', bytes }));

/** Decimal comma, semicolons, Windows-1252, days with points, German names; a row a phase. */
export const decimalComma = (year: number): OwnerTableFile => ({
  name: `Prüfungen ${year}.csv`,
  bytes: windows1252(
    [
      'Kabel;Prüfdatum;Leiter;Prüfspannung kV;Dauer min;Ableitstrom µA;Temperatur °C;Ergebnis;Prüfer',
      `MX-1;14.05.${year};L1;20,0;15;3,25;12,5;bestanden;Nord`,
      `MX-1;14.05.${year};L2;20,0;15;2,9;12,5;bestanden;Nord`,
      `MX-1;14.05.${year};L3;20,0;15;<0,1;12,5;bestanden;Nord`,
      `MX-2;03.06.${year};L1;20,0;15;7,75;14;bestanden;Nord`,
      `MX-2;03.06.${year};L2;20,0;15;8,1;14;bestanden;Nord`,
      `MX-2;03.06.${year};L3;20,0;4,5;41;14;Durchschlag;Nord`,
      '',
    ].join('\r\n'),
  ),
});

/** A column a phase, megohms under a header merged over three columns, °F, month/day dates as text. */
export const widePhases = (year: number): Promise<OwnerTableFile> =>
  sheet(
    [
      ['Cable', 'Test Date', 'kV', 'Insulation Resistance (GOhm)', null, null, 'Cable Temp °F', 'Test Set'],
      [null, null, null, 'Phase A', 'Phase B', 'Phase C', null, null],
      ['MX-3', `03/28/${year}`, 5, 4.2, 3.9, 4.6, 55, 'T-2044'],
      ['MX-4', `04/02/${year}`, 5, 0.52, 0.48, 0.5, 57, 'T-2044'],
    ],
    `IR tests ${year}`,
  ).then((bytes) => ({ name: `insulation resistance ${year}.xlsx`, bytes }));

/** A row a test and phase, a column a minute; day/month dates; the test voltage only in the crew's head. */
export const minuteColumns = (year: number): OwnerTableFile => ({
  name: `hipot log ${year}.csv`,
  bytes: utf8(
    [
      'Section,Date,Phase,1 min,5 min,10 min,15 min,Crew',
      `MX-1,25/09/${year},A,6.1,4.4,3.9,3.7,South`,
      `MX-1,25/09/${year},B,5.2,3.9,3.5,3.3,South`,
      `MX-2,04/10/${year},A,12.5,9.8,9.1,,South`,
      '',
    ].join('\n'),
  ),
});

/** Failures with hours, day/month dates that nothing tells apart, and parts in the owner's words. */
export const outages = (): OwnerTableFile => ({
  name: 'cable faults.csv',
  bytes: utf8(
    [
      'Fault No,Cable,Date,Ph,What failed,Cause,Customers,Restored after (h)',
      'OUT-77,MX-2,03/08/2016,B,Joint,water in the joint,412,3.5',
      'OUT-91,MX-4,11/02/2019,A,Cable section,dig-in,95,1.25',
      '',
    ].join('\n'),
  ),
});
