"""What is reconciled: a table of quantities with what is believed of them, and the model."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from engine_model.compressor.surface import Surface
from engine_model.inputs import Build, Day, Variation
from engine_model.matching import match_many
from engine_model.results import OperatingLine
from engine_model.studies.corrected_pull import driveline_of
from engine_model.unpack import plan_of

Floats = NDArray[np.float64]

NODES: Final = 5
"""Engine speeds at which volumetric efficiency is sought."""

LEVEL, SHAPE, SMOOTH = 0.03, 0.02, 1500.0
"""Volumetric efficiency before the pull: spread of its level and of its shape [-], and engine
speed over which the shape is alike [rpm]; the spread of the table of defaults, else chosen."""

RISE: Final = 100.0
"""Engine speed over which a slip that starts reaches its amount [rpm]; chosen here."""

SLIP_START: Final = (0.70, 0.18, 0.05, 0.95)
"""Where a slip may start, shares of the pull's span: mean, spread, least, most [-]; chosen."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """One thing that a pull may tell.

    Parameters
    ----------
    code : str
        Its name.
    mean, spread : float
        What is believed before the pull; a mean at the bound says small or nothing. [SI]
    low, high : float
        What is possible. [SI]
    drives : tuple of str
        Kinds of drive that have it.
    """

    code: str
    mean: float
    spread: float
    low: float
    high: float
    drives: tuple[str, ...] = ("belt", "free_shaft", "none")


BREATHING, OUTPUT, STEADY, START, AMOUNT = (
    "volumetric_efficiency", "output_factor", "steady_slip", "slip_start", "slip_amount",
)  # fmt: skip
COOLER, LEAK = "cooler_effectiveness", "leak"
CHARGE_OFFSET, DISCHARGE_OFFSET = "charge_sensor_offset", "discharge_sensor_offset"

QUANTITIES: Final = (
    Quantity(BREATHING, 1.0, float(np.hypot(LEVEL, SHAPE)), 0.6, 1.5),
    Quantity(OUTPUT, 1.0, 0.04, 0.6, 1.5),
    Quantity(STEADY, 0.0, 0.015, 0.0, 0.20, ("belt",)),
    Quantity(START, np.nan, np.nan, np.nan, np.nan, ("belt",)),
    Quantity(AMOUNT, 0.0, 0.03, 0.0, 0.30, ("belt",)),
    Quantity(LEAK, 0.0, 0.05, 0.0, 0.40, ("belt", "free_shaft")),
    Quantity(COOLER, np.nan, 0.08, 0.05, 0.98, ("belt", "free_shaft")),
    Quantity(CHARGE_OFFSET, 0.0, np.nan, -15.0, 15.0),
    Quantity(DISCHARGE_OFFSET, 0.0, np.nan, -15.0, 15.0, ("belt", "free_shaft")),
)
"""Quantities in order; spreads chosen here, no source, but for the table of defaults' own."""


@dataclass(frozen=True, slots=True, eq=False)
class Beliefs:
    """What is believed before the pull, one element a sought value.

    Parameters
    ----------
    codes : tuple of str
        Code of each; volumetric efficiency stands once a node.
    node_speeds : ndarray
        Engine speeds of those nodes. [rpm]
    mean, spread, low, high : ndarray
        Means, spreads and what is possible. [SI]
    root, unroot : ndarray
        Lower triangle of the Cholesky factor of the covariance, and its inverse.
    """

    codes: tuple[str, ...]
    node_speeds: Floats
    mean: Floats
    spread: Floats
    low: Floats
    high: Floats
    root: Floats
    unroot: Floats

    def at(self, code: str) -> int:
        """Place of a code; -1 where it is not sought."""
        return self.codes.index(code) if code in self.codes else -1


def beliefs_of(
    build: Build, engine_speed: Floats, channels: tuple[str, ...], offset: float
) -> Beliefs:
    """What is believed of a build before a pull.

    Parameters
    ----------
    build : Build
        The build.
    engine_speed : ndarray
        Engine speeds of the pull. [rpm]
    channels : tuple of str
        Channels that it has.
    offset : float
        Standard deviation of the offset of a temperature sensor. [K]

    Returns
    -------
    Beliefs
        Of everything that the build has.
    """
    low, high = float(np.min(engine_speed)), float(np.max(engine_speed))
    nodes = np.linspace(low, high, NODES)
    own = {
        COOLER: (build.cooler.effectiveness, 0.08, 0.05, 0.98),
        START: tuple(
            low + share * (high - low) if at != 1 else share * (high - low)
            for at, share in enumerate(SLIP_START)
        ),
        CHARGE_OFFSET: (0.0, offset, -15.0, 15.0),
        DISCHARGE_OFFSET: (0.0, offset, -15.0, 15.0),
    }
    needs = {
        COOLER: build.cooler.kind != "none",
        CHARGE_OFFSET: "charge_temperature_k" in channels,
        DISCHARGE_OFFSET: "discharge_temperature_k" in channels,
    }
    codes: list[str] = []
    rows: list[tuple[float, ...]] = []
    for row in QUANTITIES:
        if build.drive.kind not in row.drives or not needs.get(row.code, True):
            continue
        for _ in range(NODES if row.code == BREATHING else 1):
            codes.append(row.code)
            rows.append(own.get(row.code, (row.mean, row.spread, row.low, row.high)))
    mean, spread, least, most = np.array(rows).T
    covariance = np.diag(spread**2)
    apart = nodes[:, None] - nodes[None, :]
    covariance[:NODES, :NODES] = LEVEL**2 + SHAPE**2 * np.exp(-0.5 * (apart / SMOOTH) ** 2)
    covariance[:NODES, :NODES] += 1e-10 * np.eye(NODES)
    root = np.linalg.cholesky(covariance)
    unroot = np.asarray(np.linalg.inv(root), dtype=np.float64)
    return Beliefs(tuple(codes), nodes, mean, spread, least, most, root, unroot)


