"""Opening the bench: looks for a display and for Qt's libraries before Qt does.

A missing system library or a dead display makes Qt abort the process with a misleading word,
so both are tried first and answered in one sentence.
"""

from __future__ import annotations

import argparse
import ctypes
import importlib.util
import os
import sys
from pathlib import Path

from app.paths import DEFAULT_SAMPLE

PACKAGES = (
    "libgl1 libegl1 libglib2.0-0 libdbus-1-3 libfontconfig1 libxkbcommon0 libxkbcommon-x11-0 "
    "libxcb-cursor0 libxcb-icccm4 libxcb-keysyms1 libxcb-shape0"
)
"""Debian packages that Qt needs for a window."""

PICTURE = "pulleywright-match.png"
"""Picture written in the present folder where there is no display."""


def _qt_folder() -> Path | None:
    found = importlib.util.find_spec("PySide6")
    if found is None or not found.submodule_search_locations:
        return None
    return Path(next(iter(found.submodule_search_locations))) / "Qt"


def _loads(path: Path) -> str | None:
    """Name of what is missing to load a library, or nothing."""
    if not path.exists():
        return None
    try:
        ctypes.CDLL(str(path))
    except OSError as error:
        return str(error).split(":")[0]
    return None


def missing_for_drawing() -> str | None:
    """What keeps Qt from drawing offscreen, or nothing."""
    qt = _qt_folder()
    if qt is None:
        return "PySide6"
    return _loads(qt / "lib" / "libQt6Gui.so.6")


def missing_for_window() -> str | None:
    """What keeps Qt from opening a window on this machine, or nothing."""
    if not sys.platform.startswith("linux"):
        return None
    if os.environ.get("QT_QPA_PLATFORM", "").startswith("offscreen"):
        return None
    if os.environ.get("WAYLAND_DISPLAY") and not os.environ.get("DISPLAY"):
        return None
    display = os.environ.get("DISPLAY")
    if not display:
        return "a display (DISPLAY is not set)"
    qt = _qt_folder()
    if qt is not None:
        for library in (qt / "lib" / "libQt6XcbQpa.so.6", qt / "plugins/platforms/libqxcb.so"):
            lacking = _loads(library)
            if lacking:
                return f"the library {lacking}"
    try:
        xcb = ctypes.CDLL("libxcb.so.1")
    except OSError:
        return "the library libxcb.so.1"
    xcb.xcb_connect.restype = ctypes.c_void_p
    connection = ctypes.c_void_p(xcb.xcb_connect(display.encode(), None))
    broken = bool(xcb.xcb_connection_has_error(connection))
    xcb.xcb_disconnect(connection)
    return f"a display that answers (DISPLAY is {display})" if broken else None


def can_open_window() -> bool:
    """Whether a window can be opened here."""
    return missing_for_drawing() is None and missing_for_window() is None


def open_bench() -> int:
    """Open the bench on the default sample; the window stands before the sciences are loaded."""
    from app.gui.window import run_bench

    return run_bench(None)


def launch(name: str | None) -> int:
    """Open the bench on a build, or print its match and write its picture."""
    # with a window and nothing to look up these stay out: they take longer than Qt itself
    from app.cli import find_build, match_text
    from engine_model.files.build_file import load_build
    from engine_model.matching import match

    lacking_qt = missing_for_drawing()
    lacking = lacking_qt or missing_for_window()
    if lacking is None:
        from app.gui.window import run_bench

        return run_bench(None if name is None else find_build(name))
    print(f"No bench without {lacking}; here is the match instead.")
    build = load_build(find_build(name or DEFAULT_SAMPLE))
    result = match(build)
    print("\n".join(match_text(result, "si", False, True)))
    if lacking_qt:
        print(f"No picture without {lacking_qt}; on Debian install: {PACKAGES}")
        return 0
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    from app.charts.picture import write_match_picture

    write_match_picture(result, Path(PICTURE))
    print(f"Picture written: {PICTURE}")
    if "library" in lacking:
        print(f"For a window, on Debian install: {PACKAGES}")
    return 0


def write_build_sheet(options: argparse.Namespace) -> int:
    """Write the build sheet of a build as a PDF: 0, or 2 with a sentence."""
    from app.cli import OK, WRONG, UsageError, apply_sets, find_build, pick_day, pick_days
    from engine_model.files.atomic import SaveError
    from engine_model.files.build_file import load_build

    output = Path(options.output)
    if output.suffix.lower() != ".pdf":
        raise UsageError(f"-o: {options.output!r} given; allowed: a file whose name ends in .pdf")
    path = find_build(options.build)
    kept = load_build(path)
    build = apply_sets(kept, options.sets)
    days = pick_days(build, options.days)
    day = pick_day(build, options.day or build.target.day, "--day")
    lacking = missing_for_drawing()
    if lacking:
        print(f"No build sheet without {lacking}; on Debian install: {PACKAGES}", file=sys.stderr)
        return WRONG
    if "PySide6.QtWidgets" not in sys.modules:
        os.environ["QT_QPA_PLATFORM"] = "offscreen"
    import hashlib
    import json
    from datetime import date

    from app.gui.preferences import Preferences
    from app.sheet.paper import PAPERS
    from app.sheet.source import judged_source
    from app.sheet.writing import write_sheet

    shelf = Preferences().choices.shelf
    source = judged_source(
        build,
        day,
        days,
        written_on=date.today(),
        # changed by --set it is no longer the file's
        digest=hashlib.sha256(path.read_bytes()).hexdigest() if build == kept else "",
        shop=build.shelf.shop or shelf.shop,
        logo=shelf.logo,
        units="us" if options.us else "si",
    )
    try:
        pages = write_sheet(source, output, PAPERS[options.paper])
    except SaveError as error:
        print(str(error), file=sys.stderr)
        return WRONG
    if options.json:
        told = {"file": str(output), "pages": pages, "paper": options.paper, "day": day.name}
        print(json.dumps({**told, "days": list(source.days)}))
    else:
        print(f"Build sheet written: {output}, {pages} pages")
    return OK
