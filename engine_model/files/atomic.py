"""Saving in one step: either the old file or the new one is there, whole, at any moment."""

from __future__ import annotations

import contextlib
import os
import secrets


class SaveError(OSError):
    """A file that could not be saved; the old one is untouched."""

    def __str__(self) -> str:
        """Return the sentence."""
        return str(self.strerror)


def write_atomically(path: str | os.PathLike[str], data: bytes) -> None:
    """Write a file in one step, on any failure leaving what was there.

    The bytes go to a new file in the same folder, to the disk, and then take the name over.

    Parameters
    ----------
    path : str or path-like
        The file; where it is a link, what it points to.
    data : bytes
        The whole content.

    Raises
    ------
    SaveError
        When the folder cannot be written or the disk is full; says so.
    """
    target = os.path.realpath(path)
    folder = os.path.dirname(target)
    new = f"{target}.{secrets.token_hex(6)}.tmp"
    try:
        _write(new, data, target)
        os.replace(new, target)
    except OSError as error:
        sentence = f"{os.fspath(path)}: not saved, {_reason(error, folder)}; the old file is kept"
        raise SaveError(error.errno, sentence, os.fspath(path)) from error
    finally:
        with contextlib.suppress(OSError):
            os.unlink(new)
    _settle(folder)


def _write(new: str, data: bytes, target: str) -> None:
    with open(new, "xb") as file:
        file.write(data)
        file.flush()
        if os.path.exists(target):
            os.chmod(new, os.stat(target).st_mode & 0o777)
        os.fsync(file.fileno())


def _settle(folder: str) -> None:
    """Bring the folder's entry to the disk, where the system can; the file itself is there."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _reason(error: OSError, folder: str) -> str:
    if isinstance(error, FileNotFoundError):
        return f"there is no folder {folder}"
    if isinstance(error, NotADirectoryError):
        return f"{folder} is no folder"
    if isinstance(error, IsADirectoryError):
        return "the name belongs to a folder"
    if isinstance(error, PermissionError):
        return f"no permission to write in {folder}"
    return f"{(error.strerror or str(error)).lower()} in {folder}"
