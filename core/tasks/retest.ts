import type { retestAsks } from '../contract/asks/retest.ts';
import type { TasksOf } from './task.ts';

export const retestTasks: TasksOf<keyof typeof retestAsks> = {};
