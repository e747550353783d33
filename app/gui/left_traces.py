"""Offers traces that a killed program left behind; pictures and ink come in only where some are."""

from __future__ import annotations

import time
from pathlib import Path
from typing import TYPE_CHECKING

from app.gui.journal import journal_folder
from app.gui.recovery_bar import Act, Notice, age_words
from app.gui.safety import LEFT_TIPS, LEFT_WORDS

if TYPE_CHECKING:
    from app.gui.places.trace.trace_journal import LeftTrace
    from app.gui.window import Window

PATTERN = "*.trace-journal.json"


def offer_left_traces(window: Window) -> None:
    """Tell of every trace left behind on the window's bar."""
    folder = window.journals or journal_folder()
    if not (folder.is_dir() and any(folder.glob(PATTERN))):
        return
    from app.gui.places.trace.trace_journal import find_left_traces

    found, broken = find_left_traces(folder)
    for sentence in broken:
        window.bar.tell(Notice(sentence, sentence, (("All right", lambda: True),)))
    for left in found:
        _offer(window, left)


def _offer(window: Window, left: LeftTrace) -> None:
    name = left.trace.title.strip() or "without a name yet"
    age = age_words(time.time() - left.written)
    text = f"A trace was open when the program stopped: {name}, {age}. {LEFT_WORDS}"
    choices: tuple[tuple[str, Act], ...] = (
        ("Take it up", lambda: _take_up(window, left)),
        ("Leave it", lambda: True),
        ("Discard", lambda: _discard(window, left.journal)),
    )
    window.bar.tell(Notice(str(left.journal), text, choices, LEFT_TIPS))


def _take_up(window: Window, left: LeftTrace) -> bool:
    window.rail.show_place("trace")
    place = window.places_by_key["trace"]
    if not place.may_leave():
        return False
    if not left.journal.exists():
        place.words.say("That trace was taken up or discarded elsewhere.")
        return False
    place.document.recover(left.trace, left.path)
    if left.picture_path is not None and left.picture_path.is_file():
        page = 0 if left.trace.picture is None else left.trace.picture.page
        place.document.open_picture(left.picture_path, page)
    elif left.trace.picture is not None:
        place.words.say(f"Open the picture {left.trace.picture.name} to go on.")
    # the old journal goes only when the new one stands
    return _discard(window, left.journal) if place.journal.write_now() else True


def _discard(window: Window, journal: Path) -> bool:
    try:
        journal.unlink(missing_ok=True)
    except OSError as error:
        words = f"{journal} could not be removed: {error.strerror}."
        window.bar.tell(Notice(words, words, (("All right", lambda: True),)))
        return False
    return True
