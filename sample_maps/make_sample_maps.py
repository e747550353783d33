"""Draw the sample compressor maps of the bench: all invented, all from one small stage model.

Run ``python sample_maps/make_sample_maps.py`` to write the files beside this script, or with
``--check`` to see whether they are what it would write (exit 1 if not). The same bytes come out
every time. What a map holds is the noise-free stage of ``stage_model.py`` (see ``truth``) as a
careful hand would trace it from a print: a paper slightly out of true, a pen that wanders, and
numbers of five figures.
"""

import argparse
import importlib.util
import json
import random
import sys
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np
from contourpy import contour_generator
from shapely import LineString, Point

HERE = Path(__file__).resolve().parent


def _load_stage_model():
    """Load the module beside this one, also where this folder is not on the import path."""
    specification = importlib.util.spec_from_file_location("stage_model", HERE / "stage_model.py")
    module = importlib.util.module_from_spec(specification)
    specification.loader.exec_module(module)
    return module


stage_model = _load_stage_model()

LINE_POINTS = 15
GRID = 181  # of speeds and of flows, for the islands
# root mean squares as shares of an axis; together 0.12 %, at worst about 0.3 %, as a hand trace
PAPER = 0.0010  # slow warp of the whole print, common to every curve
PEN_SLOW = 0.0006  # slow wander of one curve
PEN_FAST = 0.0004  # jitter of one point
TEXT = (
    "Invented. Made by a one-dimensional stage model with chosen losses, then given the noise of "
    "a hand trace; no real compressor stands behind it, and none should be judged by it."
)


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sample map: its stage and what is drawn of it (speeds in rpm, lengths in m)."""

    title: str
    stage: object
    speeds: tuple
    maximum_speed: int
    step_up: float
    levels: tuple
    seed: int


def _stage(exducer, inducer, width, throat, **coefficients):
    common = {
        "backsweep": 40.0,
        "inducer_angle": 58.0,
        "tongue_swirl": 0.50,
        "incidence": 0.60,
        "tongue_incidence": 0.15,
        "friction": 0.155,
        "diffuser_friction": 0.095,
        "recirculation": 7.0e-5,
        "choking": 0.055,
        "shock": 2.2,
        "shock_mach": 0.70,
    }
    return stage_model.Stage(exducer, inducer, width, throat, **(common | coefficients))


FRAME_SPEEDS = (31000, 38000, 45000, 52000, 59000, 66000, 73000, 79000, 85000, 90000)
# one curve a level: no level may lie within what the lowest or the highest line runs through
# between surge and its best point, nor graze the surge line
FRAME_LEVELS = (0.56, 0.62, 0.68, 0.71, 0.73, 0.75, 0.765)
LARGE_LEVELS = (0.56, 0.62, 0.68, 0.71, 0.74, 0.755, 0.765)
# The three trims share the exducer; a larger one has a larger inducer, and the shroud and the
# tongue follow it. Losses differ a little, so that no trim is a scaled copy of another.
SMALL = _stage(0.095, 0.0590, 0.0070, 1.03e-3, inducer_throat=0.72, braking=1.40, shock_mach=0.71)
MIDDLE = _stage(
    0.095, 0.0655, 0.0083, 1.31e-3,
    inducer_throat=0.73, braking=1.24, inducer_angle=57.5, friction=0.15,
)  # fmt: skip
LARGE = _stage(
    0.095, 0.0720, 0.0098, 1.57e-3,
    inducer_throat=0.725, braking=1.12, inducer_angle=57.0, friction=0.14, shock_mach=0.69,
)  # fmt: skip
TURBO = _stage(
    0.052, 0.0412, 0.0062, 0.54e-3,
    inducer_throat=0.75, braking=1.12, inducer_angle=56.0, friction=0.11, backsweep=38.0,
    diffuser_friction=0.08, heat=120.0,
)  # fmt: skip

FRAME = {
    "frame-95-small": Sheet(
        "Bench frame 95, small trim (invented)",
        SMALL, FRAME_SPEEDS, 96000, 3.6, FRAME_LEVELS, 9501,
    ),
    "frame-95-middle": Sheet(
        "Bench frame 95, middle trim (invented)",
        MIDDLE, FRAME_SPEEDS, 96000, 3.6, FRAME_LEVELS, 9502,
    ),
    "frame-95-large": Sheet(
        "Bench frame 95, large trim (invented)",
        LARGE, FRAME_SPEEDS, 96000, 3.6, LARGE_LEVELS, 9503,
    ),
}  # fmt: skip
SHEETS = FRAME | {
    "turbo-52": Sheet(
        "Bench turbo 52, turbocharger compressor (invented)",
        TURBO,
        (58000, 72000, 86000, 100000, 114000, 128000, 142000, 155000, 166000),
        176000, 1.0, (0.52, 0.58, 0.64, 0.69, 0.71, 0.73, 0.75), 5204,
    ),
}  # fmt: skip


def truth(name):
    """Noise-free stage behind a map, by file name with or without its ending.

    It has ``pressure_ratio(flow, speed)``, ``efficiency(flow, speed)``, ``surge_flow(speed)`` and
    ``choke_flow(speed)``; flows in kg/s, speeds in rpm.
    """
    return stage_model.Truth(SHEETS[name.removesuffix(".map.json")].stage)


class Hand:
    """Hand that traces a print: where a true point ends up on the digitised map."""

    def __init__(self, seed, flow_span, pressure_ratio_span):
        # random.Random.random is promised to repeat on every version and machine
        self._draw = random.Random(seed).random
        self.span = np.array([flow_span, pressure_ratio_span])
        self._waves = [[self._wave(0.4, 1.0) for _ in range(3)] for _ in range(2)]

    def _wave(self, low, high):
        turns = [low + (high - low) * self._draw() for _ in range(2)]
        return turns[0], turns[1], 2.0 * np.pi * self._draw()

    def paper(self, points):
        """Points moved by the warp of the print."""
        x, y = (np.asarray(points) / self.span).T
        moves = [
            sum(np.sin(2.0 * np.pi * (a * x + b * y) + phase) for a, b, phase in waves)
            for waves in self._waves
        ]
        return points + PAPER * (2.0 / 3.0) ** 0.5 * np.column_stack(moves) * self.span

    def pen(self, points, freedom):
        """Points moved by the pen; `freedom` (0 to 1) scales the move of each of them."""
        place = np.arange(len(points)) / len(points)
        moves = []
        for _ in range(2):
            slow = np.zeros(len(points))
            for turns in (1, 2, 3):
                slow += np.sin(2.0 * np.pi * (turns * place + self._draw())) / 1.5**0.5
            fast = np.array([2.0 * self._draw() - 1.0 for _ in place]) * 3.0**0.5
            moves.append(PEN_SLOW * slow + PEN_FAST * fast)
        return points + np.column_stack(moves) * self.span * np.asarray(freedom)[:, None]


def _figures(value):
    """Round to five significant figures."""
    return float(f"{value:.5g}")


def _along(points, measure, share):
    """Points at shares (0 to 1) of a cumulative measure along a finely drawn curve."""
    measure = measure / measure[-1]
    return np.column_stack([np.interp(share, measure, column) for column in points.T])


def _true_line(stage_truth, speed):
    """Fine points of a speed line from surge to its end, and fifteen evenly along it."""
    surge, choke = stage_truth.surge_flow(speed), stage_truth.choke_flow(speed)
    flow = surge + (choke - surge) * (1.0 - (1.0 - np.linspace(0.0, 1.0, 1501)) ** 3)
    fine = np.column_stack([flow, stage_truth.pressure_ratio(flow, speed)])
    scaled = fine / np.ptp(fine, axis=0)
    length = np.concatenate([[0.0], np.hypot(*np.diff(scaled, axis=0).T).cumsum()])
    return fine, _along(fine, length, np.linspace(0.0, 1.0, LINE_POINTS))


def _settle(points):
    """Speed line without the steps back a careful hand would not leave.

    The flow never falls, and the pressure ratio falls from its highest point on.
    """
    points = np.array([[_figures(value) for value in point] for point in points])
    for last, point in pairwise(points):
        point[0] = _figures(max(point[0], last[0] + 1e-5))
    top = int(np.argmax(points[:4, 1]))
    for index in range(1, len(points)):
        last, present = points[index - 1, 1], points[index, 1]
        bound = max(present, last + 1e-4) if index <= top else min(present, last - 1e-4)
        points[index, 1] = _figures(bound)
    return points


def _true_islands(stage_truth, sheet):
    """Contours of efficiency over the region of the map: (level, closed, fine points)."""
    speed = np.linspace(sheet.speeds[0], sheet.speeds[-1], GRID)
    surge, choke = stage_truth.surge_flow(speed), stage_truth.choke_flow(speed)
    share = 1.0 - (1.0 - np.linspace(0.0, 1.0, GRID)) ** 2
    flow = surge[:, None] + (choke - surge)[:, None] * share
    pressure_ratio = stage_truth.pressure_ratio(flow, speed[:, None])
    efficiency = stage_truth.efficiency(flow, speed[:, None])
    contours = contour_generator(x=flow, y=pressure_ratio, z=efficiency)
    islands = []
    for level in sheet.levels:
        pieces = contours.lines(level)
        if len(pieces) != 1:
            raise ValueError(f"{sheet.title}: level {level} is drawn in {len(pieces)} pieces")
        points = pieces[0]
        closed = bool(np.array_equal(points[0], points[-1]))
        if closed:  # counter-clockwise from its rightmost point
            points = np.roll(points[:-1], -int(np.argmax(points[:-1, 0])), axis=0)
            points = np.vstack([points, points[:1]])
            x, y = points.T
            if np.sum(x[:-1] * y[1:] - x[1:] * y[:-1]) < 0.0:
                points = points[::-1]
        elif points[0, 1] > points[-1, 1]:  # from its lower end
            points = points[::-1]
        islands.append((level, closed, points))
    return islands


def _island_points(points, closed, span):
    """Few points of an island: evenly along it, closer where it turns."""
    steps = np.diff(points / span, axis=0)
    length = np.hypot(*steps.T)
    heading = np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))
    turn = np.convolve(np.abs(np.gradient(heading)), np.ones(9) / 9.0, mode="same")
    weight = length / length.sum() + 0.8 * turn / (2.0 * np.pi)
    count = int(np.clip(round(20 + 12 * length.sum()), 20, 36))
    share = np.linspace(0.0, 1.0, count + 1)[:-1] if closed else np.linspace(0.0, 1.0, count)
    return _along(points, np.concatenate([[0.0], weight.cumsum()]), share)


def _freedom(points, others, span):
    """How far the pen may wander at each point (0 to 1) without reaching another curve."""
    curves = [LineString(other / span) for other in others]
    room = [min(curve.distance(Point(point / span)) for curve in curves) for point in points]
    return np.clip(0.2 * np.array(room) / (2.0 * (PEN_SLOW + PEN_FAST)), 0.0, 1.0)


def draw(sheet):
    """Digitised map of one sheet, as the plain content of its file."""
    stage_truth = stage_model.Truth(sheet.stage)
    lines = [_true_line(stage_truth, speed) for speed in sheet.speeds]
    everything = np.vstack([fine for fine, _ in lines])
    hand = Hand(sheet.seed, *np.ptp(everything, axis=0))
    traced = [_settle(hand.pen(hand.paper(few), np.ones(LINE_POINTS))) for _, few in lines]

    speeds = np.linspace(sheet.speeds[0], sheet.speeds[-1], 201)
    surge = stage_truth.surge_flow(speeds)
    surge_curve = np.column_stack([surge, stage_truth.pressure_ratio(surge, speeds)])
    border = [surge_curve, lines[0][0], lines[-1][0]]
    islands = _true_islands(stage_truth, sheet)
    drawn = []
    for level, closed, fine in islands:
        few = _island_points(fine, closed, hand.span)
        others = border + [other for _, _, other in islands if other is not fine]
        points = hand.pen(hand.paper(few), _freedom(few, others, hand.span))
        drawn.append({"efficiency": level, "closed": closed, "points": _plain(points)})

    return {
        "format": "pulleywright-map",
        "version": 1,
        "title": sheet.title,
        "provenance": {"kind": "invented", "text": TEXT, "date": "2026-11-24"},
        "reference": {"temperature_k": 298.15, "pressure_pa": 100000},
        "pressure_basis": "total_to_total",
        "impeller": {
            "exducer_diameter_m": sheet.stage.exducer_diameter,
            "inducer_diameter_m": sheet.stage.inducer_diameter,
            "maximum_speed_rpm": sheet.maximum_speed,
        },
        "built_in_step_up": sheet.step_up,
        "speed_lines": [
            {"corrected_speed_rpm": speed, "points": _plain(points)}
            for speed, points in zip(sheet.speeds, traced, strict=True)
        ],
        "islands": drawn,
        "surge_line": _plain([points[0] for points in traced]),
        "choke_line": _plain([points[-1] for points in traced]),
    }


def _plain(points):
    return [[_figures(value) for value in point] for point in points]


def _layout(value, depth=0):
    """JSON text with one point, or one plain value, a line."""
    if isinstance(value, dict):
        rows = [f"{json.dumps(key)}: {_layout(item, depth + 1)}" for key, item in value.items()]
        brackets = "{}"
    elif isinstance(value, list) and value and isinstance(value[0], (list, dict)):
        rows = [_layout(item, depth + 1) for item in value]
        brackets = "[]"
    else:
        return json.dumps(value)
    inner = ",\n".join(" " * (depth + 1) + row for row in rows)
    return f"{brackets[0]}\n{inner}\n{' ' * depth}{brackets[1]}"


def frame_maps():
    """Texts of the three trims of the frame, by file name."""
    return {f"{name}.map.json": _layout(draw(sheet)) + "\n" for name, sheet in FRAME.items()}


def all_maps():
    """Texts of every sample map, by file name."""
    return {f"{name}.map.json": _layout(draw(sheet)) + "\n" for name, sheet in SHEETS.items()}


def main(arguments=None):
    """Write the files, or with ``--check`` compare them; the exit code."""
    parser = argparse.ArgumentParser(description="Draw the invented sample compressor maps.")
    parser.add_argument("--check", action="store_true", help="compare, write nothing")
    check = parser.parse_args(arguments).check
    differing = 0
    for name, text in all_maps().items():
        path = HERE / name
        if not check:
            path.write_bytes(text.encode("utf-8"))
            print(f"{name}: {len(text)} bytes")
        elif not path.exists() or path.read_bytes() != text.encode("utf-8"):
            differing = 1
            print(f"{name} differs from what this script draws", file=sys.stderr)
    return differing


if __name__ == "__main__":
    sys.exit(main())
