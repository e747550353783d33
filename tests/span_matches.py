"""Single matches that pulley spans are compared with; no part of the study stands between."""

from __future__ import annotations

from app.paths import sample_builds
from engine_model.files.build_file import load_build
from engine_model.matching import match
from engine_model.problem import surface_of

PULLEY = "drive.blower_pulley_diameter"
CAPPED = {"bypass.boost_cap": 50e3}


def road_six_and_surface():
    build = load_build(sample_builds()["road-six"])
    return build, surface_of(build)


def ledger_at(build, surface, diameter, day):
    one = build.with_value(PULLEY, float(diameter))
    return {e.code: e for e in match(one, build.known_days()[day], surface=surface).ledger}


def is_over(entry):
    return entry.used > 1.0 + 1e-9
