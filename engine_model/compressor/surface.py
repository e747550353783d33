"""The surface fitted to a traced compressor map, and the look-up that the solvers use.

A point on the surface is named by corrected speed N and by s: 0 at surge, 1 at choke, down to
-1 at 0.6 of the surge flow (-2 at no flow) and up to 2 where the head has fallen to nothing.
Flow over speed, the logarithm of the pressure ratio over speed squared, and efficiency hardly
change with N, so they are tabulated on a regular grid and read by elementwise arithmetic.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine_model.compressor.map_data import CompressorMap

Floats = NDArray[np.float64]

S_LOW, S_HIGH = -2.0, 2.0
S_PER_UNIT = 128
S_NODES = int((S_HIGH - S_LOW) * S_PER_UNIT) + 1
SPEED_NODES = 161
SPEED_REACH = 1.6
"""The grid reaches this far beyond the top traced line [-]; similarity holds further on."""

LEAST_FLOW_SHARE = 0.6
"""Share of the surge flow down to which the head is kept left of surge [-]."""

LEAST_HEAD_SHARE = 1e-3
"""Head and efficiency at s = 2 over those at choke [-]; both fall evenly from s = 1."""

SURGE_BAND = 0.10
"""Largest half-width of the band around the surge flow, as a share of it [-]."""

REGIONS = ("on the map", "below the map", "above the map", "left of surge", "past choke")
ON_MAP, BELOW_MAP, ABOVE_MAP, LEFT_OF_SURGE, PAST_CHOKE = range(5)


@dataclass(frozen=True, slots=True, eq=False)
class Surface:
    """A compressor map fitted for look-up; make it with ``fit_surface``.

    Parameters
    ----------
    compressor_map : CompressorMap
        The traced map it was fitted to.
    flow_table, ratio_table, efficiency_table : ndarray
        Flow/speed [kg/(s rpm)], ln PR/speed^2 [1/rpm^2], efficiency [-], each flattened from
        (speed node, s node).
    surge_table, choke_table : ndarray
        Surge and choke flow over speed at the speed nodes. [kg/(s rpm)]
    speed_step : float
        Spacing of the speed nodes, from zero. [rpm]
    line_speeds : ndarray
        Corrected speeds of the traced lines. [rpm]
    typed_efficiency : float
        Efficiency it was given for a map that carries none. [-]
    """

    compressor_map: CompressorMap
    flow_table: Floats
    ratio_table: Floats
    efficiency_table: Floats
    surge_table: Floats
    choke_table: Floats
    speed_step: float
    line_speeds: Floats
    typed_efficiency: float

    def speed_position(self, corrected_speed: Floats) -> tuple[NDArray[np.intp], Floats]:
        """Row of the grid below a corrected speed [rpm], and the share of the way to the next."""
        position = np.clip(corrected_speed / self.speed_step, 0.0, SPEED_NODES - 1.001)
        row = position.astype(np.intp)
        return row, np.asarray(position - row)

    def look_up(
        self, row: NDArray[np.intp], share: Floats, corrected_speed: Floats, s: Floats
    ) -> tuple[Floats, Floats, Floats]:
        """Flow [kg/s], ln PR [-] and efficiency [-] at a place s of a line.

        Parameters
        ----------
        row, share : ndarray
            From :meth:`speed_position`.
        corrected_speed : ndarray
            Corrected speed. [rpm]
        s : ndarray
            Place along the line. [-] -2 to 2.
        """
        position = (s - S_LOW) * S_PER_UNIT
        column = np.minimum(position.astype(np.intp), S_NODES - 2)
        t = position - column
        a = row * S_NODES
        a += column
        w11 = share * t
        w10 = share - w11
        w01 = t - w11
        w00 = 1.0 - share
        w00 -= w01
        b, c = a + 1, a + S_NODES
        d = c + 1
        out = []
        for table in (self.flow_table, self.ratio_table, self.efficiency_table):
            value = table.take(a, mode="clip")
            value *= w00
            for index, weight in ((b, w01), (c, w10), (d, w11)):
                part = table.take(index, mode="clip")
                part *= weight
                value += part
            out.append(value)
        flow, log_ratio, efficiency = out
        flow *= corrected_speed
        log_ratio *= corrected_speed
        log_ratio *= corrected_speed
        return flow, log_ratio, efficiency

    def _end_flow(self, table: Floats, corrected_speed: ArrayLike) -> Floats:
        n = np.asarray(corrected_speed, dtype=float)
        row, share = self.speed_position(n)
        return np.asarray((table[row] * (1.0 - share) + table[row + 1] * share) * n)

    def surge_flow(self, corrected_speed: ArrayLike) -> Floats:
        """Corrected flow at surge [kg/s] on a line of corrected speed [rpm]."""
        return self._end_flow(self.surge_table, corrected_speed)

    def choke_flow(self, corrected_speed: ArrayLike) -> Floats:
        """Corrected flow at choke [kg/s] on a line of corrected speed [rpm]."""
        return self._end_flow(self.choke_table, corrected_speed)

    def surge_pressure_ratio(self, corrected_speed: ArrayLike) -> Floats:
        """Pressure ratio at surge [-] on a line of corrected speed [rpm]."""
        n = np.atleast_1d(np.asarray(corrected_speed, dtype=float))
        row, share = self.speed_position(n)
        log_ratio = self.look_up(row, share, n, np.zeros_like(n))[1]
        return np.asarray(np.exp(log_ratio)).reshape(np.shape(corrected_speed))

    def surge_uncertainty(self, corrected_speed: ArrayLike) -> Floats:
        """Half-width of the band around the surge flow, as a share of it.

        Parameters
        ----------
        corrected_speed : array_like
            Corrected speed. [rpm]

        Returns
        -------
        ndarray
            0 on a traced line, up to 0.10 half-way between two or beyond the outer ones. [-]

        References
        ----------
        The surge flow of a left-out line of the NASA CC3 maps is missed by about 10 %.
        """
        n = np.asarray(corrected_speed, dtype=float)
        lines = self.line_speeds
        above = np.clip(np.searchsorted(lines, n), 1, lines.size - 1)
        gap = lines[above] - lines[above - 1]
        distance = np.minimum(np.abs(n - lines[above]), np.abs(n - lines[above - 1]))
        return np.asarray(SURGE_BAND * np.minimum(1.0, 2.0 * distance / gap))

    def place_on_line(self, corrected_flow: ArrayLike, corrected_speed: ArrayLike) -> Floats:
        """Place s of a flow on a line, -2 to 1; nan beyond choke.

        Parameters
        ----------
        corrected_flow : array_like
            Corrected flow. [kg/s]
        corrected_speed : array_like
            Corrected speed. [rpm]
        """
        flow, n = np.broadcast_arrays(
            np.asarray(corrected_flow, dtype=float), np.asarray(corrected_speed, dtype=float)
        )
        shape = flow.shape
        flow, n = np.ravel(flow), np.ravel(n)
        row, share = self.speed_position(n)
        low, high = np.full(n.shape, S_LOW), np.full(n.shape, 1.0)
        # the flow along a line is piecewise linear and rising: bisect to one cell, then solve
        for _ in range(9):
            middle = np.round(0.5 * (low + high) * S_PER_UNIT) / S_PER_UNIT
            left = self.look_up(row, share, n, middle)[0] <= flow
            low, high = np.where(left, middle, low), np.where(left, high, middle)
        flow_low = self.look_up(row, share, n, low)[0]
        flow_high = self.look_up(row, share, n, high)[0]
        span = flow_high - flow_low
        part = np.where(span > 0.0, (flow - flow_low) / np.where(span > 0.0, span, 1.0), 0.0)
        s = low + np.clip(part, 0.0, 1.0) * (high - low)
        choke = self.choke_flow(n)
        s = np.where(flow > choke * (1.0 + 1e-9), np.nan, s)
        return np.asarray(np.where(flow < 0.0, np.nan, s)).reshape(shape)

    def _at(self, corrected_speed: Floats, s: Floats) -> tuple[Floats, Floats, Floats]:
        shape = np.broadcast_shapes(np.shape(corrected_speed), np.shape(s))
        n = np.ravel(np.broadcast_to(corrected_speed, shape)).astype(float)
        place = np.ravel(np.broadcast_to(s, shape)).astype(float)
        inside = np.isfinite(place)
        row, share = self.speed_position(n)
        flow, log_ratio, eta = self.look_up(row, share, n, np.where(inside, place, 0.0))
        hidden = [np.where(inside, v, np.nan).reshape(shape) for v in (flow, log_ratio, eta)]
        return hidden[0], hidden[1], hidden[2]

    def line(self, corrected_speed: ArrayLike, s: ArrayLike) -> tuple[Floats, Floats, Floats]:
        """Flow [kg/s], pressure ratio [-] and efficiency [-] along lines of corrected speed."""
        flow, log_ratio, eta = self._at(
            np.asarray(corrected_speed, dtype=float), np.asarray(s, dtype=float)
        )
        return flow, np.asarray(np.exp(log_ratio)), eta

    def pressure_ratio(self, corrected_flow: ArrayLike, corrected_speed: ArrayLike) -> Floats:
        """Pressure ratio [-] at a corrected flow [kg/s] and speed [rpm]; nan beyond choke.

        Left of surge the head is kept down to 0.6 of the surge flow; further left nan.
        """
        return self._read(corrected_flow, corrected_speed, 1)

    def efficiency(self, corrected_flow: ArrayLike, corrected_speed: ArrayLike) -> Floats:
        """Isentropic efficiency [-] at a corrected flow [kg/s] and speed [rpm]."""
        return self._read(corrected_flow, corrected_speed, 2)

    def _read(self, corrected_flow: ArrayLike, corrected_speed: ArrayLike, which: int) -> Floats:
        s = self.place_on_line(corrected_flow, corrected_speed)
        n = np.broadcast_to(np.asarray(corrected_speed, dtype=float), s.shape)
        s = np.where(s < -1.0, np.nan, s)
        value = self._at(n, s)[which]
        return np.asarray(np.exp(value) if which == 1 else value)

    def corrected_speed(self, corrected_flow: ArrayLike, pressure_ratio: ArrayLike) -> Floats:
        """Corrected speed [rpm] of the line through a flow [kg/s] and pressure ratio [-].

        nan where no line within the grid passes; ratios of 1 and below give nan.
        """
        return self.locate(corrected_flow, pressure_ratio)[0]

    def locate(self, corrected_flow: ArrayLike, pressure_ratio: ArrayLike) -> tuple[Floats, Floats]:
        """Corrected speed [rpm] and place s [-] of a point of flow [kg/s] and pressure ratio.

        Past choke (s above 1) the line is the one whose choke flow the flow is.
        """
        flow, ratio = np.broadcast_arrays(
            np.asarray(corrected_flow, dtype=float), np.asarray(pressure_ratio, dtype=float)
        )
        shape = flow.shape
        flow, ratio = np.ravel(flow), np.ravel(ratio)
        good = (flow > 0.0) & (ratio > 1.0) & np.isfinite(flow) & np.isfinite(ratio)
        target = np.log(np.where(good, ratio, 1.5))
        flow_ok = np.where(good, flow, float(self.choke_flow(self.line_speeds[0])))
        # slowest line that still passes the flow: there the head at choke is least
        low = self._speed_of_choke_flow(flow_ok)
        high = np.full_like(low, self.speed_step * (SPEED_NODES - 1.01))
        low = np.minimum(low, high)

        def excess(n: Floats) -> Floats:
            s = self.place_on_line(np.minimum(flow_ok, self.choke_flow(n)), n)
            return np.asarray(self._at(n, np.where(np.isnan(s), 1.0, s))[1] - target)

        past = excess(low) > 0.0
        none = excess(high) < 0.0
        n = _bisect_secant(excess, low, high)
        n = np.where(past, low, n)
        s = self.place_on_line(np.minimum(flow_ok, self.choke_flow(n)), n)
        choke_log = self._at(n, np.ones_like(n))[1]
        # beyond s = 1 the head falls straight to nothing at s = 2
        beyond = 1.0 + np.clip(1.0 - target / choke_log, 0.0, 1.0)
        s = np.where(past, beyond, s)
        hide = ~good | none | (s < -2.0)
        n, s = np.where(hide, np.nan, n), np.where(hide, np.nan, s)
        return n.reshape(shape), s.reshape(shape)

    def _speed_of_choke_flow(self, flow: Floats) -> Floats:
        nodes = np.arange(SPEED_NODES) * self.speed_step
        choke = np.maximum.accumulate(self.choke_table * nodes)
        return np.asarray(np.interp(flow, choke, nodes))

    def classify(
        self, corrected_speed: ArrayLike, s: ArrayLike, judged_above: float = 1.30
    ) -> NDArray[np.int8]:
        """Region of points given by speed [rpm] and place s, as an index into ``REGIONS``.

        Parameters
        ----------
        corrected_speed : array_like
            Corrected speed. [rpm]
        s : array_like
            Place along the line; nan counts as left of surge. [-]
        judged_above : float
            Pressure ratio at surge below which a line harms nothing. [-]
        """
        n, place = np.broadcast_arrays(
            np.asarray(corrected_speed, dtype=float), np.asarray(s, dtype=float)
        )
        region = np.full(n.shape, ON_MAP, dtype=np.int8)
        region[n < self.line_speeds[0] * (1.0 - 1e-9)] = BELOW_MAP
        region[n > self.line_speeds[-1] * (1.0 + 1e-9)] = ABOVE_MAP
        left = ~(place >= -1e-9)
        weak = self.surge_pressure_ratio(n) < judged_above
        region[left & ~weak] = LEFT_OF_SURGE
        region[left & weak & (region != ABOVE_MAP)] = BELOW_MAP
        region[place > 1.0 + 1e-9] = PAST_CHOKE
        return region

    def region(
        self,
        corrected_flow: ArrayLike,
        pressure_ratio: ArrayLike,
        judged_above: float = 1.30,
    ) -> NDArray[np.str_]:
        """Name of the region of a point of corrected flow [kg/s] and pressure ratio [-].

        Empty where either is nan.
        """
        n, s = self.locate(corrected_flow, pressure_ratio)
        # a ratio above every line that the grid holds at this flow is left of all surge points
        ratio = np.broadcast_to(np.asarray(pressure_ratio, dtype=float), n.shape)
        index = self.classify(np.where(np.isnan(n), self.line_speeds[-1], n), s, judged_above)
        index = np.where(np.isnan(n) & (ratio <= 1.0), PAST_CHOKE, index)
        unknown = np.isnan(ratio) | np.isnan(np.broadcast_to(corrected_flow, n.shape))
        return np.asarray(np.where(unknown, "", np.array(REGIONS)[index]))


def _bisect_secant(excess, low: Floats, high: Floats) -> Floats:  # type: ignore[no-untyped-def]
    """Root of a rising function of speed, elementwise, by bisection on the logarithm."""
    for _ in range(52):
        middle = 0.5 * (low + high)
        below = excess(middle) < 0.0
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return 0.5 * (low + high)
