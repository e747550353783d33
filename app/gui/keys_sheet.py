"""The sheet of keys: one table of data for every place, in a window that scrolls."""

from __future__ import annotations

import html

from PySide6.QtWidgets import QDialog, QDialogButtonBox, QTextBrowser, QVBoxLayout, QWidget

from app.gui.actions import ACTIONS
from app.gui.rail import PLACES
from app.gui.recovery_bar import KEY as NOTICE_KEY

Row = tuple[str, str]

EVERYWHERE: tuple[Row, ...] = (
    ("Tab, Shift+Tab", "Next field, field before"),
    ("Up, Down", "Step the focused box or slider; a size of the shelf where the pulley snaps"),
    ("Page Up, Page Down", "Ten steps; three sizes of the shelf"),
    ("Escape", "Put the value back"),
    ("Ctrl+C in a table", "Copy the chosen rows, or all where none is chosen"),
    ("Menu key, right click", "Copy a table, export or copy a chart"),
    (NOTICE_KEY, "Bring the keyboard to a notice at the top"),
)
"""Keys that no action of the menus has."""

LINE: tuple[Row, ...] = (
    ("Home on the map", "Show the whole map"),
    ("Enter in the ledger", "Why: the stations at that engine speed"),
    ("Space in the classroom view", "Show or cover the answers"),
)
PULLEYS: tuple[Row, ...] = (
    ("Left, Right on the span", "Step the present pulley; a size of the shelf where it snaps"),
    ("Page Up, Page Down", "Ten steps; three sizes of the shelf"),
    ("Enter in the table", "Take that pulley"),
    ("Space in the classroom view", "Show or cover the answers"),
)
COMPRESSORS: tuple[Row, ...] = (
    ("Space in the table", "Tick the row with the focus, or take its tick away"),
    ("Shift or Ctrl with a click or arrow", "Lay two or three rows over each other"),
    ("Enter in the table", "Take that compressor with its pulley"),
    ("Home on the maps", "Show all of them"),
    ("Space in the classroom view", "Show or cover the answers"),
)
TRACE: tuple[Row, ...] = (
    ("K, P, E", "Known points, pen, edit"),
    ("S, U, C, I", "Next curve: speed line, surge line, choke line, island"),
    ("M", "The loupe, on or off"),
    ("Plus, Minus, Home", "Zoom in, zoom out, show the whole picture; Space and drag pushes it"),
    ("Arrow keys", "Crosshair or chosen point by 1 pixel; Shift 10, Ctrl 0.2"),
    ("Enter", "Place a point; in the pen a click, once more ends the curve"),
    ("Shift, F", "With the pen: a free stretch, held or kept"),
    ("Backspace, Ctrl+Z", "With the pen: take the last click back"),
    ("N, C, Shift+N, Shift+C", "In edit: next point, next curve, and back"),
    ("Insert, Delete", "In edit: a point after the chosen one, away with the chosen one"),
    ("Escape", "Give up what is being drawn or chosen"),
)
SURGE: tuple[Row, ...] = (
    ("P", "Play or pause"),
    ("Left, Right", "One picture back or on; ten with Shift"),
    ("Home, End", "To the start, to the end"),
    ("[ and ]", "Slower, faster"),
    ("L", "Loop, on or off"),
    ("G", "Keep this run under the next ones, or put it away"),
    ("Page Up, Page Down", "The scene before, the next one"),
    ("Space in the classroom view", "Show or cover the answers"),
)
SHEET: tuple[Row, ...] = (
    ("Page Up, Page Down", "Through the pages"),
    ("Space in the classroom view", "Show or cover the sheet"),
)
DYNO: tuple[Row, ...] = (
    ("Space on a run", "Tick or untick it"),
    ("Space in the classroom view", "Show or cover the answers"),
)
KEYS_OF_PLACES: dict[str, tuple[Row, ...]] = {
    "line": LINE,
    "pulleys": PULLEYS,
    "compressors": COMPRESSORS,
    "trace": TRACE,
    "surge": SURGE,
    "dyno": DYNO,
    "sheet": SHEET,
}
"""Keys of a place's own, by its key on the rail."""


def key_rows() -> list[tuple[str, list[Row]]]:
    """Every key with what it does, under its heading."""
    menus = [(r.keys, r.text.replace("&", "").rstrip("…")) for r in ACTIONS if r.keys]
    places = [(f"Ctrl+{number}", f"Go to {word}") for _, word, _, number in PLACES]
    own = [(word, list(KEYS_OF_PLACES[key])) for key, word, _, _ in PLACES]
    return [("Menus", menus), ("Everywhere", [*places, *EVERYWHERE]), *own]


class KeysSheet(QDialog):
    """Shows the keys; Escape closes it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Keys")
        self.text = QTextBrowser()
        self.text.setAccessibleName("Keys and what they do")
        self.text.setHtml("".join(_section(*part) for part in key_rows()))
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        layout.addWidget(self.text)
        layout.addWidget(buttons)
        self.resize(640, 620)


def _section(title: str, rows: list[Row]) -> str:
    cells = "".join(
        f"<tr><td style='padding-right:18px'><b>{html.escape(keys)}</b></td>"
        f"<td>{html.escape(words)}</td></tr>"
        for keys, words in rows
    )
    return f"<h3>{html.escape(title)}</h3><table cellspacing='3'>{cells}</table>"
