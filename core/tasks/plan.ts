import type { planAsks } from '../contract/asks/plan.ts';
import type { TasksOf } from './task.ts';

export const planTasks: TasksOf<keyof typeof planAsks> = {};
