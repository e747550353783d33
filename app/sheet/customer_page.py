"""The first page: what the customer is told."""

from __future__ import annotations

from PySide6.QtGui import QPainter

from app.present.cautions import CAUTIONS
from app.present.sheet_ledger import LedgerPart, ledger_parts
from app.present.sheet_words import (
    BASES,
    BASIS_NOTES,
    BASIS_TITLES,
    MARKS,
    NO_MAP,
    SheetSource,
    built_rows,
    power_rows,
    power_words,
)
from app.sheet.blocks import Beside, Block, Cells, Image, Lines, Shifted, Space
from app.sheet.paper import Paper
from app.sheet.pictures import DrawnChart, Logo, map_chart, power_chart
from app.sheet.text import Styles

LOGO_HEIGHT, LOGO_WIDTH = 44.0, 170.0
"""Most room of a logo [px]."""

MAP_SHARE = 0.575
"""Share of the width that the compressor map takes [-]."""

LOWEST_CHARTS, TALLEST_CHARTS = 215.0, 340.0
"""Least and greatest height of the charts [px]."""

LONG_TITLE = 2
"""Lines of a title from which its letters are smaller."""

SHADE = "#eef1f4"
"""Ground of the heads of tables: light enough for any printer."""

INDENT = 14.0
"""Room of a dial before its words [px]."""

GUTTER = 18.0
"""Room between columns [px]."""


class Header:
    """Shop, logo and date over the title of the build."""

    keep = False

    def __init__(self, source: SheetSource, styles: Styles, width: float) -> None:
        logo = Logo(source.logo)
        self._logo: Image | None = None
        if logo.ratio:
            tall = min(LOGO_HEIGHT, LOGO_WIDTH / logo.ratio)
            self._logo = Image(logo, tall * logo.ratio, tall)
        beside = 0.0 if self._logo is None else self._logo.width + GUTTER
        room = width - beside
        shop = source.shop or source.build.shelf.shop
        date = source.written_on.isoformat()
        title = styles.title
        if len(title.lines(source.build.title, room)) > LONG_TITLE:
            title = styles.long_title
        self._rows: list[Block] = [
            Lines(f"{shop}   Build sheet, {date}" if shop else f"Build sheet, {date}",
                  styles.strong, room),
            Lines(source.build.title, title, room),
        ]  # fmt: skip
        if source.build.invented:
            words = "Invented sample: no real engine, part or car."
            self._rows.append(Lines(words, styles.body, room))
        self._left = width - (0.0 if self._logo is None else self._logo.width)
        self.height = sum(row.height for row in self._rows)
        if self._logo is not None:
            self.height = max(self.height, self._logo.height)

    def draw(self, painter: QPainter, x: float, y: float) -> None:
        """Draw the rows, the logo at the right."""
        below = y
        for row in self._rows:
            row.draw(painter, x, below)
            below += row.height
        if self._logo is not None:
            self._logo.draw(painter, x + self._left, y)


def customer_page(
    source: SheetSource, styles: Styles, paper: Paper
) -> tuple[list[Block], list[DrawnChart]]:
    """Blocks of the first page, and the charts among them, to be closed by the caller.

    The charts take what height the words leave of the page.
    """
    width = paper.room
    above: list[Block] = [Header(source, styles, width), Space(5.0)]
    above += [*_built(source, styles, width), Space(6.0), *_power(source, styles, width)]
    below: list[Block] = [Space(4.0), *_ledger(source, styles, width), Space(4.0)]
    below.append(Lines(CAUTIONS["general"], styles.small_strong, width))
    spare = paper.depth - sum(block.height for block in (*above, *below)) - 6.0
    height = min(max(spare, LOWEST_CHARTS), TALLEST_CHARTS)
    charts, row = _charts(source, styles, width, height)
    return [*above, Space(5.0), row, *below], charts


def _built(source: SheetSource, styles: Styles, width: float) -> list[Block]:
    label = 92.0
    rows: list[Block] = [Lines("What was built", styles.heading, width, keep=True, rule=True)]
    rows += [
        Cells([(row.label, styles.strong, label), (row.text, styles.body, width - label - 8.0)])
        for row in built_rows(source.build, source.units)
    ]
    return [*rows, Lines(MARKS, styles.quiet, width)]


