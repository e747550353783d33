"""Commands that draw nothing (match, pulleys, surge, check); they run without Qt's libraries."""

from __future__ import annotations

import argparse
import json
import sys
import textwrap
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from app.fields import FIELD, FIELDS, Units, read_value
from app.paths import DEFAULT_SAMPLE, sample_builds, sample_maps
from app.present.cautions import CAUTIONS
from app.present.pulley_tables import span_document, span_text
from app.present.surge_scenes import DEFAULT_SCENE, scenes_of
from app.present.surge_tables import choke_document, choke_text, scene_document, scene_text
from app.present.tables import headline, ledger_table, line_table, match_document
from engine_model.errors import FileFaultsError, InputError
from engine_model.files.build_file import load_build
from engine_model.inputs import Build, Day
from engine_model.limits.ledger import entries_of_day, entries_of_worst_day
from engine_model.matching import check_engine_speeds, default_engine_speeds, judge_days
from engine_model.problem import surface_of
from engine_model.results import Entry, Match
from engine_model.studies.bypass_sizing import bypass_sizing
from engine_model.studies.choke_page import run_choke
from engine_model.studies.pulley_span import pulley_span
from engine_model.studies.span_records import WorstCase
from engine_model.studies.surge_run import run_scene, zero_flow_band
from engine_model.tracing.checking import check_file

OK, OVER, WRONG = 0, 1, 2
"""Exit codes: within limits, something over, wrong input."""

MOST_SPEEDS = 20_000
"""Engine speeds that one command takes."""


class UsageError(ValueError):
    """A command line that cannot be taken; its text is one sentence."""


def add_commands(sub: argparse._SubParsersAction) -> None:  # type: ignore[type-arg]
    """Add the commands of this room to a parser."""
    run = sub.add_parser("match", help="print the operating line and the ledger of a build")
    run.add_argument("--day", default=None, help="a day's name (default: mild)")
    run.add_argument("--days", default=None, help="judge over days: a comma list, or all")
    run.add_argument("--rpm", default=None, metavar="LO:HI:STEP", help="engine speeds in rpm")
    _add_build_options(run)
    run.set_defaults(run=run_match)
    span = sub.add_parser("pulleys", help="print the blower pulleys that keep every limit")
    span.add_argument("--days", default="all", help="a comma list of days (default: all)")
    span.add_argument(
        "--bypass-stuck-shut",
        action="store_true",
        help="the parts must stand the boost without the boost cap, on the freezing day too",
    )
    span.add_argument(
        "--no-missed-shift",
        action="store_true",
        help="judge the impeller at the limiter, not at the over-rev",
    )
    _add_build_options(span)
    span.set_defaults(run=run_pulleys)
    surge = sub.add_parser("surge", help="run a scene of surge in time and tell its numbers")
    surge.add_argument("--scene", default=DEFAULT_SCENE, help="its name (default: %(default)s)")
    surge.add_argument("--day", default=None, help="a day's name (default: mild)")
    surge.add_argument("--valve", default=None, metavar="SIZE", help="bypass valve: 40mm, or none")
    _add_build_options(surge)
    surge.set_defaults(run=run_surge)
    check = sub.add_parser("check", help="list every fault of map, trace and build files")
    check.add_argument("files", nargs="+", metavar="FILE")
    check.add_argument("--json", action="store_true", help="print faults for machines")
    check.set_defaults(run=run_check)


def _add_build_options(run: argparse.ArgumentParser) -> None:
    """Add the build, its changes, and how to print."""
    run.add_argument(
        "build",
        nargs="?",
        default=DEFAULT_SAMPLE,
        help="a build file or a sample's name (default: %(default)s)",
    )
    run.add_argument(
        "--set",
        action="append",
        default=[],
        metavar="PATH=VALUE",
        dest="sets",
        help='change an input, with its unit: --set "drive.blower_pulley_diameter=78 mm"',
    )
    run.add_argument("--us", action="store_true", help="print in US units")
    run.add_argument("--json", action="store_true", help="print numbers for machines, SI")


def find_build(name: str) -> Path:
    """File of a build given as a path or as a sample's name."""
    samples = sample_builds()
    if name in samples:
        return samples[name]
    path = Path(name)
    if path.exists():
        return path
    known = ", ".join(samples)
    raise UsageError(f"BUILD: {name!r} given; allowed: a build file, or a sample: {known}")


def parse_speeds(text: str) -> np.ndarray:
    """Engine speeds of ``LO:HI:STEP`` [rpm]."""
    parts = text.split(":")
    try:
        numbers = [float(part) for part in parts]
    except ValueError:
        numbers = []
    if len(numbers) == 1:
        return check_engine_speeds(numbers)
    if len(numbers) != 3 or not np.all(np.isfinite(numbers)):
        raise UsageError(f"--rpm: {text!r} given; allowed: LO:HI:STEP in rpm, or one speed")
    low, high, step = numbers
    if step <= 0.0 or high < low or (high - low) / step > MOST_SPEEDS:
        raise UsageError(
            f"--rpm: {text!r} given; allowed: a step above 0 and HI not under LO, "
            f"at most {MOST_SPEEDS} speeds"
        )
    count = int(np.floor((high - low) / step * (1.0 + 1e-12))) + 1
    return check_engine_speeds(low + step * np.arange(count))


