import {readFile} from 'node:fs/promises';

/**
 * When a process was started, as the system tells it: the same text for the same process, another one for a later
 * process that was given the same number. null where there is no such process or the system doesn't tell.
 */
export const processMark = async (pid: number): Promise<string | null> => {
  if (process.platform === 'linux') return linuxMark(pid);
  if (process.platform === 'win32') return null;
  const {execa} = await import('execa');
  const asked = await execa('ps', ['-o', 'lstart=', '-p', String(pid)], {
    reject: false,
    timeout: 2000,
    stdin: 'ignore',
  });
  const text = asked.failed ? '' : asked.stdout.trim();
  return text === '' ? null : text;
};

/** Ticks since boot at which the process started, with the boot it belongs to. */
const linuxMark = async (pid: number): Promise<string | null> => {
  try {
    const stat = await readFile(`/proc/${pid}/stat`, 'utf8');
    const boot = await readFile('/proc/sys/kernel/random/boot_id', 'utf8');
    // The second field is the program's name in brackets and may itself hold brackets and spaces.
    const fields = stat.slice(stat.lastIndexOf(')') + 2).split(' ');
    return `${boot.trim()} ${fields[19]}`;
  } catch {
    return null;
  }
};

/** Whether a process with this number runs now, whoever owns it. */
export const isRunning = (pid: number): boolean => {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return error instanceof Error && 'code' in error && error.code === 'EPERM';
  }
};
