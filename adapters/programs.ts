import {execa, type Options} from 'execa';

/** Where programs are looked for: this machine, or a made-up one in tests. */
export type Host = {platform: NodeJS.Platform; env: NodeJS.ProcessEnv};

export const thisHost = (): Host => ({platform: process.platform, env: process.env});

/**
 * How every helper program is started: by its argument list, never through a shell; its output kept off the terminal
 * (sound libraries write to fd 2); ended with us; failures told by the result, never thrown.
 */
export const quietly = (host: Host) =>
  ({
    env: host.env,
    extendEnv: false,
    shell: false,
    preferLocal: false,
    stdout: 'pipe',
    stderr: 'pipe',
    maxBuffer: 65_536,
    reject: false,
    cleanup: true,
    windowsHide: true,
    forceKillAfterDelay: 300,
  }) as const satisfies Options;

/** Runs a program to its end, or until the time is up. Resolves to whether it ended well. */
export const runs = async (
  host: Host,
  command: string,
  args: string[],
  {input = '', timeoutMs, signal}: {input?: string; timeoutMs: number; signal?: AbortSignal},
): Promise<boolean> => {
  const result = await execa(command, args, {
    ...quietly(host),
    input,
    timeout: timeoutMs,
    ...(signal && {cancelSignal: signal}),
  });
  return !result.failed;
};
