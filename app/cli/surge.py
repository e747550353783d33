"""``pulleywright surge``: a scene of surge in time and its numbers."""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from app.cli import OK, OVER, UsageError, add_build_options, apply_sets, find_build, pick_day
from app.fields import FIELD, Units, read_value
from app.present.surge_scenes import DEFAULT_SCENE, scenes_of
from app.present.surge_tables import choke_document, choke_text, scene_document, scene_text
from engine_model.files.build_file import load_build
from engine_model.problem import surface_of
from engine_model.studies.bypass_sizing import bypass_sizing
from engine_model.studies.choke_page import run_choke
from engine_model.studies.surge_run import run_scene, zero_flow_band


def add_surge(sub: argparse._SubParsersAction) -> None:  # type: ignore[type-arg]
    """Add the command to a parser."""
    surge = sub.add_parser("surge", help="run a scene of surge in time and tell its numbers")
    surge.add_argument("--scene", default=DEFAULT_SCENE, help="its name (default: %(default)s)")
    surge.add_argument("--day", default=None, help="a day's name (default: mild)")
    surge.add_argument("--valve", default=None, metavar="SIZE", help="bypass valve: 40mm, or none")
    add_build_options(surge)
    surge.set_defaults(run=run_surge)


def run_surge(options: argparse.Namespace) -> int:
    """Run a scene of surge in time and print what it answers."""
    build = apply_sets(load_build(find_build(options.build)), options.sets)
    day = pick_day(build, options.day, "--day")
    known = scenes_of(build)
    if options.scene not in known:
        raise UsageError(f"--scene: {options.scene!r} given; allowed: {', '.join(known)}")
    scene = known[options.scene]
    if options.valve is not None:
        valve = read_value(FIELD["surge.valve_diameter"], options.valve)
        kept = tuple(one for one in scene.knobs if one[0] != "surge.valve_diameter")
        scene = replace(scene, knobs=(*kept, ("surge.valve_diameter", valve)))
    system: Units = "us" if options.us else "si"
    surface = surface_of(build)
    if scene.kind == "choke":
        walk = run_choke(build, day, scene, surface=surface)
        _tell(options, choke_document(walk), choke_text(walk, system))
        return OK
    found = run_scene(build, day, scene, surface=surface)
    band = zero_flow_band(found, surface=surface)
    curve = None
    if scene.kind == "lift":
        curve = bypass_sizing(found.setup.build, day, surface=surface)
    _tell(options, scene_document(found, band, curve), scene_text(found, band, curve, system))
    return OVER if found.cycles.reverses else OK


def _tell(options: argparse.Namespace, document: dict[str, Any], rows: Sequence[str]) -> None:
    """Print for machines or for people."""
    if options.json:
        print(json.dumps(document, allow_nan=False))
        return
    for row in rows:
        print(row)
