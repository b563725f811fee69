import type { evidenceAsks } from '../contract/asks/evidence.ts';
import type { TasksOf } from './task.ts';

export const evidenceTasks: TasksOf<keyof typeof evidenceAsks> = {};
