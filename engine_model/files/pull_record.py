"""Records of pulls on a dyno: which column is what, the runs, and every row that was refused."""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

LONGEST_KEPT: Final = 200
"""Refused rows kept with their text; the rest are counted."""


@dataclass(frozen=True, slots=True)
class ColumnUse:
    """What one column of a log is taken for.

    Parameters
    ----------
    column : int
        Its place, the first 0.
    header : str
        Its header as written in the file.
    channel : str
        Key of ``CHANNELS`` in :mod:`engine_model.files.pull_channels`.
    unit : str
        Unit of its values, a symbol known to the program.
    basis : str
        ``absolute`` or ``gauge`` for a manifold pressure; ``wheel`` or ``flywheel`` for power and
        torque; ``station`` or ``sea level`` for the ambient pressure; else empty.
    guessed : tuple of str
        What was guessed and not told by the file: any of ``channel``, ``unit``, ``basis``.
    """

    column: int
    header: str
    channel: str
    unit: str
    basis: str = ""
    guessed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PullMapping:
    """How a log with one set of headers is read; a shop's program writes the same set each time.

    Parameters
    ----------
    headers : tuple of str
        The headers as written, in order: the key under which the mapping is remembered.
    uses : tuple of ColumnUse
        Columns that are read, one a channel at most.
    standard : str
        Standard that the log's power is already corrected to, a key of ``STANDARDS`` in
        :mod:`engine_model.dyno.correction`; ``none`` as on the day.
    """

    headers: tuple[str, ...]
    uses: tuple[ColumnUse, ...]
    standard: str = "none"

    def use(self, channel: str) -> ColumnUse | None:
        """Column taken for a channel, if any."""
        return next((one for one in self.uses if one.channel == channel), None)


@dataclass(frozen=True, slots=True)
class PullLayout:
    """What a file looks like before it is read: the mapping step works on this.

    Parameters
    ----------
    name : str
        The file's name.
    encoding : str
        Its text encoding.
    delimiter : str
        What parts its columns.
    decimal : str
        ``.`` or ``,``.
    headers : tuple of str
        Headers as written.
    units : tuple of str
        Units told by headers or a units row, as written; empty where none is told.
    header_row : int
        Row of the headers, the first 1.
    first_row : int
        First row of values, the first 1.
    sample : tuple of tuple of str
        The first rows of values, as written.
    mapping : PullMapping
        The guess, or the mapping remembered for these headers.
    remembered : bool
        Whether the mapping was remembered.
    """

    name: str
    encoding: str
    delimiter: str
    decimal: str
    headers: tuple[str, ...]
    units: tuple[str, ...]
    header_row: int
    first_row: int
    sample: tuple[tuple[str, ...], ...]
    mapping: PullMapping
    remembered: bool = False


@dataclass(frozen=True, slots=True)
class RefusedRow:
    """A row that was not taken.

    Parameters
    ----------
    row : int
        Row of the file, the first 1.
    code : str
        Why: a key of ``REFUSALS`` in :mod:`engine_model.files.pull_channels`.
    given : str
        What stands there, shortened.
    channel : str
        The channel it was refused for; empty where it is the row as a whole.
    """

    row: int
    code: str
    given: str
    channel: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class PullRun:
    """One full-throttle run of a log as measured; nothing in it is smoothed.

    Arrays run over its rows, speed rising; nan where a row has a gap; ``None`` for a channel that
    the log does not have.

    Parameters
    ----------
    number : int
        Which run of the file, the first 1.
    first_row, last_row : int
        Rows of the file it was taken from.
    row : ndarray of int
        Row of the file of each reading.
    engine_speed_rpm : ndarray
        Engine speed. [rpm]
    power_w : ndarray
        Power as the log gives it, or its torque times speed. [W]
    power_basis : str
        ``wheel`` or ``flywheel``.
    time_s : ndarray, optional
        Time. [s]
    manifold_pressure_pa : ndarray, optional
        Manifold pressure, absolute, or gauge where ``manifold_basis`` says so. [Pa]
    manifold_basis : str
        ``absolute`` or ``gauge``.
    charge_temperature_k : ndarray, optional
        Charge temperature, in the manifold. [K]
    discharge_temperature_k : ndarray, optional
        Temperature between compressor and charge cooler. [K]
    mixture : ndarray, optional
        Mixture, lambda. [-]
    throttle : ndarray, optional
        Throttle, 1 wide open. [-]
    ambient_temperature_k : ndarray, optional
        Air of the dyno room. [K]
    ambient_pressure_pa : ndarray, optional
        Its pressure as logged. [Pa]
    relative_humidity : ndarray, optional
        Its relative humidity. [-]
    """

    number: int
    first_row: int
    last_row: int
    row: NDArray[np.int64]
    engine_speed_rpm: Floats
    power_w: Floats
    power_basis: str = "wheel"
    time_s: Floats | None = None
    manifold_pressure_pa: Floats | None = None
    manifold_basis: str = "absolute"
    charge_temperature_k: Floats | None = None
    discharge_temperature_k: Floats | None = None
    mixture: Floats | None = None
    throttle: Floats | None = None
    ambient_temperature_k: Floats | None = None
    ambient_pressure_pa: Floats | None = None
    relative_humidity: Floats | None = None

    def __post_init__(self) -> None:
        for one in fields(self):
            value = getattr(self, one.name)
            if isinstance(value, np.ndarray):
                value.flags.writeable = False

    @property
    def size(self) -> int:
        """Number of its readings."""
        return int(self.engine_speed_rpm.size)

    @property
    def channels(self) -> tuple[str, ...]:
        """Names of the arrays it has, engine speed and row left out."""
        return tuple(
            one.name
            for one in fields(self)
            if isinstance(getattr(self, one.name), np.ndarray)
            and one.name not in ("row", "engine_speed_rpm")
        )


@dataclass(frozen=True, slots=True, eq=False)
class SmoothedRun:
    """A run as drawn: the smoothed beside the raw, and how wide the smoothing is.

    Parameters
    ----------
    raw : PullRun
        As measured.
    shown : PullRun
        With every channel smoothed; the same rows.
    width_rpm : float
        Full width of the smoothing. [rpm]
    width_rows : float
        The same as a median number of readings. [-]
    """

    raw: PullRun
    shown: PullRun
    width_rpm: float
    width_rows: float


@dataclass(frozen=True, slots=True, eq=False)
class Pull:
    """A log as read: its runs and what was refused.

    Parameters
    ----------
    name : str
        The file's name.
    layout : PullLayout
        What the file looks like and how it was read.
    runs : tuple of PullRun
        Its runs in file order.
    rows : int
        Rows of the file, headers and blank rows too.
    taken : int
        Rows of values that were taken.
    outside : int
        Rows taken that belong to no run: idling, coasting, part throttle.
    blank : int
        Blank rows, repeated headers and units rows, passed over.
    refused : tuple of RefusedRow
        The first of the refused rows, in file order.
    refused_count : int
        How many were refused in all.
    gaps : int
        Cells without a value in rows that were taken.
    """

    name: str
    layout: PullLayout
    runs: tuple[PullRun, ...]
    rows: int
    taken: int
    outside: int
    blank: int
    refused: tuple[RefusedRow, ...] = field(default=())
    refused_count: int = 0
    gaps: int = 0
