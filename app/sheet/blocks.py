"""Blocks of a page: each knows its height at a width and draws itself."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from PySide6.QtCore import QLineF, QPointF, QRectF
from PySide6.QtGui import QColor, QPainter

from app.chart_tools.canvas import pen
from app.chart_tools.palette import LIGHT
from app.chart_tools.parts import draw_dial
from app.sheet.text import INK, RULE, Style

DIAL = 3.8
"""Radius of a dial [px]."""

DIAL_SCALE = 0.75
"""Strokes of a dial over those of the charts, so that two rows do not touch [-]."""


BOX = 9.0
"""Side of a box to tick [px]."""


class Block(Protocol):
    """One thing on a page; blocks stand below each other and are never parted.

    Attributes
    ----------
    height : float
        Height. [px]
    keep : bool
        Whether it stays on the page of the block after it.
    """

    height: float
    keep: bool

    def draw(self, painter: QPainter, x: float, y: float) -> None:
        """Draw with the upper left corner at a place."""


class Space:
    """Room between two blocks."""

    keep = False

    def __init__(self, height: float) -> None:
        self.height = height

    def draw(self, painter: QPainter, x: float, y: float) -> None:
        """Draw nothing."""


class Turn(Space):
    """The next block begins a page."""

    def __init__(self) -> None:
        super().__init__(0.0)


class Lines:
    """A text over the whole width, on as many lines as it needs."""

    def __init__(
        self, text: str, style: Style, width: float, *, keep: bool = False, rule: bool = False
    ) -> None:
        self._style, self._width, self._rule = style, width, rule
        self._lines = style.lines(text, width)
        self.keep = keep
        self.height = len(self._lines) * style.line + (4.0 if rule else 0.0)

    def draw(self, painter: QPainter, x: float, y: float) -> None:
        """Draw the lines, and a rule under them."""
        for k, line in enumerate(self._lines):
            self._style.draw(painter, x, y + k * self._style.line, line)
        if self._rule:
            below = y + self.height - 2.0
            painter.setPen(pen(RULE, 1.0))
            painter.drawLine(QLineF(x, below, x + self._width, below))


class Cells:
    """A row of cells side by side, each wrapped within its own width.

    Parameters
    ----------
    cells : sequence of (str, Style, float)
        Text, style and width of each. [px]
    second : Style, optional
        Style of what follows the first line break of a cell; else the cell's own.
    gap : float
        Room between two cells. [px]
    dial : str
        State whose dial stands before the first cell; empty for none.
    ground : str
        Colour under the row; empty for none.
    pad : float
        Room above and below the texts. [px]
    """

    keep = False

    def __init__(
        self,
        cells: Sequence[tuple[str, Style, float]],
        gap: float = 8.0,
        *,
        second: Style | None = None,
        dial: str = "",
        ground: str = "",
        pad: float = 1.0,
    ) -> None:
        self._gap, self._dial, self._ground, self._pad = gap, dial, ground, pad
        self._cells = [
            (_cell_lines(text, style, second or style, wide), wide) for text, style, wide in cells
        ]
        tallest = max(sum(style.line for _, style in lines) for lines, _ in self._cells)
        self.height = tallest + 2.0 * pad
        self.width = sum(wide for _, _, wide in cells) + gap * (len(cells) - 1)

    def draw(self, painter: QPainter, x: float, y: float) -> None:
        """Draw ground, dial and cells."""
        if self._ground:
            painter.fillRect(QRectF(x, y, self.width, self.height), QColor(self._ground))
        left = x
        if self._dial:
            _, first = self._cells[0][0][0]
            painter.save()
            painter.translate(x - 1.6 * DIAL - 2.0, y + self._pad + 0.5 * first.line)
            painter.scale(DIAL_SCALE, DIAL_SCALE)
            draw_dial(painter, 0.0, 0.0, DIAL / DIAL_SCALE, self._dial, LIGHT)
            painter.restore()
        for lines, wide in self._cells:
            below = y + self._pad
            for line, style in lines:
                style.draw(painter, left, below, line)
                below += style.line
            left += wide + self._gap


def _cell_lines(text: str, style: Style, second: Style, room: float) -> list[tuple[str, Style]]:
    first, _, rest = text.partition("\n")
    made = [(line, style) for line in style.lines(first, room)]
    return made + [(line, second) for line in (second.lines(rest, room) if rest else ())]


class Ticked(Cells):
    """A row of cells behind a box to tick."""

    def __init__(self, cells: Sequence[tuple[str, Style, float]], room: float) -> None:
        super().__init__(cells, 6.0, pad=3.0)
        self._room = room

    def draw(self, painter: QPainter, x: float, y: float) -> None:
        """Draw the box, then the cells."""
        painter.setPen(pen(INK, 1.0))
        painter.drawRect(QRectF(x + 1.0, y + 4.0, BOX, BOX))
        super().draw(painter, x + self._room, y)


class Shifted:
    """A block moved to the right."""

    def __init__(self, block: Block, by: float) -> None:
        self._block, self._by = block, by
        self.height, self.keep = block.height, block.keep

    def draw(self, painter: QPainter, x: float, y: float) -> None:
        """Draw the block, moved."""
        self._block.draw(painter, x + self._by, y)


class Beside:
    """Stacks of blocks side by side, filled column after column and as even as can be.

    Parameters
    ----------
    blocks : sequence of Block
        In reading order; each at most as wide as a column. One with ``keep`` stays in the
        column of the next.
    columns : int
        How many.
    width : float
        Width of a column with the gap after it. [px]
    """

    keep = False

    def __init__(self, blocks: Sequence[Block], columns: int, width: float) -> None:
        self._width = width
        self._stacks = even_stacks(blocks, columns)
        self.height = max((sum(b.height for b in stack) for stack in self._stacks), default=0.0)

    def draw(self, painter: QPainter, x: float, y: float) -> None:
        """Draw column after column."""
        for k, stack in enumerate(self._stacks):
            below = y
            for block in stack:
                block.draw(painter, x + k * self._width, below)
                below += block.height


def even_stacks(blocks: Sequence[Block], columns: int) -> list[list[Block]]:
    """Blocks in order, parted into columns whose tallest is as low as can be."""
    low = max((b.height for b in blocks), default=0.0)
    high = sum(b.height for b in blocks) + 1.0
    for _ in range(24):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if len(stacked(blocks, middle)) <= columns else (middle, high)
    return stacked(blocks, high)


def stacked(blocks: Sequence[Block], depth: float) -> list[list[Block]]:
    """Blocks in order on pages or in columns of a depth; a keeper goes with what follows it."""
    stacks: list[list[Block]] = [[]]
    used = 0.0
    for k, block in enumerate(blocks):
        needed = block.height
        after = k
        while blocks[after].keep and after + 1 < len(blocks):
            after += 1
            needed += blocks[after].height
        turns = isinstance(block, Turn)
        if stacks[-1] and (turns or used + needed > depth):
            stacks.append([])
            used = 0.0
        if turns or (isinstance(block, Space) and not stacks[-1]):
            continue
        stacks[-1].append(block)
        used += block.height
    return stacks


class Drawable(Protocol):
    """What draws itself into an area."""

    def draw(self, painter: QPainter, area: QRectF) -> None:
        """Draw into an area."""


class Image:
    """A picture, such as a logo, at a size."""

    keep = False

    def __init__(self, picture: Drawable, width: float, height: float) -> None:
        self._picture, self.width, self.height = picture, width, height

    def draw(self, painter: QPainter, x: float, y: float) -> None:
        """Draw it."""
        area = QRectF(QPointF(x, y), QPointF(x + self.width, y + self.height))
        self._picture.draw(painter, area)
