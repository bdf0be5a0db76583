"""A file system in user space over a real folder, with what some disks lack.

Arguments: the real folder, where to mount, and any of "no-link", "no-sync", "no-rename-over", "slow".
"""
import errno
import os
import sys
import time

try:
    from fusepy import FUSE, FuseOSError, Operations
except ImportError:
    from fuse import FUSE, FuseOSError, Operations


class OddDisk(Operations):
    def __init__(self, root, odd):
        self.root = root
        self.odd = odd

    def real(self, path):
        return os.path.join(self.root, path.lstrip('/'))

    def slowly(self):
        if 'slow' in self.odd:
            time.sleep(0.01)

    def getattr(self, path, fh=None):
        try:
            found = os.lstat(self.real(path)) if fh is None else os.fstat(fh)
        except OSError as error:
            raise FuseOSError(error.errno)
        return {key: getattr(found, key) for key in (
            'st_atime', 'st_ctime', 'st_gid', 'st_mode', 'st_mtime', 'st_nlink', 'st_size', 'st_uid')}

    def readdir(self, path, fh):
        return ['.', '..', *os.listdir(self.real(path))]

    def statfs(self, path):
        found = os.statvfs(self.real(path))
        return {key: getattr(found, key) for key in (
            'f_bavail', 'f_bfree', 'f_blocks', 'f_bsize', 'f_favail', 'f_ffree', 'f_files', 'f_flag', 'f_frsize', 'f_namemax')}

    def mkdir(self, path, mode):
        os.mkdir(self.real(path), mode)

    def rmdir(self, path):
        os.rmdir(self.real(path))

    def unlink(self, path):
        os.unlink(self.real(path))

    def rename(self, old, new):
        if 'no-rename-over' in self.odd and os.path.lexists(self.real(new)):
            raise FuseOSError(errno.EEXIST)
        os.rename(self.real(old), self.real(new))

    def link(self, target, source):
        if 'no-link' in self.odd:
            raise FuseOSError(errno.EPERM)
        os.link(self.real(source), self.real(target))

    def create(self, path, mode, fi=None):
        return os.open(self.real(path), os.O_RDWR | os.O_CREAT | os.O_EXCL, mode)

    def open(self, path, flags):
        return os.open(self.real(path), flags & ~os.O_APPEND)

    def read(self, path, size, offset, fh):
        return os.pread(fh, size, offset)

    def write(self, path, data, offset, fh):
        self.slowly()
        return os.pwrite(fh, data, offset)

    def truncate(self, path, length, fh=None):
        os.truncate(self.real(path), length)

    def chmod(self, path, mode):
        os.chmod(self.real(path), mode)

    def utimens(self, path, times=None):
        os.utime(self.real(path), times)

    def release(self, path, fh):
        os.close(fh)
        return 0

    def fsync(self, path, datasync, fh):
        if 'no-sync' in self.odd:
            raise FuseOSError(errno.ENOSYS)
        self.slowly()
        os.fsync(fh)
        return 0

    def fsyncdir(self, path, datasync, fh):
        if 'no-sync' in self.odd:
            raise FuseOSError(errno.ENOSYS)
        return 0

    def flush(self, path, fh):
        return 0


if __name__ == '__main__':
    _, root, mountpoint, *odd = sys.argv
    FUSE(OddDisk(root, set(odd)), mountpoint, foreground=True, nothreads=True)
