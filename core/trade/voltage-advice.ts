import {
  agedExtrudedCautions,
  type Caution,
  eprMakerNote,
  hybridCircuitCaution,
  jacketCaution,
  negativePolarityCaution,
  notASwitchingOrder,
  paperMaintenanceCaution,
  terminationLimitCaution,
  youngExtrudedCaution,
} from './cautions.ts';
import { type InsulationFamily, insulationBuild } from './insulation.ts';
import type { Source } from './source.ts';
import {
  historicShareOfFactoryDc,
  iceaDcTable,
  iceaDurations,
  otherTests,
  ufgsDcTable,
  ufgsNonMetallicJacketReduction,
  vlfDuration,
  vlfTable,
} from './test-voltages.ts';

/** What a table lets a crew apply, or why none does. High voltage kills: every doubt ends in no DC voltage. */

export type TestPurpose = 'acceptance' | 'maintenance' | 'after_repair';

export interface VoltageQuestion {
  /** Rated voltage class of the cable, kV phase to phase; null where unknown. */
  readonly ratedKv: number | null;
  readonly insulationLevelPct: number | null;
  readonly insulation: InsulationFamily;
  /** Years since energising; 0 for a cable not yet energised; null where unknown. */
  readonly ageYears: number | null;
  readonly purpose: TestPurpose;
  /** True where the circuit also has extruded cable in it, as behind a transition splice. */
  readonly joinedToExtruded?: boolean;
  /** Whether a paper-lead cable has a jacket that is not metallic; undefined where nobody recorded it. */
  readonly nonMetallicJacket?: boolean;
}

export type Duration =
  | { readonly known: true; readonly minutes: number; readonly source: Source }
  | { readonly known: false; readonly because: string };

/** A voltage of one table, under that table's name. Values of different tables are never merged. */
export interface TableVoltage {
  readonly tableId: 'icea-s-97-682' | 'ufgs-16302n';
  readonly table: string;
  readonly voltageKv: number;
  readonly duration: Duration;
  readonly source: Source;
}

export interface Alternative {
  readonly name: string;
  readonly standard: string;
  /** Peak kV where a table gives one for this class and purpose; null where the method has no single voltage. */
  readonly peakKv: number | null;
  readonly says: string;
  readonly source: Source;
}

export type VoltageAdvice =
  | ({
      readonly dc: 'advised';
      readonly cautions: readonly Caution[];
      readonly alternatives: readonly Alternative[];
      /** What other tables print for the same cable. */
      readonly otherTables: readonly TableVoltage[];
      readonly footer: string;
    } & TableVoltage)
  | {
      readonly dc: 'not advised';
      readonly because: string;
      readonly cautions: readonly Caution[];
      readonly alternatives: readonly Alternative[];
      readonly footer: string;
    };

/** Years of service after which no DC voltage is ever offered for extruded insulation. */
export const extrudedDcYears = 5;

const memory = (document: string, table: string): Source => ({
  document,
  edition: 'edition not verified',
  table,
  mark: 'from memory, unverified',
});

/** The methods the IEEE 400 family names beside DC, with the VLF voltage where the class has one. */
export const alternativesTo = (ratedKv: number | null, purpose: TestPurpose): readonly Alternative[] => {
  const row = vlfTable.find((entry) => ratedKv !== null && classIs(entry.ratedKv, ratedKv));
  const peakKv = row ? row.peakKv[purpose === 'acceptance' ? 'acceptance' : 'maintenance'] : null;
  return [
    {
      name: 'VLF withstand',
      standard: 'IEEE 400.2',
      peakKv,
      says: `0.1 Hz, at least ${vlfDuration.minimumMin} min, ${vlfDuration.preferredMin} min preferred; the 2024 edition supersedes these figures`,
      source: row?.source ?? vlfDuration.source,
    },
    {
      name: 'Tan delta at VLF',
      standard: 'IEEE 400.2',
      peakKv: null,
      says: 'sorts into no action required, further study advised, action required',
      source: { document: 'IEEE 400.2', edition: '2013', table: 'dissipation factor classes', mark: 'quoted' },
    },
    {
      name: 'Partial discharge',
      standard: 'IEEE 400.3',
      peakKv: null,
      says: 'finds voids and poor accessories, and where they are',
      source: memory('IEEE 400.3', 'scope'),
    },
    {
      name: 'Damped AC',
      standard: 'IEEE 400.4',
      peakKv: null,
      says: 'withstand with partial discharge or loss measurement',
      source: memory('IEEE 400.4', 'scope'),
    },
  ];
};

/** The voltages for installation end when the cable goes into service: from that day the maintenance ones hold. */
const beforeService = ({ purpose, ageYears }: VoltageQuestion): boolean => purpose === 'acceptance' && ageYears === 0;

/** 34.5 kV systems are built with 35 kV class cable; otherwise a class is itself. */
const classIs = (classKv: number, ratedKv: number): boolean =>
  Math.abs(classKv - ratedKv) < 0.01 || (classKv === 35 && Math.abs(ratedKv - 34.5) < 0.01);

const classList = (classes: readonly number[]): string => [...new Set(classes)].join(', ');

