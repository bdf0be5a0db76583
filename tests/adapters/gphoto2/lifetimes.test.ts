import {mkdirSync, readdirSync, readFileSync, readlinkSync, rmSync, writeFileSync} from 'node:fs';
import {dirname, join, relative} from 'node:path';
import {fileURLToPath} from 'node:url';
import {execaNode} from 'execa';
import ts from 'typescript';
import {describe, expect, it} from 'vitest';
import {type Gphoto2Camera, openGphoto2} from '../../../adapters/gphoto2/open.js';
import {OPERATION} from '../../loopback-camera/codes.js';
import {startLoopbackCamera} from '../../loopback-camera/server.js';
import {createStillCamera} from '../../loopback-camera/still-camera.js';
import {causeOf, needsLibrary, noSignal, ownEnvironment, plainly, runs, until} from './bench.js';

const root = fileURLToPath(new URL('../../..', import.meta.url));

const start = (file: string, argument: string, environment: Record<string, string>) => {
  const loader = file.endsWith('.ts') ? ['--import', 'tsx'] : [];
  const program = execaNode(file, [argument], {
    nodeOptions: loader,
    cwd: root,
    env: environment,
    ipc: true,
    reject: false,
  });
  const firstLine = new Promise<string>((resolve, reject) => {
    program.stdout.once('data', (bytes: Buffer) => resolve(bytes.toString().trim()));
    void program.then(({stderr}) => reject(new Error(stderr)));
  });
  return {program, firstLine};
};

const startPeer = async (environment: Record<string, string>) => {
  const {program, firstLine} = start(join(root, 'tests/loopback-camera/peer.ts'), '', environment);
  return {peer: program, port: `ip:127.0.0.1:${await firstLine}`};
};

const inFolder = async (work: (own: ReturnType<typeof ownEnvironment>) => Promise<void>): Promise<void> => {
  const own = ownEnvironment();
  try {
    await work(own);
  } finally {
    own.remove();
  }
};

/** Compiles what the library's process is made of, as the build does, into a folder that finds our dependencies. */
const compile = (to: string): void => {
  const folders = ['adapters', 'adapters/gphoto2', 'adapters/gphoto2/child', 'shared', 'src/light'];
  for (const folder of folders) {
    for (const name of readdirSync(join(root, folder))) {
      if (!name.endsWith('.ts')) continue;
      const file = join(root, folder, name);
      const {outputText} = ts.transpileModule(readFileSync(file, 'utf8'), {
        compilerOptions: {target: ts.ScriptTarget.ES2022, module: ts.ModuleKind.ESNext},
      });
      const target = join(to, relative(root, file)).replace(/\.ts$/, '.js');
      mkdirSync(dirname(target), {recursive: true});
      writeFileSync(target, outputText);
    }
  }
};

describe('no process is left behind', () => {
  it.for(['running', 'frozen'] as const)('when the program is killed with its camera %s', async (state, context) => {
    needsLibrary(context);
    await inFolder(async ({environment}) => {
      const loopback = await startLoopbackCamera(createStillCamera().camera);
      const holder = start(
        join(root, 'tests/adapters/gphoto2/holder.ts'),
        `ip:127.0.0.1:${loopback.port}`,
        environment,
      );
      const pid = Number(await holder.firstLine);
      expect(runs(pid)).toBe(true);
      if (state === 'frozen') {
        loopback.freeze();
        await new Promise(resolve => setTimeout(resolve, 500));
      }
      holder.program.kill('SIGKILL');
      await holder.program;
      await until(() => !runs(pid), 10_000);
      await loopback.stop();
    });
  });
});

describe('connecting anew in the same process', () => {
  it('keeps descriptor 0 on nothing, and leaks none', async context => {
    needsLibrary(context);
    await inFolder(async ({environment}) => {
      const loopback = await startLoopbackCamera(createStillCamera().camera);
      const camera = await openGphoto2({port: `ip:127.0.0.1:${loopback.port}`, environment});
      const descriptors = `/proc/${camera.libraryPid}/fd`;
      const before = readdirSync(descriptors).length;
      for (let round = 0; round < 2; round += 1) {
        await new Promise(resolve => setTimeout(resolve, 3200));
        expect(await camera.strays(Date.now())).toEqual([]);
        // The driver closes descriptor 0 when it leaves; it must not become anything else's.
        expect(readlinkSync(join(descriptors, '0'))).toBe('/dev/null');
        expect(readdirSync(descriptors).length).toBeLessThanOrEqual(before);
      }
      expect(loopback.asked.filter(code => code === OPERATION.openSession)).toHaveLength(3);
      await camera.close();
      await loopback.stop();
    });
  });
});

describe('a camera that is a process of its own', () => {
  it('is asleep while that is stopped, and serves again when it goes on', async context => {
    needsLibrary(context);
    await inFolder(async ({environment, folder}) => {
      const {peer, port} = await startPeer(environment);
      const camera = await openGphoto2({port, environment});
      const [frame] = await camera.expose(plainly(1));
      peer.kill('SIGSTOP');
      expect(await causeOf(camera.pull(frame!, join(folder, 'stopped'), () => undefined, noSignal()))).toBe('asleep');
      peer.kill('SIGCONT');
      await until(
        () =>
          camera.status().then(
            () => true,
            () => false,
          ),
        30_000,
      );
      await camera.close();
      peer.kill('SIGKILL');
      await peer;
    });
  });

  it('is gone when that is killed in the middle of a transfer', async context => {
    needsLibrary(context);
    await inFolder(async ({environment, folder}) => {
      const {peer, port} = await startPeer(environment);
      const camera = await openGphoto2({port, environment});
      const [frame] = await camera.expose(plainly(1));
      const path = join(folder, 'killed');
      const pulled = camera.pull(frame!, path, () => peer.kill('SIGKILL'), noSignal());
      expect(await causeOf(pulled)).toBe('gone');
      expect(await causeOf(camera.status())).toBe('gone');
      expect(readdirSync(folder).filter(name => name.startsWith('killed'))).toEqual([]);
      await camera.close();
      await peer;
    });
  });
});

describe('the built program', () => {
  it('starts the library’s process from JavaScript', async context => {
    needsLibrary(context);
    const built = join(root, 'node_modules/.cache/gphoto2-built');
    rmSync(built, {recursive: true, force: true});
    compile(built);
    await inFolder(async ({environment}) => {
      const loopback = await startLoopbackCamera(createStillCamera().camera);
      const open: (options: object) => Promise<Gphoto2Camera> = (await import(join(built, 'adapters/gphoto2/open.js')))
        .openGphoto2;
      const camera = await open({port: `ip:127.0.0.1:${loopback.port}`, environment});
      expect((await camera.status()).batteryPercent).toBe(80);
      expect(readFileSync(`/proc/${camera.libraryPid}/cmdline`, 'utf8')).toContain('child/main.js');
      await camera.close();
      await loopback.stop();
    });
    rmSync(built, {recursive: true, force: true});
  });
});
