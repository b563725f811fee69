import type { recordsAsks } from '../contract/asks/records.ts';
import { readTraces } from './records-read.ts';
import type { TasksOf } from './task.ts';

export const recordsTasks: TasksOf<keyof typeof recordsAsks> = {
  'records.readTrace': readTraces,
};
