"""Records of a reconciliation: what is known of the build after a pull, and how well."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

from engine_model.default_row import Value
from engine_model.inputs import Build, Day

Floats = NDArray[np.float64]

INTERVAL: Final = 1.959964
"""Standard errors either side of a 95 % interval, of the normal distribution."""


@dataclass(frozen=True, slots=True)
class Noise:
    """How far readings may be trusted.

    Parameters
    ----------
    power : float
        Standard deviation of a reading of power, share of it. [-]
    pressure : float
        Of a manifold pressure. [Pa]
    temperature : float
        Of a temperature. [K]
    correlation_rows : float
        Readings over which noise is alike: its correlation falls by e over so many. [-]
    temperature_bias : float
        Standard deviation of the offset that one temperature sensor keeps. [K]
    """

    power: float = 0.007
    pressure: float = 1000.0
    temperature: float = 1.5
    correlation_rows: float = 20.0
    temperature_bias: float = 2.0


@dataclass(frozen=True, slots=True)
class Known:
    """One reconciled value.

    Parameters
    ----------
    code : str
        Its name: a key of ``QUANTITIES`` in :mod:`engine_model.studies.reconcile_model`.
    value : float
        The estimate. [SI]
    standard_error : float
        Its standard error. [SI]
    low, high : float
        Its 95 % interval, within what is possible. [SI]
    prior, prior_error : float
        What was believed before the pull. [SI]
    engine_speed_rpm : float
        Where it belongs to a speed; else nan. [rpm]
    told : float
        How much of the answer is the pull's rather than the prior's: 1 less the ratio of the
        variances after and before. [-] 0-1
    """

    code: str
    value: float
    standard_error: float
    low: float
    high: float
    prior: float
    prior_error: float
    engine_speed_rpm: float
    told: float


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """One thing that the pull says; the words are the application's.

    Parameters
    ----------
    code : str
        Stable name.
    weight : str
        ``fault``, ``note`` or ``untold`` (what the data cannot tell).
    numbers : tuple of (str, float)
        Numbers to tell, SI, the unit in the name.
    """

    code: str
    weight: str
    numbers: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Change:
    """A value to put into the build.

    Parameters
    ----------
    path : str
        The input.
    value : Value
        Its new value. [SI]
    was : Value
        What the build has now; ``None`` where derived. [SI]
    provenance : str
        Where it comes from: the pull's name and date of reading are the caller's to add.
    """

    path: str
    value: Value
    was: Value
    provenance: str


@dataclass(frozen=True, slots=True, eq=False)
class FittedLine:
    """Lines of expected, measured and fitted over the readings; nan where not measured.

    Parameters
    ----------
    engine_speed_rpm : ndarray
        Engine speeds. [rpm]
    measured, expected, fitted : dict of str to ndarray
        By channel: ``power_w`` (wheel), ``manifold_pressure_pa``, ``charge_temperature_k``,
        ``discharge_temperature_k``. Expected is the build as it stands, on the day of the pull.
    """

    engine_speed_rpm: Floats
    measured: dict[str, Floats]
    expected: dict[str, Floats]
    fitted: dict[str, Floats]


@dataclass(frozen=True, slots=True)
class IfBeltHolds:
    """The build with what was reconciled, its belt not slipping: what every limit must stand.

    Parameters
    ----------
    engine_speed_rpm : float
        Engine speed of its greatest boost. [rpm]
    boost_gauge_pa, boost_slipping_pa : float
        Boost there without slip and as found. [Pa gauge]
    impeller_speed_rpm, impeller_slipping_rpm : float
        Greatest impeller speed without slip and as found. [rpm]
    wheel_power_w, wheel_power_slipping_w : float
        Greatest wheel power without slip and as found. [W]
    """

    engine_speed_rpm: float
    boost_gauge_pa: float
    boost_slipping_pa: float
    impeller_speed_rpm: float
    impeller_slipping_rpm: float
    wheel_power_w: float
    wheel_power_slipping_w: float


@dataclass(frozen=True, slots=True, eq=False)
class Reconciled:
    """What a pull says about a build.

    Parameters
    ----------
    build : Build
        The build as it stood.
    day : Day
        The day of the pull.
    channels : tuple of str
        Channels that were used.
    readings : int
        Readings used.
    known : tuple of Known
        Every reconciled value.
    told_apart : tuple of str
        Codes of pairs that the data tell apart.
    not_told_apart : tuple of str
        Codes of pairs that they cannot.
    diagnosis : tuple of Diagnosis
        What it means, the gravest first.
    changes : tuple of Change
        What to put into the build; never a slip.
    line : FittedLine
        Measured, expected and fitted.
    misfit : float
        Weighted residual of a reading after the fit, about 1 where the noise is as stated. [-]
    if_belt_holds : IfBeltHolds or None
        Given where a belt slips.
    noise : Noise
        What was taken for the noise.
    """

    build: Build
    day: Day
    channels: tuple[str, ...]
    readings: int
    known: tuple[Known, ...]
    told_apart: tuple[str, ...]
    not_told_apart: tuple[str, ...]
    diagnosis: tuple[Diagnosis, ...]
    changes: tuple[Change, ...]
    line: FittedLine
    misfit: float
    if_belt_holds: IfBeltHolds | None = None
    noise: Noise = field(default_factory=Noise)

    def value(self, code: str) -> Known | None:
        """One value by its code, if there."""
        return next((one for one in self.known if one.code == code), None)
