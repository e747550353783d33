"""Predicting a speed line that was left out, on two measured compressors (NASA CC3).

NASA TM-107541: a stage with a vaned diffuser and an impeller with a vaneless one, lines 70, 80,
90 and 100 %. The 80 or the 90 % line is left out with its choke end; the surge line keeps every
traced start. Distances are found here from the predicted line, not by the surface's inverse, in
per cent of the map's span; efficiency at the foot point in points. The baselines are those of
plain similarity interpolation. Run with ``--log-cli-level=INFO`` to see the sixteen figures.
"""

from __future__ import annotations

import logging
from pathlib import Path

import numpy as np
import pytest

from engine_model.compressor.map_data import CompressorMap, Provenance, SpeedLine
from engine_model.compressor.surface_fit import fit_surface

LOG = logging.getLogger(__name__)
FOLDER = Path(__file__).parents[2] / "shared" / "reference" / "maps" / "cc3"
# median and worst distance [% of span], median and worst efficiency [points]
BASELINES = {
    ("cc3_vaned", 80): (0.45, 2.6, 0.19, 1.1),
    ("cc3_vaned", 90): (0.53, 0.65, 0.15, 0.42),
    ("cc3_vaneless", 80): (0.50, 3.7, 0.26, 1.7),
    ("cc3_vaneless", 90): (0.80, 3.6, 0.40, 1.3),
}
MEAN_RATIO, WORST_RATIO = 0.95, 1.8

pytestmark = pytest.mark.skipif(
    not FOLDER.is_dir(), reason="the measured maps are not beside this checkout"
)


def traced(name):
    """Lines as (per cent, speed, flow, pressure ratio, efficiency), each from surge to choke."""
    table = np.genfromtxt(FOLDER / f"{name}.csv", delimiter=",", names=True)
    lines = []
    for percent in np.unique(table["line_pct"]):
        rows = table[table["line_pct"] == percent]
        columns = (rows["mdot_corr_kg_s"], rows["pr_tt"], rows["eta_tt"])
        lines.append((int(percent), float(rows["n_corr_rpm"][0]), *columns))
    return lines


def map_without(lines, percent):
    kept = [line for line in lines if line[0] != percent]
    assert len(kept) == len(lines) - 1
    return CompressorMap(
        "left out",
        Provenance("measured"),
        288.15,
        101325.0,
        "total_to_total",
        tuple(
            SpeedLine(speed, tuple(zip(flow.tolist(), ratio.tolist(), strict=True)), tuple(eta))
            for _, speed, flow, ratio, eta in kept
        ),
        tuple((float(line[2][0]), float(line[3][0])) for line in lines),
        choke_line=tuple((float(line[2][-1]), float(line[3][-1])) for line in kept),
    )


def foot_point(curve, values, point):
    """Least distance of a point from a polyline, and the value read off where it is least."""
    start, side = curve[:-1], np.diff(curve, axis=0)
    length = np.einsum("ij,ij->i", side, side)
    along = np.einsum("ij,ij->i", point - start, side) / np.where(length > 0.0, length, 1.0)
    along = np.clip(along, 0.0, 1.0)
    distance = np.hypot(*(start + along[:, None] * side - point).T)
    best = int(np.argmin(distance))
    return distance[best], values[best] + along[best] * (values[best + 1] - values[best])


def figures(name, percent):
    lines = traced(name)
    _, speed, flow, ratio, eta = next(line for line in lines if line[0] == percent)
    surface = fit_surface(map_without(lines, percent))
    every = np.vstack([np.column_stack(line[2:4]) for line in lines])
    span = np.ptp(every, axis=0)
    # from the surge end, down the steep fall beyond choke
    predicted = surface.line(speed, np.linspace(0.0, 2.0, 2049))
    curve = np.column_stack(predicted[:2]) / span
    found = [
        foot_point(curve, predicted[2], point) for point in np.column_stack([flow, ratio]) / span
    ]
    distance = np.array([f[0] for f in found]) * 100.0
    error = np.abs(np.array([f[1] for f in found]) - eta) * 100.0
    return np.array([np.median(distance), distance.max(), np.median(error), error.max()])


def test_left_out_lines():
    ratios = []
    for (name, percent), baseline in BASELINES.items():
        got = figures(name, percent)
        ratios.append(got / np.array(baseline))
        LOG.info(
            "%s %d %%: %s, over the baseline %s",
            name,
            percent,
            np.round(got, 2),
            np.round(ratios[-1], 2),
        )
    ratios = np.concatenate(ratios)
    assert ratios.size == 16
    mean = float(np.exp(np.mean(np.log(ratios))))
    LOG.info("geometric mean %.3f, worst %.3f", mean, ratios.max())
    assert mean <= MEAN_RATIO
    assert ratios.max() <= WORST_RATIO


def test_foot_point():
    curve = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 0.0], [1.0, -1.0]])
    distance, value = foot_point(curve, np.array([0.0, 1.0, 1.0, 3.0]), np.array([1.5, -0.5]))
    assert distance == pytest.approx(0.5)
    assert value == pytest.approx(2.0)
