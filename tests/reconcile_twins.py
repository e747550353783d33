"""Twins: pulls made from known truths, with noise that is alike over twenty readings."""

from __future__ import annotations

import numpy as np

from app.paths import sample_builds
from engine_model.files.build_file import load_build
from engine_model.files.pull_record import PullRun
from engine_model.inputs import Variation
from engine_model.matching import match_many
from engine_model.problem import surface_of
from engine_model.studies.reconcile_fit import Task
from engine_model.studies.reconcile_model import beliefs_of, pull_model
from engine_model.studies.reconcile_readings import USED, Readings, whitener
from engine_model.studies.reconcile_records import Noise

BUILD = load_build(sample_builds()["road-six"])
SURFACE = surface_of(BUILD)
MILD = BUILD.known_days()["mild"]
NOISE = Noise()
LOW, HIGH = 2500.0, 6750.0
POSITIVE = ("steady_slip", "slip_amount", "leak")


def alike(rng, size, length=20.0):
    """Noise of unit spread whose correlation falls by e over `length` readings."""
    keep = np.exp(-1.0 / length)
    fresh = rng.standard_normal(size)
    found = np.empty(size)
    found[0] = fresh[0]
    for at in range(1, size):
        found[at] = keep * found[at - 1] + np.sqrt(1.0 - keep**2) * fresh[at]
    return found


def spread_of(name, values):
    return {"power_w": 0.007 * values, "manifold_pressure_pa": 1000.0}.get(name, 1.5)


def drawn_truth(rng, beliefs):
    """Truth drawn from what is believed before the pull; slips and leak from half of it."""
    while True:
        truth = beliefs.mean + beliefs.root @ rng.standard_normal(beliefs.mean.size)
        for code in POSITIVE:
            truth[beliefs.at(code)] = abs(truth[beliefs.at(code)])
        if np.all((truth >= beliefs.low) & (truth <= beliefs.high)):
            return truth


def drawn_task(seed, size):
    """Task of a twin with a truth from the beliefs, and that truth."""
    rng = np.random.default_rng(seed)
    speed = np.linspace(LOW, HIGH, size)
    beliefs = beliefs_of(BUILD, speed, USED, NOISE.temperature_bias)
    model = pull_model(BUILD, MILD, SURFACE, speed, beliefs)
    truth = drawn_truth(rng, beliefs)
    exact = model.channels(truth[None])
    measured = {
        name: exact[name][0] + spread_of(name, exact[name][0]) * alike(rng, size) for name in USED
    }
    readings = Readings(speed, np.arange(float(size)), measured)
    return Task(model, measured, whitener(readings, NOISE), lambda: None), truth


def twin_run(seed, size=400, *, channels=USED, slip=None, leak=0.0, offset=2.0, breathing=1.0):
    """Run made by the match itself, with a slip, a leak and a sensor's offset.

    What leaks is compressed but not burnt: the compressor sees an engine larger by 1/(1 - leak),
    and power loses that share of the fuel's work.
    """
    rng = np.random.default_rng(seed)
    speed = np.linspace(LOW, HIGH, size)
    lost = np.zeros(size) if slip is None else slip(speed)
    factor = np.full((1, size), breathing / (1.0 - leak))
    line = match_many(
        BUILD, [MILD], speed, Variation(slip=lost[None], volumetric_efficiency_factor=factor),
        surface=SURFACE,
    )  # fmt: skip
    # indicated work of the fuel: heating value 44 MJ/kg, r 9.8: 1 - 9.8^-0.3, constant 0.80,
    # mixture 0.82: 0.82 (1 + 0.03 (1 - 0.8^2))
    work = 44e6 * (1.0 - 9.8**-0.3) * 0.80 * 0.82 * (1.0 + 0.03 * (1.0 - 0.64))
    power = line.wheel_power_w[0] - 0.85 * leak * line.fuel_flow_kg_s[0] * work
    exact = {
        "power_w": power,
        "manifold_pressure_pa": line.manifold_pressure_pa[0],
        "charge_temperature_k": line.manifold_temperature_k[0],
        "discharge_temperature_k": line.discharge_temperature_k[0] + offset,
    }
    measured = {}
    for name in USED:
        values = exact[name] + spread_of(name, exact[name]) * alike(rng, size)
        if name in channels:
            measured[name] = values
    return PullRun(1, 2, size + 1, np.arange(2, size + 2), speed, **measured)


def step(start, amount):
    """Slip that is there at once from an engine speed on."""
    return lambda speed: np.where(speed >= start, amount, 0.0)
