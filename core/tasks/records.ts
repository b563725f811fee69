import type { recordsAsks } from '../contract/asks/records.ts';
import type { TasksOf } from './task.ts';

export const recordsTasks: TasksOf<keyof typeof recordsAsks> = {};