def apply_sets(build: Build, sets: Sequence[str]) -> Build:
    """Build with the ``PATH=VALUE`` changes of ``--set``, all at once."""
    changes: dict[str, object] = {}
    for text in sets:
        path, equals, value = text.partition("=")
        path = path.strip()
        if not equals:
            raise UsageError(f"--set: {text!r} given; allowed: PATH=VALUE")
        if path not in FIELD or path.startswith("day."):
            near = [f.path for f in FIELDS if path.rpartition(".")[2] in f.path]
            hint = ", ".join(near) if near and path else "a path such as " + FIELDS[0].path
            raise UsageError(f"--set: {path!r} given; allowed: {hint}")
        changes[path] = read_value(FIELD[path], value)
    return build.with_values(changes) if changes else build


def pick_day(build: Build, name: str | None, option: str) -> Day:
    """Day of a name known to the build."""
    known = build.known_days()
    if name is None:
        return known["mild"]
    if name not in known:
        raise UsageError(f"{option}: {name!r} given; allowed: {', '.join(known)}")
    return known[name]


def pick_days(build: Build, text: str) -> list[Day]:
    """Days of a comma list of names, or all the build knows."""
    names = [name.strip() for name in text.split(",") if name.strip()]
    if text.strip() == "all":
        names = list(build.known_days())
    if not names:
        raise UsageError("--days: nothing given; allowed: a comma list of days, or all")
    return [pick_day(build, name, "--days") for name in dict.fromkeys(names)]


def exit_code(entries: Sequence[Entry]) -> int:
    """1 where an entry of *parts* or *target* is over, else 0."""
    over = any(e.state == "over" and e.part in ("parts", "target") for e in entries)
    return OVER if over else OK


def run_match(options: argparse.Namespace) -> int:
    """Print the match of a build."""
    build = apply_sets(load_build(find_build(options.build)), options.sets)
    day = pick_day(build, options.day, "--day")
    days = [day]
    if options.days is not None:
        picked = pick_days(build, options.days)
        days = picked if options.day is None else [day, *(d for d in picked if d != day)]
        day = days[0]
    asked = None if options.rpm is None else parse_speeds(options.rpm)
    line, verdicts, held, knock = judge_days(build, days, asked)
    names_of_days = tuple(d.name for d in days)
    if len(days) > 1:
        ledger = entries_of_worst_day(verdicts, names_of_days)
    else:
        ledger = entries_of_day(verdicts, 0, names_of_days)
    held = None if held is None else held.part(0)
    shown = Match(build, day, line.part(0), ledger, held, knock.part(0))
    if options.json:
        print(json.dumps(match_document(build, day, shown.line, ledger), allow_nan=False))
        return exit_code(ledger)
    system = "us" if options.us else "si"
    for row in match_text(shown, system, len(days) > 1, asked is None):
        print(row)
    return exit_code(ledger)


def match_text(shown: Match, system: str, over_days: bool, thin: bool) -> list[str]:
    """Rows that ``match`` prints."""
    every = max(1, round(500.0 / 50.0)) if thin else 1
    line = shown.line
    if thin:
        speeds = default_engine_speeds(shown.build)
        keep = np.unique(np.append(np.arange(0, speeds.size, every), speeds.size - 1))
        line = line.part(keep)
    rows = [*headline(shown, system), "", *line_table(line, system), ""]
    rows += ledger_table(shown.ledger, shown.build, system, over_days)
    driven = ("belt",) if shown.build.drive.kind == "belt" else ()
    cautions = " ".join(CAUTIONS[key] for key in (*driven, "impeller_speed", "general"))
    return [*rows, "", *textwrap.wrap(cautions, 100)]


def run_pulleys(options: argparse.Namespace) -> int:
    """Print the pulley span of a build."""
    build = apply_sets(load_build(find_build(options.build)), options.sets)
    worst = WorstCase(options.bypass_stuck_shut, not options.no_missed_shift)
    span = pulley_span(build, pick_days(build, options.days), worst=worst)
    if options.json:
        print(json.dumps(span_document(span), allow_nan=False))
    else:
        for row in span_text(span, "us" if options.us else "si"):
            print(row)
    return OK if span.allowed else OVER


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


def run_check(options: argparse.Namespace) -> int:
    """List every fault of files."""
    samples = {**sample_builds(), **sample_maps()}
    bad = False
    document = []
    for name in options.files:
        path = Path(name)
        if not path.exists() and name in samples:
            path = samples[name]
        faults = check_file(path)
        bad = bad or bool(faults)
        document.append(
            {
                "file": name,
                "faults": [
                    {
                        "where": f.where,
                        "value": f.value,
                        "allowed": f.allowed,
                        "sentence": f.sentence(),
                    }
                    for f in faults
                ],
            }
        )
        if not options.json:
            for fault in faults:
                print(f"{name}: {fault.sentence()}", file=sys.stderr)
            if not faults:
                print(f"{name}: no faults")
    if options.json:
        print(json.dumps(document, allow_nan=False))
    return WRONG if bad else OK


def guarded(options: argparse.Namespace) -> int:
    """Run a command; wrong input becomes sentences on stderr and exit 2."""
    try:
        return int(options.run(options))
    except FileFaultsError as error:
        print(str(error), file=sys.stderr)
    except (InputError, UsageError) as error:
        print(str(error), file=sys.stderr)
    except OSError as error:
        print(f"{error.filename or 'file'}: {error.strerror or error}", file=sys.stderr)
    return WRONG
