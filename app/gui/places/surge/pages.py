"""Pages of the Surge place: the two pictures with their player, the bypass valve, choke."""

from __future__ import annotations

from html import escape

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QFrame,
    QLabel,
    QScrollArea,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from app.charts.choke_chart import ChokeChart
from app.charts.surge_map_chart import SurgeMapChart
from app.charts.surge_time_chart import SurgeTimeChart
from app.charts.valve_curve_chart import ValveCurveChart
from app.gui.places.surge.player import Player
from app.gui.places.surge.transport import Transport
from app.gui.widgets.work_rows import WorkRows
from app.present.cautions import CAUTIONS
from app.present.series_valve import WHAT_IT_SAYS
from app.present.surge_words import ESTIMATE

COVERED = "Covered until Space is pressed."


def _words() -> QLabel:
    label = QLabel()
    label.setWordWrap(True)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    return label


class RunPage(QWidget):
    """The compressor map beside time, and the row of the player."""

    def __init__(self, player: Player) -> None:
        super().__init__()
        self.map, self.time = SurgeMapChart(), SurgeTimeChart()
        self.transport = Transport(player)
        self.facts = QLabel(ESTIMATE)
        self.facts.setObjectName("caution")
        self.facts.setWordWrap(True)
        self.facts.setContentsMargins(8, 0, 8, 2)
        across = self.across = QSplitter(Qt.Orientation.Horizontal)
        across.addWidget(self.map)
        across.addWidget(self.time)
        across.setStretchFactor(0, 11)
        across.setStretchFactor(1, 10)
        across.setSizes([550, 500])
        across.setChildrenCollapsible(False)
        rows = QVBoxLayout(self)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(0)
        rows.addWidget(across, 1)
        rows.addWidget(self.transport)
        rows.addWidget(self.facts)


class _WordsPage(QWidget):
    """A chart with words beside it."""

    def __init__(self, chart: QWidget, caution: str) -> None:
        super().__init__()
        self.words = _words()
        self.caution = QLabel(caution)
        self.caution.setObjectName("caution")
        self.caution.setWordWrap(True)
        self.covered = QLabel(COVERED)
        self.covered.setObjectName("headline")
        self.covered.setWordWrap(True)
        self.covered.setContentsMargins(60, 0, 60, 0)
        self.covered.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.covered.hide()
        told = QWidget()
        self.rows = QVBoxLayout(told)
        self.rows.setContentsMargins(8, 6, 8, 4)
        self.rows.addWidget(self.words)
        self.rows.addStretch(1)
        self.rows.addWidget(self.caution)
        self.side = QScrollArea()
        self.side.setWidgetResizable(True)
        self.side.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.side.setFrameShape(QFrame.Shape.NoFrame)
        self.side.setWidget(told)
        across = QSplitter(Qt.Orientation.Horizontal)
        across.addWidget(chart)
        across.addWidget(self.side)
        across.setStretchFactor(0, 3)
        across.setStretchFactor(1, 1)
        across.setSizes([760, 260])
        across.setChildrenCollapsible(False)
        self._across = across
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(across, 1)
        column.addWidget(self.covered, 1)

    def show_words(self, lines: list[str]) -> None:
        """Show rows of words."""
        self.words.setText("".join(f"<p>{escape(line)}</p>" for line in lines))

    def cover_words(self, covered: bool) -> None:
        """Leave out the words, or show them."""
        self.side.setVisible(not covered)


class ValvePage(_WordsPage):
    """The smallest valve over engine speed, worked out while nothing else is done."""

    def __init__(self) -> None:
        self.chart = ValveCurveChart()
        super().__init__(self.chart, CAUTIONS["general"])
        self.about = QLabel(WHAT_IT_SAYS)
        self.about.setWordWrap(True)
        self.work = WorkRows("the bypass valve", "Size the valve again for the scene as it is")
        self.rows.insertWidget(1, self.about)
        self.rows.insertWidget(2, self.work)

    def set_covered(self, covered: bool) -> None:
        """The curve is the answer: leave all of it out, or show it."""
        self._across.setVisible(not covered)
        self.covered.setVisible(covered)


class ChokePage(_WordsPage):
    """Speed added until flow stands still, and one speed line."""

    def __init__(self) -> None:
        self.chart = ChokeChart()
        cautions = f"{CAUTIONS['impeller_speed']}\n\n{CAUTIONS['general']}"
        super().__init__(self.chart, cautions)

    def set_covered(self, covered: bool) -> None:
        """The pictures are what the class looks at; the words are covered."""
        self.cover_words(covered)

    def show_fault(self, words: str) -> None:
        """Say why there is no choke page of this build, in place of it; empty words show it."""
        self.covered.setText(words)
        self.covered.setVisible(bool(words))
        self._across.setVisible(not words)
