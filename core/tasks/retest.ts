import type { retestAsks } from '../contract/asks/retest.ts';
import { briefTask, roundTask, sheetTask } from './retest-brief.ts';
import { duePageTask, duePlacesTask, dueTask, makeDueTask } from './retest-due.ts';
import { judgeTask } from './retest-judge.ts';
import { instrumentsTask, recordFailureTask, recordInterventionTask, recordTask } from './retest-record.ts';
import type { TasksOf } from './task.ts';

export const retestTasks: TasksOf<keyof typeof retestAsks> = {
  'retest.due': dueTask,
  'retest.page': duePageTask,
  'retest.places': duePlacesTask,
  'retest.make': makeDueTask,
  'retest.brief': briefTask,
  'retest.sheet': sheetTask,
  'retest.round': roundTask,
  'retest.judge': judgeTask,
  'retest.instruments': instrumentsTask,
  'retest.record': recordTask,
  'retest.recordFailure': recordFailureTask,
  'retest.recordIntervention': recordInterventionTask,
};
