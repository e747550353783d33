"""Texts of the sheet: fonts, and lines that fit a width; no letter is ever cut off."""

from __future__ import annotations

from functools import cached_property

from PySide6.QtCore import QPointF
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter

from app.chart_tools.palette import LIGHT

INK, QUIET, RULE = LIGHT.text, LIGHT.faint_text, LIGHT.frame
"""Colours of texts, of quiet texts and of rules: dark enough for grey print."""


class Style:
    """A font of the sheet, measured.

    Parameters
    ----------
    size : float
        Height of the letters. [px]
    bold : bool
        Whether it is bold.
    colour : str
        Colour, "#rrggbb".
    leading : float
        Distance of lines over the font's own. [-]
    """

    def __init__(
        self, size: float, *, bold: bool = False, colour: str = INK, leading: float = 1.0
    ) -> None:
        self.size, self.bold, self.colour, self._leading = size, bold, colour, leading

    @cached_property
    def font(self) -> QFont:
        """The font; letters keep their own widths at every size."""
        made = QFont()
        made.setPixelSize(round(self.size))
        made.setBold(self.bold)
        made.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
        return made

    @cached_property
    def _metrics(self) -> QFontMetricsF:
        return QFontMetricsF(self.font)

    @property
    def line(self) -> float:
        """Height of a line [px]."""
        return self._metrics.height() * self._leading

    def width(self, text: str) -> float:
        """Width of a text [px]."""
        return self._metrics.horizontalAdvance(text)

    def lines(self, text: str, room: float) -> list[str]:
        """Lines of a text that fit a width; a word longer than that is parted."""
        made: list[str] = []
        for paragraph in text.splitlines() or [""]:
            made += self._paragraph(paragraph, room)
        return made

    def _paragraph(self, text: str, room: float) -> list[str]:
        lines: list[str] = []
        for word in text.split(" "):
            longer = f"{lines[-1]} {word}" if lines else word
            if self.width(longer) <= room:
                lines[-1:] = [longer]
                continue
            *whole, rest = self._parted(word, room)
            lines += [*whole, rest]
        return lines

    def _parted(self, word: str, room: float) -> list[str]:
        parts: list[str] = []
        while len(word) > 1 and self.width(word) > room:
            fits = len(word) - 1
            while fits > 1 and self.width(word[:fits]) > room:
                fits -= 1
            parts.append(word[:fits])
            word = word[fits:]
        return [*parts, word]

    def draw(self, painter: QPainter, x: float, top: float, text: str) -> None:
        """Draw one line whose upper edge lies at a height."""
        painter.setFont(self.font)
        painter.setPen(QColor(self.colour))
        painter.drawText(QPointF(x, top + self._metrics.ascent()), text)


class Styles:
    """Every style of the sheet."""

    def __init__(self) -> None:
        self.title = Style(23, bold=True)
        self.long_title = Style(17, bold=True)
        self.heading = Style(14, bold=True)
        self.lead = Style(13, bold=True)
        self.body = Style(11)
        self.strong = Style(11, bold=True)
        self.figure = Style(14, bold=True)
        self.small = Style(10)
        self.small_strong = Style(10, bold=True)
        self.quiet = Style(10, colour=QUIET)