@dataclass(frozen=True, slots=True, eq=False)
class PullModel:
    """The match along the readings of a pull, at any values of what is sought."""

    build: Build
    day: Day
    surface: Surface | None
    engine_speed: Floats
    beliefs: Beliefs
    weights: Floats
    work_per_fuel: float

    def _one(self, values: Floats, code: str, otherwise: float) -> Floats:
        at = self.beliefs.at(code)
        column = values[:, at] if at >= 0 else np.full(values.shape[0], otherwise)
        return np.asarray(column[:, None])

    def slip(self, values: Floats) -> Floats:
        """Slip beyond creep; axes (case, reading) [-]."""
        steady = self._one(values, STEADY, 0.0)
        if self.beliefs.at(START) < 0:
            return steady + np.zeros(self.engine_speed.size)
        start, amount = self._one(values, START, 0.0), self._one(values, AMOUNT, 0.0)
        risen = np.clip((self.engine_speed - start) / RISE, 0.0, 1.0)
        return steady + amount * risen

    def line(self, values: Floats, slip: Floats | None = None) -> OperatingLine:
        """Lines of cases; axes (case, day, reading)."""
        n = values.shape[0]
        breathing = sum(values[:, at, None] * self.weights[:, at] for at in range(NODES))
        flow = breathing / (1.0 - self._one(values, LEAK, 0.0))
        kind = self.build.drive.kind
        slips = self.slip(values) if slip is None else slip
        shape = (n, 1, self.engine_speed.size)
        cooler = None
        if self.beliefs.at(COOLER) >= 0:
            cooler = np.broadcast_to(self._one(values, COOLER, 0.0)[:, None], shape)
        variation = Variation(
            volumetric_efficiency_factor=flow[:, None],
            slip=slips[:, None] if kind == "belt" else None,
            cooler_effectiveness=cooler,
        )
        return match_many(
            self.build, [self.day], self.engine_speed, variation, surface=self.surface
        )

    def wheel_power(self, values: Floats, line: OperatingLine) -> Floats:
        """Wheel power of lines; axes (case, reading) [W].

        What leaks after the compressor is neither burnt nor fuelled; its share of the exhaust's
        back pressure is left in.
        """
        leak = self._one(values, LEAK, 0.0)
        burnt = line.fuel_flow_kg_s[:, 0] * self.work_per_fuel
        flywheel = line.flywheel_power_w[:, 0] - leak * burnt
        loss, constant = driveline_of(self.build)
        return self._one(values, OUTPUT, 1.0) * (flywheel * (1.0 - loss) - constant)

    def channels(self, values: Floats) -> dict[str, Floats]:
        """Every channel as it would be read; axes (case, reading) [SI]."""
        line = self.line(values)
        return {
            "power_w": self.wheel_power(values, line),
            "manifold_pressure_pa": line.manifold_pressure_pa[:, 0],
            "charge_temperature_k": line.manifold_temperature_k[:, 0]
            + self._one(values, CHARGE_OFFSET, 0.0),
            "discharge_temperature_k": line.discharge_temperature_k[:, 0]
            + self._one(values, DISCHARGE_OFFSET, 0.0),
        }


def node_weights(nodes: Floats, engine_speed: Floats) -> Floats:
    """Weights of the nodes at engine speeds: a natural cubic spline, level beyond its ends.

    Parameters
    ----------
    nodes : ndarray
        Engine speeds of the nodes. [rpm]
    engine_speed : ndarray
        Engine speeds. [rpm]

    Returns
    -------
    ndarray
        Axes (engine speed, node). [-]
    """
    from scipy.interpolate import CubicSpline

    spline = CubicSpline(nodes, np.eye(nodes.size), bc_type="natural")
    return np.asarray(spline(np.clip(engine_speed, nodes[0], nodes[-1])))


def pull_model(
    build: Build, day: Day, surface: Surface | None, engine_speed: Floats, beliefs: Beliefs
) -> PullModel:
    """Model of a pull.

    Parameters
    ----------
    build : Build
        The build.
    day : Day
        The day of the pull.
    surface : Surface or None
        The fitted compressor map.
    engine_speed : ndarray
        Engine speeds of the readings. [rpm]
    beliefs : Beliefs
        What is sought.

    Returns
    -------
    PullModel
        Ready for values.
    """
    plan = plan_of(build, engine_speed[:1])
    weights = node_weights(beliefs.node_speeds, engine_speed)
    return PullModel(build, day, surface, engine_speed, beliefs, weights, float(plan.work_per_fuel))