/** DC voltage by the table, or no DC advice with the reason, the cautions and the accepted alternatives. */
export const testVoltageAdvice = (question: VoltageQuestion): VoltageAdvice => {
  const { ratedKv, insulation, ageYears, purpose } = question;
  const alternatives = alternativesTo(ratedKv, purpose);
  const refuse = (because: string, cautions: readonly Caution[] = []): VoltageAdvice => ({
    dc: 'not advised',
    because,
    cautions,
    alternatives,
    footer: notASwitchingOrder,
  });
  const build = insulationBuild(insulation);
  const aged = insulation === 'EPR' ? [...agedExtrudedCautions, eprMakerNote] : agedExtrudedCautions;

  if (build === 'not known')
    return refuse('the insulation is not named, so it is treated as service-aged extruded insulation', aged);
  if (build === 'extruded') {
    if (ageYears === null || !Number.isFinite(ageYears))
      return refuse('the age of this extruded cable is not known, so it is treated as service-aged', aged);
    if (ageYears > extrudedDcYears)
      return refuse(`extruded insulation in service for more than ${extrudedDcYears} years`, aged);
  } else if (question.joinedToExtruded) {
    return refuse('the circuit holds extruded cable behind a transition splice', [hybridCircuitCaution, ...aged]);
  }
  if (ratedKv === null || !Number.isFinite(ratedKv))
    return refuse('the rated voltage class is not recorded', cautionsFor(build));
  const level = question.insulationLevelPct;
  if (level === null) return refuse('the insulation level (100 or 133 %) is not recorded', cautionsFor(build));

  const found =
    build === 'laminated'
      ? paperVoltages(question, ratedKv, level)
      : extrudedVoltages(insulation, ratedKv, level, beforeService(question));
  const [first, ...otherTables] = found;
  if (first === undefined) {
    const classes =
      build === 'laminated' ? ufgsDcTable.map((row) => row.classKv) : iceaDcTable.map((row) => row.ratedKv);
    return refuse(
      insulation === 'HMWPE' || insulation === 'PVC'
        ? `no table that could be read gives a DC voltage for ${insulation}`
        : `no table that could be read gives a DC voltage for ${ratedKv} kV at ${level} % (its classes: ${classList(classes)} kV)`,
      cautionsFor(build),
    );
  }
  return {
    dc: 'advised',
    ...first,
    otherTables,
    cautions: [
      ...(first.source.mark === 'computed' ? [paperMaintenanceCaution] : []),
      ...(build === 'laminated' && question.nonMetallicJacket === undefined ? [jacketCaution] : []),
      ...cautionsFor(build),
    ],
    alternatives,
    footer: notASwitchingOrder,
  };
};

const cautionsFor = (build: 'laminated' | 'extruded'): readonly Caution[] =>
  build === 'extruded'
    ? [youngExtrudedCaution, negativePolarityCaution, terminationLimitCaution]
    : [negativePolarityCaution, terminationLimitCaution, hybridCircuitCaution];

const extrudedVoltages = (
  insulation: InsulationFamily,
  ratedKv: number,
  level: number,
  isNew: boolean,
): readonly TableVoltage[] => {
  if (insulation === 'HMWPE' || insulation === 'PVC') return [];
  const found: TableVoltage[] = [];
  const row = iceaDcTable.find((entry) => classIs(entry.ratedKv, ratedKv) && entry.levelPct === level);
  if (row)
    found.push({
      tableId: 'icea-s-97-682',
      table: `${row.source.document}: ${isNew ? 'at installation' : 'first five years of service'}`,
      voltageKv: isNew ? row.installKv : row.firstFiveYearsKv,
      duration: { known: true, ...(isNew ? iceaDurations.install : iceaDurations.firstFiveYears) },
      source: row.source,
    });
  if (isNew) {
    const guide = ufgsDcTable.find(
      (entry) =>
        entry.insulation === 'EPR and XLP' && classIs(entry.classKv, ratedKv) && levelFits(entry.levelPct, level),
    );
    if (guide)
      found.push({
        tableId: 'ufgs-16302n',
        table: `${guide.source.document}: new EPR and XLP cable with insulated connectors`,
        voltageKv: guide.withConnectorsKv,
        duration: guideDuration,
        source: guide.source,
      });
  }
  return found;
};

const levelFits = (printed: number | null, level: number): boolean =>
  printed === level || (printed === null && (level === 100 || level === 133));

const guideDuration: Duration = { known: false, because: 'the duration in this guide could not be read' };
const paperPractice = otherTests.find((test) => test.name === 'DC on paper-lead cable')!;
const paperDuration: Duration = { known: true, minutes: 15, source: paperPractice.source };

const paperVoltages = (question: VoltageQuestion, ratedKv: number, level: number): readonly TableVoltage[] => {
  const row = ufgsDcTable.find(
    (entry) => entry.insulation === 'PILC' && classIs(entry.classKv, ratedKv) && levelFits(entry.levelPct, level),
  );
  if (!row) return [];
  const printedKv = row.withConnectorsKv * (question.nonMetallicJacket ? 1 - ufgsNonMetallicJacketReduction : 1);
  if (beforeService(question))
    return [
      {
        tableId: 'ufgs-16302n',
        table: `${row.source.document}: new PILC cable`,
        voltageKv: printedKv,
        duration: paperDuration,
        source: row.source,
      },
    ];
  const share = Math.round((100 * historicShareOfFactoryDc.maintenance) / historicShareOfFactoryDc.initial) / 100;
  return [
    {
      tableId: 'ufgs-16302n',
      table: `${row.source.document}: new PILC cable, times ${share} (older practice: maintenance at 60 %, initial test at 80 % of the factory test)`,
      voltageKv: Math.round(printedKv * share * 100) / 100,
      duration: paperDuration,
      source: {
        document: `${row.source.document}; ${historicShareOfFactoryDc.source.document}`,
        edition: `${row.source.edition}; ${historicShareOfFactoryDc.source.edition}`,
        table: 'new-cable voltage × 0.6/0.8; IEEE 400.1 governs laminated cable and could not be read',
        mark: 'computed',
      },
    },
  ];
};
