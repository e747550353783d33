"""Whether a program that left something behind still runs: its process id and its start."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

_PROC = Path("/proc")


def start_of(process_id: int) -> str | None:
    """Moment a process started, in letters and digits; nothing where it does not run.

    Process ids are used again, so that only id and start together name a program.

    Parameters
    ----------
    process_id : int
        Id of the process.

    Returns
    -------
    str or None
        Different for two processes that had the same id one after the other.
    """
    if sys.platform == "win32":
        return _start_on_windows(process_id)
    if (_PROC / "self" / "stat").exists():
        return _start_in_proc(process_id)
    return start_by_ps(process_id)


def _start_in_proc(process_id: int) -> str | None:
    try:
        text = (_PROC / str(process_id) / "stat").read_text(encoding="utf-8", errors="replace")
    except (FileNotFoundError, ProcessLookupError):
        return None
    fields = text.rpartition(")")[2].split()  # the name before it may hold anything
    if fields[0] in ("Z", "X"):  # ended, not yet collected by its parent
        return None
    return f"{_this_boot()}t{fields[19]}"


def _this_boot() -> str:
    """Short name of this run of the machine: starts are counted from its beginning."""
    file = _PROC / "sys" / "kernel" / "random" / "boot_id"
    return file.read_text(encoding="ascii")[:8] if file.exists() else ""


def start_by_ps(process_id: int) -> str | None:
    """Moment a process started, by the command ``ps``; nothing where it does not run."""
    told = subprocess.run(
        ["ps", "-o", "lstart=", "-p", str(process_id)],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "LC_ALL": "C"},
    )
    return "".join(one for one in told.stdout if one.isalnum()) or None


def _start_on_windows(process_id: int) -> str | None:
    import ctypes

    kernel = ctypes.windll.kernel32  # type: ignore[attr-defined]
    kernel.OpenProcess.restype = ctypes.c_void_p
    handle = kernel.OpenProcess(0x1000, False, process_id)  # limited query
    if not handle:
        return None
    times = (ctypes.c_ulonglong * 4)()
    code = ctypes.c_ulong()
    try:
        pointers = [ctypes.byref(times, 8 * i) for i in range(4)]
        told = kernel.GetProcessTimes(ctypes.c_void_p(handle), *pointers)
        kernel.GetExitCodeProcess(ctypes.c_void_p(handle), ctypes.byref(code))
    finally:
        kernel.CloseHandle(ctypes.c_void_p(handle))
    still_active = 259
    return str(times[0]) if told and code.value == still_active else None
