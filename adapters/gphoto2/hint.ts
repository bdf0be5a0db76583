/** One line that says how to get the camera library on each system. */
export const libraryHint = (): string =>
  'The camera library libgphoto2 is missing: apt install libgphoto2-6 (Debian), dnf install libgphoto2 (Fedora), ' +
  'pacman -S libgphoto2 (Arch), brew install libgphoto2 (Homebrew).';

/** File names of the library and of its port part, in the order in which they are tried. */
export const libraryNames = (platform: NodeJS.Platform): [string, string][] => {
  if (platform !== 'darwin') return [['libgphoto2.so.6', 'libgphoto2_port.so.12']];
  return ['', '/opt/homebrew/lib/', '/usr/local/lib/'].map(folder => [
    `${folder}libgphoto2.6.dylib`,
    `${folder}libgphoto2_port.12.dylib`,
  ]);
};
