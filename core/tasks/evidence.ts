import type { evidenceAsks } from '../contract/asks/evidence.ts';
import { verifyAnswer } from './evidence-answer.ts';
import { bagTask } from './evidence-bag.ts';
import { calibrationTasks } from './evidence-calibration.ts';
import { completenessTask } from './evidence-completeness.ts';
import { complianceTask, registerTask } from './evidence-due.ts';
import { ledgerTasks } from './evidence-ledger.ts';
import { sampleTask } from './evidence-sample.ts';
import { signTasks } from './evidence-sign.ts';
import { withoutTask } from './evidence-without.ts';
import { peopleTasks } from './people.ts';
import type { TasksOf } from './task.ts';

export const evidenceTasks: TasksOf<keyof typeof evidenceAsks> = {
  'evidence.verify': verifyAnswer,
  'evidence.compliance': complianceTask,
  'evidence.register': registerTask,
  'evidence.completeness': completenessTask,
  'evidence.sample': sampleTask,
  'evidence.bag': bagTask,
  'calibration.without': withoutTask,
  ...calibrationTasks,
  ...ledgerTasks,
  ...peopleTasks,
  ...signTasks,
};