def _power(source: SheetSource, styles: Styles, width: float) -> list[Block]:
    gap, title = 10.0, 74.0
    figure = 0.235 * width
    note = width - title - 2.0 * figure - 3.0 * gap
    heads = [(BASIS_TITLES[basis], styles.lead, figure) for basis in BASES]
    notes = [(BASIS_NOTES[basis], styles.small, figure) for basis in BASES]
    blank, said = ("", styles.small, title), "Standard and day"
    rows: list[Block] = [
        Lines("Power", styles.heading, width, keep=True, rule=True),
        Cells([blank, *heads, (said, styles.lead, note)], gap, ground=SHADE, pad=2.0),
        Cells([blank, *notes, ("", styles.small, note)], gap, ground=SHADE, pad=1.0),
    ]
    for row in power_rows(source):
        cells = [(row.title, styles.lead, title)]
        for text, under in zip(row.cells, row.under, strict=True):
            style = styles.figure if text[:1].isdigit() else styles.body
            cells.append((f"{text}\n{under}" if under else text, style, figure))
        note_cell = (row.note, styles.small, note)
        rows.append(Cells([*cells, note_cell], gap, second=styles.small, pad=3.0))
    return [*rows, *(Lines(words, styles.small_strong, width) for words in power_words(source))]


class _Pair:
    """Two blocks side by side."""

    keep = False

    def __init__(self, first: Block, second: Block, left: float) -> None:
        self._first, self._second, self._left = first, second, left
        self.height = max(first.height, second.height)

    def draw(self, painter: QPainter, x: float, y: float) -> None:
        """Draw both."""
        self._first.draw(painter, x, y)
        self._second.draw(painter, x + self._left, y)


def _charts(
    source: SheetSource, styles: Styles, width: float, height: float
) -> tuple[list[DrawnChart], Block]:
    left = MAP_SHARE * width
    drawn = map_chart(source, left, height)
    if drawn is None:
        power = power_chart(source, width, height - 18.0)
        return [power], _Stack([Lines(NO_MAP, styles.body, width), power])
    power = power_chart(source, width - left - 4.0, height)
    return [drawn, power], _Pair(drawn, power, left + 4.0)


class _Stack:
    """Blocks below each other as one."""

    keep = False

    def __init__(self, blocks: list[Block]) -> None:
        self._blocks = blocks
        self.height = sum(block.height for block in blocks)

    def draw(self, painter: QPainter, x: float, y: float) -> None:
        """Draw one after the other."""
        for block in self._blocks:
            block.draw(painter, x, y)
            y += block.height


def _ledger(source: SheetSource, styles: Styles, width: float) -> list[Block]:
    parts = ledger_parts(source.worst, source.build, source.units)
    days = "day" if len(source.days) == 1 else "days"
    head = f"Ledger: every limit on its worst day, of the {days} {', '.join(source.days)}"
    column = 0.5 * (width - GUTTER)
    blocks: list[Block] = []
    for part in parts:
        blocks += _part(part, styles, column) if part.rows else []
    told = [row for part in parts for row in part.rows if row.state in ("over", "close")]
    told.sort(key=lambda row: row.state != "over")
    rows: list[Block] = [
        Lines(head, styles.heading, width, keep=True, rule=True),
        Beside(blocks, 2, column + GUTTER),
        Space(3.0),
    ]
    lines = []
    for row in told:
        name = f"{row.title}, {row.day}" if row.day else row.title
        lines.append((row.state, f"{name}: {row.words}."))
    unjudged = [name for part in parts for name in part.unjudged]
    if unjudged:
        lines.append(("blank", f"Blank, not judged: {', '.join(unjudged)}."))
    for state, text in lines:
        cell = Cells([(text, styles.small, width - INDENT)], dial=state, pad=0.5)
        rows.append(Shifted(cell, INDENT))
    return rows


def _part(part: LedgerPart, styles: Styles, width: float) -> list[Block]:
    told = 150.0
    name = width - told - INDENT - 4.0
    rows: list[Block] = [Lines(part.title, styles.small_strong, width, keep=True)]
    for row in part.rows:
        text = f"{row.used}, {row.day.removesuffix(' day')}" if row.day else row.used
        style = styles.small_strong if row.state == "over" else styles.small
        cells = [(row.title, styles.small, name), (text, style, told)]
        rows.append(Shifted(Cells(cells, 4.0, dial=row.state, pad=0.5), INDENT))
    return rows
