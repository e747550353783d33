"""Work for executors in the tests: functions of a module, so that workers find them."""

from __future__ import annotations

import os
import signal
import time
from pathlib import Path


def squared(number: int) -> int:
    return number * number


def dies_once(folder: str, number: int) -> int:
    """A square; the first worker that comes by the third number is killed."""
    mark = Path(folder) / "died"
    if number == 3 and not mark.exists():
        mark.touch()
        os.kill(os.getpid(), signal.SIGKILL)
    (Path(folder) / f"{number}-{time.monotonic_ns()}").touch()
    return number * number


def dies(number: int) -> int:
    """Never comes back."""
    os.kill(os.getpid(), signal.SIGKILL)
    return number
