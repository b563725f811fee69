import { writeDemo } from './folder-demo.ts';
import { exportFolder } from './folder-export.ts';
import { importFolder } from './folder-import.ts';
import type { Task } from './task.ts';

/** A fleet folder in, a fleet folder out, and the invented utility. */
export const folderTasks = {
  'fleet.import': importFolder,
  'fleet.export': (desk, { out }) => exportFolder(desk, out),
  'demo.write': writeDemo,
} satisfies {
  'fleet.import': Task<'fleet.import'>;
  'fleet.export': Task<'fleet.export'>;
  'demo.write': Task<'demo.write'>;
};
