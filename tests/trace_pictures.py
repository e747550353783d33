"""Pictures of compressor maps with known truth, and traces of them as a user would make them.

The truth is what the samples' drawing code put on the page: its own homography and its own fine
curves, none of it from the model. A user's clicks are truth moved by a normal jitter.
"""

from __future__ import annotations

import functools
import importlib.util
import sys
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import shapely

from engine_model.digitise.axes import Calibration
from engine_model.digitise.clean import prepare
from engine_model.digitise.corners import snap_to_crossing
from engine_model.digitise.ink import follow_curve
from engine_model.digitise.straighten import straighten
from engine_model.digitise.thin import thinned

FOLDER = Path(__file__).resolve().parents[1] / "sample_maps"
JITTER = 1.5  # of a click [pixel]
SAMPLED = 300  # places an error is measured at, on either curve


def script(name):
    """A module of the samples' folder, which is no package."""
    if name not in sys.modules:
        specification = importlib.util.spec_from_file_location(name, FOLDER / f"{name}.py")
        module = importlib.util.module_from_spec(specification)
        sys.modules[name] = module
        specification.loader.exec_module(module)
    return sys.modules[name]


draw = script("draw_pictures")
SMALL, MIDDLE, LARGE = "frame-95-small", "frame-95-middle", "frame-95-large"
TURBO = "turbo-52"
COLOUR, GREY = draw.COLOUR, draw.GREY
LABELLED = replace(COLOUR, breaking_labels=True)
DASHED = replace(GREY, breaking_labels=True, island_dash=14.0)


@functools.lru_cache(maxsize=4)
def printed(sample, style):
    """A print of a sample map in a style."""
    return draw.draw_print(draw.read_record(sample), style)


def photo(picture, tilt, **weather):
    """A photograph of a print."""
    return draw.weathered(draw.tilted(picture, tilt), **weather)


PHOTO = {"blur": 0.9, "light": 0.4, "noise": 6.0, "quality": 60}
# name -> (sample map, how it is drawn)
VARIANTS = {
    "colour": (MIDDLE, lambda: printed(MIDDLE, COLOUR)),
    "colour, no grid": (SMALL, lambda: printed(SMALL, replace(COLOUR, grid=None))),
    "colour, labels, marks": (TURBO, lambda: printed(TURBO, replace(LABELLED, marks=True))),
    "colour, JPEG": (MIDDLE, lambda: draw.weathered(printed(MIDDLE, COLOUR), quality=35)),
    "colour, rotated": (LARGE, lambda: draw.turned(printed(LARGE, COLOUR), 3.0)),
    "colour, perspective": (SMALL, lambda: draw.tilted(printed(SMALL, LABELLED))),
    "colour, photo": (SMALL, lambda: photo(printed(SMALL, LABELLED), 1.3, **PHOTO)),
    "grey": (SMALL, lambda: printed(SMALL, GREY)),
    "grey, no grid, dashed": (
        LARGE,
        lambda: printed(LARGE, replace(GREY, grid=None, island_dash=14.0)),
    ),
    "grey, labels, all dashed": (MIDDLE, lambda: printed(MIDDLE, replace(DASHED, surge_dash=18.0))),
    "grey, labels, rotated": (
        MIDDLE,
        lambda: draw.turned(printed(MIDDLE, replace(GREY, breaking_labels=True)), -4.0),
    ),
    "grey, perspective, blur": (LARGE, lambda: photo(printed(LARGE, GREY), 1.0, blur=1.2)),
    "grey, labels, noise, JPEG": (
        TURBO,
        lambda: draw.weathered(
            printed(TURBO, replace(GREY, breaking_labels=True)), noise=8.0, quality=50
        ),
    ),
    "grey, dashed, photo": (MIDDLE, lambda: photo(printed(MIDDLE, DASHED), -1.0, **PHOTO)),
}


@functools.lru_cache(maxsize=2)
def variant(name):
    """Picture of a variant."""
    return VARIANTS[name][1]()


def pixels(picture):
    """A picture as an array."""
    return np.asarray(picture.image.convert("RGB"))


