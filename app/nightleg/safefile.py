"""Writing files whole or not at all."""

from __future__ import annotations

import contextlib
import errno
import os
import re
import secrets
import stat
import time
from pathlib import Path

_LEFT = re.compile(r"\.nightleg-([0-9]{1,10})-[0-9a-f]{16}\.tmp")
_AGE_S = 60.0  # of a file before it is taken for left behind; a write takes a second or two


def write_atomically(path: str | os.PathLike[str], data: bytes, *, lasting: bool = True) -> None:
    """Puts `data` in the file `path`: whoever looks, also after a crash, sees the old or the new, never a part.

    The data go to disk beside the target and take its place only when complete. A symbolic link is followed, an
    existing file keeps its permissions and is not replaced if it may not be written, and nothing is left behind on
    failure. A device or a pipe is written to directly. Without `lasting` the disk is not waited for: after a power cut
    the file may hold anything, which whoever reads it must notice. Raises OSError that names `path`.
    """
    try:
        target = Path(os.path.realpath(path))
        try:
            old = os.stat(target)
        except FileNotFoundError:
            old = None
        if old is not None and stat.S_ISDIR(old.st_mode):
            raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
        if old is not None and not stat.S_ISREG(old.st_mode):
            with open(target, "wb") as sink:
                sink.write(data)
            return
        if old is not None and not os.access(target, os.W_OK):
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
        _replace(target, old, data, lasting)
    except OSError as error:
        raise OSError(error.errno or errno.EIO, error.strerror or str(error), str(path)) from error
    except ValueError as error:  # a NUL in the name
        raise OSError(errno.EINVAL, str(error), str(path)) from error


def why(error: BaseException) -> str:
    """What a system says of a fault, without its number, and of which file: `No space left on device (/media/a.toml)`.

    Of any other fault, what it says itself; empty where that is nothing.
    """
    if not isinstance(error, OSError) or not error.strerror:
        return str(error)
    return f"{error.strerror} ({error.filename})" if error.filename else error.strerror


def _replace(target: Path, old: os.stat_result | None, data: bytes, lasting: bool) -> None:
    beside = target.parent / f".nightleg-{os.getpid()}-{secrets.token_hex(8)}.tmp"
    _clear(target.parent)
    try:
        if not _written_nameless(beside, old, data, lasting):
            fd = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
            try:
                _fill(fd, old, data, lasting)
            finally:
                os.close(fd)
        os.replace(beside, target)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(beside)
        raise
    if lasting:
        _sync_folder(target.parent)


def _clear(folder: Path) -> None:
    """Removes what a process that was killed between naming its file and putting it in place has left behind."""
    with contextlib.suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            left = _LEFT.fullmatch(entry.name)
            if left is not None:
                with contextlib.suppress(OSError):
                    age_s = time.time() - entry.stat(follow_symlinks=False).st_mtime
                    if age_s > _AGE_S and _is_gone(int(left[1]), age_s):
                        os.unlink(entry.path)


def _is_gone(process: int, age_s: float) -> bool:
    if os.name == "nt":  # asking for a process there can end it
        return age_s > 86400.0
    try:
        os.kill(process, 0)
    except (ProcessLookupError, OverflowError):
        return True
    except PermissionError:  # it runs, for another user
        return False
    return False


def _written_nameless(beside: Path, old: os.stat_result | None, data: bytes, lasting: bool) -> bool:
    """Writes `data` to a file that gets its name, `beside`, only when complete; False where the system cannot do that.

    A process that is killed while it writes then leaves nothing behind.
    """
    with contextlib.ExitStack() as opened:
        try:
            folder = os.open(beside.parent, os.O_RDONLY)
            opened.callback(os.close, folder)
            fd = os.open(beside.parent, os.O_TMPFILE | os.O_WRONLY, 0o666)
            opened.callback(os.close, fd)
        except (OSError, AttributeError):
            return False
        _fill(fd, old, data, lasting)
        try:
            # The folder handed over makes Python follow the link to the open file; the path is absolute all the same.
            os.link(f"/proc/self/fd/{fd}", beside, src_dir_fd=folder, follow_symlinks=True)
        except OSError:
            return False
        return True


def _fill(fd: int, old: os.stat_result | None, data: bytes, lasting: bool) -> None:
    view = memoryview(data)
    while view:
        view = view[os.write(fd, view) :]
    if old is not None and hasattr(os, "fchmod"):
        with contextlib.suppress(OSError):  # another owner's file in a shared folder: as near as we may
            os.fchown(fd, old.st_uid, old.st_gid)
        os.fchmod(fd, stat.S_IMODE(old.st_mode))
    if lasting:
        os.fsync(fd)


def _sync_folder(folder: Path) -> None:
    """Makes the new name last through a power cut where the system allows it."""
    with contextlib.suppress(OSError):
        fd = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(fd)
        finally:
            os.close(fd)
