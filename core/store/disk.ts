import { existsSync } from 'node:fs';
import { dirname } from 'node:path';
import { type Refusal, refuse } from '../contract/problem.ts';

const isSystemError = (error: unknown): error is NodeJS.ErrnoException =>
  error instanceof Error && typeof (error as NodeJS.ErrnoException).code === 'string' && 'syscall' in error;

/** Which of the two is missing: a file in a folder that is there, or the folder too. */
function missingWords(path: string | undefined): string {
  if (path === undefined) return 'There is no such file.';
  return existsSync(dirname(path)) ? `There is no ${path}.` : `There is no ${path}; its folder is not there either.`;
}

/** What the system said of a file, in words for the person; undefined where the error is of another kind. */
export function diskRefusal(error: unknown, file?: string): Refusal | undefined {
  if (!isSystemError(error)) {
    if (error instanceof TypeError && (error as NodeJS.ErrnoException).code === 'ERR_INVALID_ARG_VALUE')
      return refuse('bad-input', 'This cannot be the name of a file.', file === undefined ? {} : { where: file });
    return undefined;
  }
  const path = file ?? error.path;
  const where = path === undefined ? {} : { where: path };
  const it = path ?? 'The file';
  switch (error.code) {
    case 'ENOENT':
      return refuse('not-found', missingWords(path), where);
    case 'EACCES':
    case 'EPERM':
      return refuse('not-allowed', `The system does not let this program use ${it}. Choose another place.`, where);
    case 'EROFS':
      return refuse('not-allowed', `${it} lies on a disk that can only be read. Choose another place.`, where);
    case 'EISDIR':
      return refuse('not-allowed', `${it} is a folder; a file is needed.`, where);
    case 'ENOTDIR':
      return refuse('not-allowed', `A part of the path ${it} is a file, where a folder is needed.`, where);
    case 'EEXIST':
    case 'ENOTEMPTY':
      return refuse('not-allowed', `${it} is there already. Choose another name.`, where);
    case 'ENAMETOOLONG':
      return refuse('bad-input', 'The name of the file is too long. Choose a shorter one.', where);
    case 'ELOOP':
      return refuse('bad-input', `${it} is a link that leads back to itself.`, where);
    case 'ENOSPC':
    case 'EDQUOT':
    case 'EFBIG':
      return refuse('disk', `There is no room left to write ${it}. Nothing half-written was kept.`, where);
    case 'EMFILE':
    case 'ENFILE':
      return refuse('disk', 'The system has too many files open. Close other programs and try again.', where);
    case 'EBUSY':
    case 'ETXTBSY':
      return refuse('in-use', `Another program uses ${it}. Close it there and try again.`, where);
    default:
      return refuse('disk', `The disk failed at ${it} (${error.code}). Try again, or choose another place.`, where);
  }
}
