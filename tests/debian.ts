import {spawnSync} from 'node:child_process';
import {existsSync} from 'node:fs';

/*
 * Runs once before the tests: installs what the tests need from Debian where that is possible (as root, with apt-get).
 * Elsewhere nothing happens here; a test that misses its package then says so with the line that helps.
 */

const packages: [name: string, proof: string][] = [
  ['libgphoto2-6', '/usr/share/doc/libgphoto2-6'],
  ['libgphoto2-port12', '/usr/share/doc/libgphoto2-port12'],
  ['python3-skimage', '/usr/lib/python3/dist-packages/skimage'],
  ['python3-opencv', '/usr/share/doc/python3-opencv'],
  ['python3-fusepy', '/usr/share/doc/python3-fusepy'],
  ['python3-scipy', '/usr/lib/python3/dist-packages/scipy'],
  ['libimage-exiftool-perl', '/usr/bin/exiftool'],
  ['espeak-ng', '/usr/bin/espeak-ng'],
  ['libxml2-utils', '/usr/bin/xmllint'],
  ['librsvg2-bin', '/usr/bin/rsvg-convert'],
  ['chromium', '/usr/bin/chromium'],
  ['pulseaudio', '/usr/bin/pulseaudio'],
  ['systemd', '/usr/bin/systemd-inhibit'],
  ['bzip2', '/usr/bin/bzip2'],
  ['pulseaudio-utils', '/usr/bin/parec'],
];

const isRootOnDebian = (): boolean =>
  process.getuid?.() === 0 && existsSync('/usr/bin/apt-get') && existsSync('/etc/debian_version');

export default function setup(): void {
  const missing = packages.filter(([, proof]) => !existsSync(proof)).map(([name]) => name);
  if (missing.length === 0 || !isRootOnDebian()) return;
  console.log(`Installing for the tests: ${missing.join(' ')}`);
  const env = {...process.env, DEBIAN_FRONTEND: 'noninteractive'};
  spawnSync('apt-get', ['update'], {env, stdio: 'ignore', timeout: 180_000});
  const {status} = spawnSync('apt-get', ['install', '-y', '--no-install-recommends', ...missing], {
    env,
    stdio: 'ignore',
    timeout: 600_000,
  });
  if (status !== 0) console.log('That failed; tests that need these packages will say so.');
}
