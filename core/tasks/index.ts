import type { AskName } from '../contract/asks/index.ts';
import { evidenceTasks } from './evidence.ts';
import { findingsTasks } from './findings.ts';
import { fleetTasks } from './fleet.ts';
import { folderTasks } from './folder.ts';
import { methodTasks } from './method.ts';
import { planTasks } from './plan.ts';
import { policyTasks } from './policy.ts';
import { rankingTasks } from './ranking.ts';
import { recordsTasks } from './records.ts';
import { retestTasks } from './retest.ts';
import { segmentTasks } from './segment.ts';
import type { TasksOf } from './task.ts';

/** Who does each ask. An ask without a task does not compile. */
export const tasks: TasksOf<AskName> = {
  ...fleetTasks,
  ...folderTasks,
  ...segmentTasks,
  ...rankingTasks,
  ...findingsTasks,
  ...methodTasks,
  ...recordsTasks,
  ...planTasks,
  ...retestTasks,
  ...evidenceTasks,
  ...policyTasks,
};
