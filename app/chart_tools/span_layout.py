"""Where the rows of a pulley span stand in a plot: labels at the left, bars beside them."""

from __future__ import annotations

from dataclasses import dataclass

from app.chart_tools.canvas import Metrics, font
from app.chart_tools.palette import Palette
from app.present.series_pulleys import SpanBar, SpanSeries

TITLE, SMALL = 12, 10.5
"""Sizes of a limit's title and of a day's name [px]."""

LEAST_PITCH, MOST_PITCH = 11.5, 48.0
"""Height of a bar with the room to the next one, at the usual text [px]."""

GROUP_GAP, EDGE, RIGHT = 5.0, 6.0, 16.0
"""Room between two limits, at the left of the labels, and at the right of the bars [px]."""

HEAD_ROW = 16.0
"""Height of a row of the header, at the usual text [px]."""

LEAST_BARS = 0.45
"""Share of the width that the bars have at least [-]."""


@dataclass(frozen=True, slots=True)
class BarRow:
    """A bar with its place."""

    bar: SpanBar
    top: float
    height: float


@dataclass(frozen=True, slots=True)
class GroupRow:
    """A limit with the place of its bars, and whether a heading stands over it."""

    title: str
    top: float
    bottom: float
    heading: str
    heading_top: float
    bars: tuple[BarRow, ...]


@dataclass(frozen=True, slots=True)
class SpanLayout:
    """Places of everything but the horizontal one, in pixels.

    Parameters
    ----------
    left, width, height : float
        Where the bars begin, and the size of the plot.
    title_room : float
        Width that the titles have of the labels; the rest is the days'.
    head : tuple of float
        Tops of the header's rows: verdict, what is said of it, and more of that.
    pill_top : float
        Top of the present pulley's label.
    shelf_top, rows_top, rows_bottom, quiet_top : float
        The row of the shelf (nan without one), the bars, and the line under them.
    row : float
        Height of a row of text.
    groups : tuple of GroupRow
        The limits.
    """

    left: float
    width: float
    height: float
    title_room: float
    head: tuple[float, float, float]
    pill_top: float
    shelf_top: float
    rows_top: float
    rows_bottom: float
    quiet_top: float
    row: float
    groups: tuple[GroupRow, ...]

    @property
    def right(self) -> float:
        """Where the bars end."""
        return self.width - RIGHT


class SpanFonts:
    """Fonts of the rows in a palette's size of texts."""

    def __init__(self, palette: Palette) -> None:
        self.title = Metrics(font(palette.sized(TITLE)))
        self.bold = Metrics(font(palette.sized(TITLE), bold=True))
        self.small = Metrics(font(palette.sized(SMALL)))


HEADINGS = {"bypass stuck shut": "With the bypass stuck shut"}
"""Headings over the limits of a worst case."""


def label_room(series: SpanSeries, fonts: SpanFonts) -> tuple[float, float]:
    """Widths of the titles and of the days' names [px]."""
    titles = [fonts.title.width(group.title) for group in series.groups]
    days = [fonts.small.width(bar.name) for bar in series.bars]
    return max(titles, default=60.0), max(days, default=40.0)


def _head_rows(series: SpanSeries) -> int:
    """Rows of words, and the row of the present pulley."""
    return 4 if series.allowed else 3


def least_height(series: SpanSeries | None, palette: Palette) -> float:
    """Height that shows every bar with its day's name, the axis not included [px]."""
    if series is None:
        return palette.sized(120.0)
    headings = len({group.case for group in series.groups if group.case in HEADINGS})
    rows = len(series.bars) * palette.sized(LEAST_PITCH)
    gaps = (len(series.groups) + 1) * GROUP_GAP
    more = headings + bool(series.shelf) + 1 + _head_rows(series)
    return rows + gaps + more * palette.sized(HEAD_ROW) + 10.0


def lay_rows(series: SpanSeries, palette: Palette, width: float, height: float) -> SpanLayout:
    """Share a plot's height among the rows."""
    fonts = SpanFonts(palette)
    row = palette.sized(HEAD_ROW)
    titles, days = label_room(series, fonts)
    left = min(EDGE + titles + 10.0 + days + 8.0, (1.0 - LEAST_BARS) * width)
    # where both have no room, the days are cut before the titles
    title_room = min(titles, max(left - EDGE - 18.0 - days, 0.62 * (left - EDGE - 18.0)))
    head = (3.0, 3.0 + row, 3.0 + 2 * row)
    top = 3.0 + _head_rows(series) * row + 3.0
    pill_top = top - row - 1.0
    shelf_top = top if series.shelf else float("nan")
    rows_top = top + (row if series.shelf else 0.0)
    foot = row + 2.0
    cases = [group.case for group in series.groups]
    starts = [case in HEADINGS and case not in cases[:k] for k, case in enumerate(cases)]
    spare = height - rows_top - foot - sum(starts) * row - (len(cases) + 1) * GROUP_GAP
    pitch = spare / max(len(series.bars), 1)
    pitch = max(min(pitch, palette.sized(MOST_PITCH)), 4.0)
    at, groups = rows_top + GROUP_GAP, []
    for group, starts_case in zip(series.groups, starts, strict=True):
        heading, heading_top = "", at
        if starts_case:
            heading = HEADINGS[group.case]
            at += row
        bars = []
        first = at
        for bar in group.bars:
            bars.append(BarRow(bar, at, pitch - 2.0))
            at += pitch
        groups.append(GroupRow(group.title, first, at, heading, heading_top, tuple(bars)))
        at += GROUP_GAP
    return SpanLayout(
        left,
        width,
        height,
        title_room,
        head,
        pill_top,
        shelf_top,
        rows_top,
        at,
        height - foot,
        row,
        tuple(groups),
    )
