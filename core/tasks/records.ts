import type { recordsAsks } from '../contract/asks/records.ts';
import { acceptRecords } from './records-accept.ts';
import { listAside, returnRecords } from './records-aside.ts';
import { previewRecords } from './records-preview.ts';
import { readTraces } from './records-read.ts';
import { relayoutRecord } from './records-relayout.ts';
import { retable, showTables } from './records-tables.ts';
import { showTraces } from './records-trace.ts';
import type { TasksOf } from './task.ts';

export const recordsTasks: TasksOf<keyof typeof recordsAsks> = {
  'records.readTrace': readTraces,
  'records.preview': previewRecords,
  'records.relayout': relayoutRecord,
  'records.tables': showTables,
  'records.retable': retable,
  'records.accept': acceptRecords,
  'records.return': returnRecords,
  'records.aside': listAside,
  'records.trace': showTraces,
};
