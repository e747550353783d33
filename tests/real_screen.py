"""The program itself on a screen of its own, with mouse and keys: needs Xvfb and xdotool.

With the environment variable ``PW_SHOTS`` set to a folder, pictures of the screen are kept there
(needs ImageMagick's ``import``).
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings

from app.gui.preferences import Preferences

ROOT = Path(__file__).parent.parent
needs_screen = pytest.mark.skipif(
    not (shutil.which("Xvfb") and shutil.which("xdotool")), reason="needs Xvfb and xdotool"
)


class Screen:
    """A program on a screen of its own; the window stands in the upper left corner."""

    def __init__(self, folder, *, hints_seen=False):
        read, write = os.pipe()
        self.server = subprocess.Popen(
            ["Xvfb", "-displayfd", str(write), "-screen", "0", "2600x1500x24"],
            pass_fds=[write], stderr=subprocess.DEVNULL,
        )  # fmt: skip
        os.close(write)
        number = b""
        while not number.endswith(b"\n"):  # it ends where nobody reads the line to its end
            number += os.read(read, 20)
        os.close(read)
        self.display = ":" + number.decode().strip()
        self.folder, self.told, self.shots = folder, "", 0
        config = folder / "config" / "Pulleywright"
        config.mkdir(parents=True)
        settings = QSettings(str(config / "Pulleywright.conf"), QSettings.Format.IniFormat)
        Preferences(settings).change(hints_seen=hints_seen)
        settings.sync()
        self.environment = {
            **os.environ,
            "DISPLAY": self.display,
            "QT_QPA_PLATFORM": "xcb",
            "QT_QPA_PLATFORMTHEME": "",  # dialogs are Qt's own
            "XDG_CONFIG_HOME": str(folder / "config"),
            "XDG_DATA_HOME": str(folder / "data"),
            "PYTHONPATH": str(ROOT),
        }
        self.program = subprocess.Popen(
            [sys.executable, "-m", "app"], env=self.environment, cwd=folder,
            stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
        )  # fmt: skip

    def do(self, *words):
        done = subprocess.run(
            ["xdotool", *map(str, words)], env=self.environment, capture_output=True, text=True,
            timeout=30, check=True,
        )  # fmt: skip
        return done.stdout.strip()

    def window(self, title):
        """Number of a window by words of its title; the keys go to it from now on."""
        found = self.do("search", "--sync", "--onlyvisible", "--name", title).split()[0]
        self.do("windowfocus", "--sync", found)
        return found

    def drag(self, start, stop, steps=12):
        self.do("mousemove", *start, "mousedown", 1)
        for k in range(1, steps + 1):
            x = round(start[0] + (stop[0] - start[0]) * k / steps)
            self.do("mousemove", x, stop[1], "sleep", 0.02)
        self.do("mouseup", 1)

    def journal(self, ending):
        """Content of the program's journal of a kind; nothing where there is none."""
        for file in (self.folder / "data").rglob(f"*{ending}"):
            try:
                return json.loads(file.read_text())
            except (json.JSONDecodeError, FileNotFoundError):
                return None
        return None

    def wait(self, what, seconds=15.0):
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            if what():
                return
            time.sleep(0.05)
        self.shot("in-vain")
        raise AssertionError(f"not within {seconds} s; {self.state()}")

    def state(self):
        """What to say of the program where a wait was in vain."""
        return f"the program {'ended' if self.program.poll() is not None else 'runs'}"

    def shot(self, name):
        """Keep a picture of the screen, where a folder is given for them."""
        folder = os.environ.get("PW_SHOTS")
        if not folder:
            return
        time.sleep(0.3)
        self.shots += 1
        file = Path(folder) / f"{self.shots:02d}-{name}.png"
        subprocess.run(
            ["import", "-window", "root", "-crop", "1400x850+0+0", str(file)],
            env=self.environment, check=True, timeout=30,
        )  # fmt: skip

    def close(self):
        self.program.terminate()
        self.told = self.program.communicate(timeout=10)[0].decode()
        self.server.terminate()
        self.server.wait(timeout=10)
