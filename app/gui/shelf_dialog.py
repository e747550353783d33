"""The shop shelf: pulleys, belts, injectors, cores, name and logo, as lists of text."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtGui import QImageReader
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.fields import DENSITY_OF, FIELD, show, try_list, unit_of, write_list
from app.gui.copying import TextCopy
from app.gui.file_names import LOGO, ask_open
from app.gui.preferences import Preferences, Shelf
from engine_model.errors import InputError

LISTS = {
    "pulleys": ("&Blower pulleys", "length", "drive.blower_pulley_diameter"),
    "belts": ("B&elt lengths", "length", ""),
    "injectors": ("&Injectors (static flow)", "volume_flow", "fuel_system.injector_flow"),
}
"""Lists of numbers: label, kind of display, and the input whose range holds."""

RATING = FIELD["fuel_system.injector_rating_density"]
"""At whose default flows typed by mass are read."""

TEXTS = {
    "cores": "Charge cooler &cores, one a line",
    "shop": "&Shop",
    "logo": "L&ogo file",
}
"""Plain texts."""

PATTERNS = {
    "pulleys": "none yet, e.g. 60 mm, 63 mm, 2.5 in",
    "belts": "none yet, e.g. 1200 mm, 48.5 in",
    "injectors": "none yet, e.g. 440 cc/min, 550 cc/min, 42 lb/h",
    "cores": "none yet, e.g.\nTall core, 300 x 200 x 76 mm",
    "shop": "none yet; stands under exported charts",
    "logo": "none yet; a picture: PNG, SVG or JPEG",
}
"""What an empty box says of its own form; never to be taken for stock."""

BELT_RANGE = (0.3, 6.0)
"""Belt lengths read [m]; chosen here."""


class ListBox(QWidget):
    """A list of text and what is wrong with it."""

    def __init__(self, label: str, tall: bool = True) -> None:
        super().__init__()
        self.edit: QPlainTextEdit | QLineEdit = QPlainTextEdit() if tall else QLineEdit()
        if isinstance(self.edit, QPlainTextEdit):
            self.edit.setTabChangesFocus(True)
            self.edit.setFixedHeight(3 * self.fontMetrics().height() + 14)
        self.edit.setAccessibleName(label.replace("&", ""))
        self.sentence = QLabel()
        self.sentence.setObjectName("sentence")
        self.sentence.setWordWrap(True)
        self.sentence.hide()
        self.row = QHBoxLayout()
        self.row.addWidget(self.edit, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(1)
        column.addLayout(self.row)
        column.addWidget(self.sentence)

    @property
    def text(self) -> str:
        """What is typed."""
        edit = self.edit
        return edit.toPlainText() if isinstance(edit, QPlainTextEdit) else edit.text()

    def set_text(self, text: str) -> None:
        """Show a text."""
        edit = self.edit
        if isinstance(edit, QPlainTextEdit):
            edit.setPlainText(text)
        else:
            edit.setText(text)

    def say(self, sentence: str) -> None:
        """Show what is wrong; an empty sentence clears it."""
        self.sentence.setText(sentence)
        self.sentence.setVisible(bool(sentence))


def _lines(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip()]


class ShelfDialog(QDialog):
    """Edits the shelf; kept only where every list can be read."""

    def __init__(self, preferences: Preferences, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._preferences = preferences
        self.setWindowTitle("Shop shelf")
        self.boxes = {name: ListBox(row[0]) for name, row in LISTS.items()}
        self.boxes |= {name: ListBox(text, name == "cores") for name, text in TEXTS.items()}
        for name, pattern in PATTERNS.items():
            self.boxes[name].edit.setPlaceholderText(pattern)
        browse = QPushButton("Choose…")
        browse.setAutoDefault(False)
        browse.clicked.connect(self._browse)
        self.boxes["logo"].row.addWidget(browse)
        head = QLabel(
            "Sizes with their units, parted by commas: 60 mm, 63 mm, 2.5 in. The pulleys are the "
            "ticks of the pulley slider. Injectors in lb/h are read at "
            f"{show(RATING.row.value, RATING.display)}: 10.5 cc/min go on 1 lb/h."
        )
        head.setObjectName("headline")
        head.setWordWrap(True)
        form = QFormLayout()
        for name, box in self.boxes.items():
            label = QLabel(LISTS[name][0] if name in LISTS else TEXTS[name])
            label.setBuddy(box.edit)
            form.addRow(label, box)
        kinds = QDialogButtonBox.StandardButton
        buttons = QDialogButtonBox(kinds.Save | kinds.Cancel)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        layout.addWidget(head)
        layout.addLayout(form)
        layout.addStretch(1)
        layout.addWidget(buttons)
        self.resize(560, 480)
        for name in (*LISTS, "cores"):
            TextCopy(self.boxes[name].edit, lambda name=name: self.table_rows(name))
        self.show_shelf(preferences.choices.shelf)

    def show_shelf(self, shelf: Shelf) -> None:
        """Show a shelf."""
        units = self._preferences.choices.units_shown
        for name, (_, kind, path) in LISTS.items():
            text = write_list(getattr(shelf, name), kind, units, self._density(path))
            self.boxes[name].set_text(text)
        self.boxes["cores"].set_text("\n".join(shelf.cores))
        self.boxes["shop"].set_text(shelf.shop)
        self.boxes["logo"].set_text(shelf.logo)

    def table_rows(self, name: str) -> list[list[str]]:
        """A list as rows of text, its title with the unit first; one at fault as it is typed."""
        text = self.boxes[name].text
        if name not in LISTS:
            return [[TEXTS[name].replace("&", "").partition(",")[0]], *([t] for t in _lines(text))]
        label, kind, _ = LISTS[name]
        title, units = label.replace("&", ""), self._preferences.choices.units_shown
        values, faults = self._read(name)
        if faults:
            return [[title], *([t] for t in _lines(text))]
        shown = [[show(value, kind, units, unit=False)] for value in values]
        return [[f"{title} [{unit_of(kind, units)}]"], *shown]

    @staticmethod
    def _density(path: str) -> float | None:
        """Density of a list whose values may be typed by mass [kg/m3]."""
        return float(RATING.row.value) if path in DENSITY_OF else None  # type: ignore[arg-type]

    def _read(self, name: str) -> tuple[tuple[float, ...], tuple[InputError, ...]]:
        label, kind, path = LISTS[name]
        low, high = (FIELD[path].row.low, FIELD[path].row.high) if path else BELT_RANGE
        return try_list(
            self.boxes[name].text, kind, label.replace("&", ""), low, high, self._density(path)
        )

    def read_shelf(self) -> Shelf | None:
        """The shelf as typed; nothing, with sentences beside the lists, where one is wrong."""
        values: dict[str, tuple[float, ...]] = {}
        wrong: list[ListBox] = []
        for name in LISTS:
            box = self.boxes[name]
            values[name], faults = self._read(name)
            box.say("\n".join(f"{one.value} given; allowed: {one.allowed}" for one in faults))
            if faults:
                wrong.append(box)
        logo = self.boxes["logo"]
        logo.say(self._logo_fault(logo.text.strip()))
        if logo.sentence.text():
            wrong.append(logo)
        if wrong:
            wrong[0].edit.setFocus()
            return None
        return Shelf(
            **values,
            cores=tuple(dict.fromkeys(_lines(self.boxes["cores"].text))),
            shop=self.boxes["shop"].text.strip(),
            logo=logo.text.strip(),
        )

    @staticmethod
    def _logo_fault(name: str) -> str:
        if not name:
            return ""
        if not Path(name).is_file():
            return f"{name} is no file; allowed: a picture, or blank"
        if not QImageReader(name).canRead():
            return f"{name} is no picture that can be read; allowed: PNG, SVG or JPEG, or blank"
        return ""

    def accept(self) -> None:
        """Keep the shelf where every list can be read."""
        shelf = self.read_shelf()
        if shelf is not None:
            self._preferences.change(shelf=shelf)
            super().accept()

    def _browse(self) -> None:
        path = ask_open(self, self._preferences, LOGO)
        if path is not None:
            self.boxes["logo"].set_text(str(path))