def clicked_calibration(picture, draw_of):
    """Calibration from four corners clicked with a jitter and snapped to the frame."""
    corners = []
    for corner in picture.to_pixels(picture.corners()):
        click = corner + draw_of.normal(0.0, JITTER, 2)
        snapped = snap_to_crossing(pixels(picture), click)
        corners.append(click if snapped is None else snapped)
    return Calibration(corners, picture.corners())


def prepared(name, seed=0):
    """Picture, calibration, straightened picture and ink of a variant."""
    return _prepared(name, seed)


@functools.lru_cache(maxsize=1)  # large; what is measured on it is kept
def _prepared(name, seed):
    picture = variant(name)
    calibration = clicked_calibration(picture, np.random.default_rng(seed))
    straight = straighten(pixels(picture), calibration)
    return picture, calibration, straight, prepare(straight)


def spans(picture):
    """What the axes span: flow, pressure ratio."""
    return np.ptp(np.array(picture.limits), axis=1)


def click_values(picture, curve, count):
    """Values a user clicks on: the ends and between, on an island also where it turns."""
    points = curve.points / spans(picture)
    steps = np.diff(points, axis=0)
    measure = np.hypot(*steps.T)
    measure = measure / measure.sum()
    if curve.kind == "island":
        heading = np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))
        measure = measure + np.abs(np.gradient(heading)) / (2.0 * np.pi)
    place = np.concatenate([[0.0], np.cumsum(measure)])
    share = np.linspace(0.0, 1.0, count + 1)[:-1] if curve.closed else np.linspace(0.0, 1.0, count)
    return np.column_stack(
        [np.interp(share * place[-1], place, column) for column in curve.points.T]
    )


@dataclass(frozen=True, slots=True)
class Traced:
    """One traced curve: what it is, its points as a map's file would have them, its errors [%]."""

    curve: object
    points: np.ndarray
    errors: np.ndarray
    spans: np.ndarray


def trace(name, curve, draw_of, seed=0):
    """One curve traced with three clicks, an island with ten."""
    picture, calibration, straight, ink = prepared(name, seed)
    values = click_values(picture, curve, 10 if curve.kind == "island" else 3)
    seen = picture.to_pixels(values) + draw_of.normal(0.0, JITTER, values.shape)
    clicks = straight.to_pixels(calibration.to_values(seen))
    path = straight.to_values(follow_curve(ink, clicks, curve.closed).points)
    span = spans(picture)
    points = thinned(path, span, curve.closed)
    return Traced(curve, points, curve_errors(curve.points, points, span, curve.closed), span)


@functools.cache
def _measured(name, seed):
    """Every curve of a variant, traced, and the errors of its calibration [%]."""
    picture, calibration = prepared(name, seed)[:2]
    draw_of = np.random.default_rng((seed, 1))
    curves = tuple(trace(name, curve, draw_of, seed) for curve in picture.curves)
    return curves, calibration_errors(picture, calibration)


def traced(name, seed=0):
    """Every curve of a variant, traced."""
    return _measured(name, seed)[0]


def calibrated(name, seed=0):
    """Errors of a variant's calibration over the frame [%]."""
    return _measured(name, seed)[1]


def curve_errors(truth, points, span, closed):
    """Distances between two curves both ways, axes scaled to their spans [%]."""
    ring = np.vstack([points, points[:1]]) if closed else points
    curves = [shapely.LineString(one / span) for one in (truth, ring)]
    places = np.linspace(0.0, 1.0, SAMPLED)
    there = shapely.distance(
        shapely.line_interpolate_point(curves[0], places, normalized=True), curves[1]
    )
    back = shapely.distance(
        shapely.line_interpolate_point(curves[1], places, normalized=True), curves[0]
    )
    return 100.0 * np.concatenate([there, back])


def calibration_errors(picture, calibration):
    """Errors of a calibration over the frame, either axis, in per cent of span."""
    (low, high), (floor, ceiling) = picture.limits
    flow, ratio = np.meshgrid(np.linspace(low, high, 21), np.linspace(floor, ceiling, 21))
    values = np.column_stack([flow.ravel(), ratio.ravel()])
    read = calibration.to_values(picture.to_pixels(values))
    return 100.0 * np.abs(read - values) / spans(picture)


def errors_of(name, kinds, seed=0):
    """Errors of every curve of some kinds, together [%]."""
    return np.concatenate([one.errors for one in traced(name, seed) if one.curve.kind in kinds])
