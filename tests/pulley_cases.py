"""Spans of the sample builds, worked out once, and one made by hand for what they do not show."""

from __future__ import annotations

import functools
from dataclasses import fields, replace

import numpy as np

from app.paths import sample_builds
from engine_model.files.build_file import load_build
from engine_model.inputs import Shelf
from engine_model.problem import surface_of
from engine_model.results import Entry
from engine_model.studies.pulley_span import pulley_span
from engine_model.studies.span_records import (
    AS_BUILT,
    Allowed,
    JudgedPulley,
    LimitBar,
    LimitRow,
    PulleyCurves,
    PulleySpan,
    Stop,
    WorstCase,
)

MORE_BOOST = {
    "bounds.boost": 65e3,
    "bounds.charge_temperature": 345.0,
    "drive.tension_allowance": 200.0,
}
SHELF = tuple(round(0.060 + 0.003 * i, 4) for i in range(16))
DAYS = ("mild", "hot")
LOW, HIGH = 0.05, 0.10


@functools.cache
def sample_span(name="road-six", more=False, shut=False, shelf=SHELF):
    build = load_build(sample_builds()[name])
    if more:
        build = build.with_values(MORE_BOOST)
    build = replace(build, shelf=Shelf(pulleys=shelf))
    return pulley_span(build, worst=WorstCase(shut), surface=surface_of(build))


def entry(code, used, day):
    state = "over" if used > 1.0 else "clear"
    return Entry(code, "parts", state, used, 50e3 * used, 50e3, "Pa", 6800.0, day, "by hand")


def made_span():
    """Boost by hand: allowed on 60 to 70 and on 80 to 90 mm; surge not judged from 75 mm."""
    build = load_build(sample_builds()["road-six"])
    diameter = np.linspace(LOW, HIGH, 11)
    used = np.interp(diameter, [0.05, 0.06, 0.065, 0.07, 0.075, 0.08, 0.085, 0.09, 0.10],
                     [1.5, 1.0, 0.8, 1.0, 1.2, 1.0, 0.95, 1.0, 1.4])  # fmt: skip
    pairs = ((0.06, 0.07), (0.08, 0.09))
    edges = (0.06, 0.07, 0.08, 0.09)
    bars = [
        LimitBar("boost", "parts", AS_BUILT, day, pairs, (), "by hand",
                 tuple(Stop(x, k % 2 == 0, AS_BUILT, (day,), entry("boost", 1.01, day))
                       for k, x in enumerate(edges)), used.copy())
        for day in DAYS
    ]  # fmt: skip
    surge = np.where(diameter < 0.0749, 0.5, np.nan)
    bars.append(
        LimitBar("surge_margin", "parts", AS_BUILT, "mild", ((LOW, HIGH),), ((0.075, HIGH),),
                 "by hand", (), surge)
    )  # fmt: skip
    allowed = tuple(
        Allowed(a, b, Stop(a, True, AS_BUILT, DAYS, entry("boost", 1.01, "mild")),
                Stop(b, False, AS_BUILT, DAYS, entry("boost", 1.01, "mild")))
        for a, b in pairs
    )  # fmt: skip
    curves = np.stack([np.linspace(300e3, 200e3, 11), np.linspace(280e3, 190e3, 11)])
    return PulleySpan(
        build,
        DAYS,
        (LOW, HIGH),
        WorstCase(),
        allowed,
        tuple(bars),
        (LimitRow("boost", "parts", AS_BUILT, allowed),),
        (),
        (),
        (JudgedPulley(0.065, "clear", AS_BUILT, entry("boost", 0.8, "mild")),),
        JudgedPulley(0.066, "clear", AS_BUILT, entry("boost", 0.84, "mild")),
        PulleyCurves(DAYS, diameter, *(curves.copy() for _ in range(4)), curves / 5, curves / 5),
    )


def blank_span():
    """As by hand, with nothing judged and nothing solved."""
    span = made_span()
    curves = {
        one.name: getattr(span.curves, one.name)
        if one.name in ("days", "diameter")
        else np.full_like(getattr(span.curves, one.name), np.nan)
        for one in fields(PulleyCurves)
    }
    whole = ((LOW, HIGH),)
    bars = tuple(
        LimitBar(b.code, b.part, b.case, b.day, whole, whole, b.basis, (), np.full(11, np.nan))
        for b in span.bars
    )
    allowed = (Allowed(LOW, HIGH, None, None),)
    present = JudgedPulley(0.066, "blank", AS_BUILT, None)
    return replace(
        span, bars=bars, allowed=allowed, shelf=(), present=present, curves=PulleyCurves(**curves)
    )
