"""Panels of curves ready to draw: what the time, valve and choke charts of surge share."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.present.series_csv import Columns, csv_text

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class PanelCurve:
    """A curve of a panel.

    Parameters
    ----------
    x, y : ndarray
        Points in display units; nan parts it.
    look : str
        Key of its stroke: ``main``, ``second``, ``ghost``, ``ghost second``, ``estimate``;
        ``readings`` are points that no line joins.
    name : str
        What it is, in the key; empty for what the key leaves out.
    """

    x: Floats
    y: Floats
    look: str = "main"
    name: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Spread:
    """A band between two curves.

    Parameters
    ----------
    x, low, high : ndarray
        Points in display units, without nan.
    """

    x: Floats
    low: Floats
    high: Floats


@dataclass(frozen=True, slots=True)
class Upright:
    """An upright line with its words, at its right or, where there is room, at its left."""

    x: float
    words: str
    left: bool = False


@dataclass(frozen=True, slots=True)
class Level:
    """A level line with its words."""

    y: float
    words: str


@dataclass(frozen=True, slots=True, eq=False)
class Panel:
    """One plot of several.

    Parameters
    ----------
    title : str
        What it shows, with the unit.
    curves : tuple of PanelCurve
        Its curves.
    x_range, y_range : tuple of float
        Ranges in display units.
    x_words : str
        Words under it; shown on the lowest of a column.
    uprights : tuple of Upright
        Upright lines.
    levels : tuple of Level
        Level lines.
    dots : bool
        Whether the points of the main curve are shown as dots.
    decimals : int
        Digits of a value read at the cursor.
    spreads : tuple of Spread
        Bands under the curves.
    """

    title: str
    curves: tuple[PanelCurve, ...]
    x_range: tuple[float, float]
    y_range: tuple[float, float]
    x_words: str = ""
    uprights: tuple[Upright, ...] = ()
    levels: tuple[Level, ...] = ()
    dots: bool = False
    decimals: int = 2
    spreads: tuple[Spread, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class PanelSeries:
    """Panels of one chart.

    Parameters
    ----------
    panels : tuple of Panel
        In reading order.
    spoken : str
        What the chart says to who cannot see it.
    key : tuple of (str, str)
        Looks of strokes that mean the same in every panel, with their words.
    """

    panels: tuple[Panel, ...]
    spoken: str
    key: tuple[tuple[str, str], ...] = ()


def number(value: float) -> str:
    """A number in a table of numbers; nothing for nan."""
    return f"{value:.7g}" if np.isfinite(value) else ""


def columns_csv(columns: Sequence[tuple[str, Floats]], about: Columns = ()) -> str:
    """CSV text of columns of one length.

    Parameters
    ----------
    columns : sequence of (str, ndarray)
        Names with units, and values.
    about : sequence of (str, str)
        Columns at the end that say the same in every row.
    """
    rows = zip(*(values.tolist() for _, values in columns), strict=True)
    texts = ([number(value) for value in row] for row in rows)
    return csv_text([name for name, _ in columns], texts, about)
