"""New builds: for a customer with everything assumed, or as a copy of a sample."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QComboBox,
    QFormLayout,
    QLabel,
    QLineEdit,
    QMenu,
    QPushButton,
    QWidget,
)

from app.paths import DEFAULT_SAMPLE, sample_builds
from engine_model.files.build_file import load_build
from engine_model.inputs import Blower, Build

CUSTOMER = "for a customer, everything assumed"

CUSTOMER_NOTE = "Every input is assumed; the compressor map is an invented sample."


def new_customer_build(title: str) -> Build:
    """Build with nothing given; its compressor map is the default sample's until another is."""
    compressor_map = load_build(sample_builds()[DEFAULT_SAMPLE]).blower.compressor_map
    return Build(
        title=title.strip() or "New build",
        blower=Blower(compressor_map=compressor_map),
        notes=CUSTOMER_NOTE,
    )


def new_build_from_sample(name: str, title: str = "") -> Build:
    """Copy of a sample build under another title; it has no file of its own yet."""
    build = load_build(sample_builds()[name])
    return replace(build, title=title.strip() or f"{build.title} (copy)")


class NewBuildPanel(QWidget):
    """Title and starting point of a new build.

    Signals
    -------
    made(build)
        The new build; whoever listens asks first whether the open one may be left.
    """

    made = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.title = QLineEdit()
        self.title.setAccessibleName("Title of the new build")
        self.title.setPlaceholderText("New build")
        self.start = QComboBox()
        self.start.setAccessibleName("Starting point of the new build")
        self.start.addItem(f"New {CUSTOMER}", None)
        for name in sample_builds():
            self.start.addItem(f"Copy of the sample {name} (invented)", name)
        self.told = QLabel()
        self.told.setObjectName("headline")
        self.told.setWordWrap(True)
        self.told.setMinimumWidth(260)
        self.make = QPushButton("Make the build")
        self.make.setDefault(True)
        form = QFormLayout(self)
        form.addRow("&Title", self.title)
        form.addRow("&Start from", self.start)
        form.addRow(self.told)
        form.addRow(self.make)
        self.start.currentIndexChanged.connect(self._tell)
        self.make.clicked.connect(lambda: self.made.emit(self.build()))
        self.title.returnPressed.connect(self.make.click)
        self._tell()

    def build(self) -> Build:
        """The build as asked for."""
        name = self.start.currentData()
        if name is None:
            return new_customer_build(self.title.text())
        return new_build_from_sample(name, self.title.text())

    def _tell(self, *_: object) -> None:
        sample = self.start.currentData()
        self.told.setText(
            CUSTOMER_NOTE
            if sample is None
            else "All values of the sample stay as they are; what it has given stays given."
        )


def fill_new_menu(menu: QMenu, take: Callable[[Build], None]) -> None:
    """Fill a menu with every starting point; each calls ``take`` with the new build."""
    menu.addAction(f"New build {CUSTOMER}", lambda: take(new_customer_build("")))
    menu.addSeparator()
    for name in sample_builds():
        menu.addAction(
            f"New from the sample {name}", lambda name=name: take(new_build_from_sample(name))
        )
