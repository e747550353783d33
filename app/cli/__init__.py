"""Commands that draw nothing; they run without Qt's libraries."""

from __future__ import annotations

import argparse
import difflib
import json
import sys
import textwrap
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from app.fields import DENSITY_OF, FIELD, FIELDS, read_value
from app.paths import DEFAULT_SAMPLE, sample_builds, sample_maps
from app.present.cautions import CAUTIONS
from app.present.error_bar_words import error_bars_document, error_bars_text
from app.present.pulley_tables import span_document, span_text
from app.present.run_words import run_lines
from app.present.tables import headline, ledger_table, line_table, match_document
from engine_model.errors import FileFaultsError, InputError
from engine_model.files.build_file import load_build
from engine_model.inputs import Build, Day
from engine_model.limits.ledger import entries_of_day, entries_of_worst_day
from engine_model.matching import check_engine_speeds, default_engine_speeds, judge_days
from engine_model.problem import surface_of
from engine_model.results import Entry, Match
from engine_model.studies.pulley_span import pulley_span
from engine_model.studies.soak_days import soak_over_days
from engine_model.studies.soak_entry import soak_entry, with_soak, worst_soak
from engine_model.studies.span_records import WorstCase
from engine_model.studies.spread import SpreadError
from engine_model.studies.uncertainty import LEAST_SAMPLES, MOST_SAMPLES, SAMPLES, error_bars
from engine_model.tracing.checking import check_file

OK, OVER, WRONG = 0, 1, 2
"""Exit codes: within limits, something over, wrong input."""

NEAR = 3
"""Near names told of a wrong one."""

MOST_SPEEDS = 20_000
"""Engine speeds that one command takes."""


class UsageError(ValueError):
    """A command line that cannot be taken; its text is one sentence."""


def add_commands(sub: argparse._SubParsersAction) -> None:  # type: ignore[type-arg]
    """Add the commands of this room to a parser."""
    # it takes its helpers from here
    from app.cli.compressors import add_compressors
    from app.cli.reconcile import add_reconcile
    from app.cli.surge import add_surge

    run = sub.add_parser("match", help="print the operating line and the ledger of a build")
    run.add_argument("--day", default=None, help="a day's name (default: mild)")
    run.add_argument("--days", default=None, help="judge over days: a comma list, or all")
    run.add_argument("--rpm", default=None, metavar="LO:HI:STEP", help="engine speeds in rpm")
    run.add_argument(
        "--error-bars",
        nargs="?",
        const=str(SAMPLES),
        default=None,
        metavar="N",
        help="bands, chances and what to measure first, from N samples (after BUILD; default: "
        "%(const)s)",
    )
    add_build_options(run)
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
    add_build_options(span)
    span.set_defaults(run=run_pulleys)
    add_compressors(sub)
    add_surge(sub)
    add_reconcile(sub)
    check = sub.add_parser("check", help="list every fault of map, trace and build files")
    check.add_argument("files", nargs="+", metavar="FILE")
    check.add_argument("--json", action="store_true", help="print faults for machines")
    check.set_defaults(run=run_check)


def add_build_options(run: argparse.ArgumentParser, required: bool = False) -> None:
    """Add the build, its changes, and how to print."""
    run.add_argument(
        "build",
        nargs=None if required else "?",
        default=None if required else DEFAULT_SAMPLE,
        help="a build file or a sample's name" + ("" if required else " (default: %(default)s)"),
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


def parse_samples(text: str) -> int:
    """Number of samples of ``--error-bars``."""
    allowed = f"a number of samples, {LEAST_SAMPLES} to {MOST_SAMPLES}, or nothing; BUILD before it"
    if not (text.isascii() and text.isdigit() and len(text) < 12):
        raise UsageError(f"--error-bars: {text!r} given; allowed: {allowed}")
    if not LEAST_SAMPLES <= int(text) <= MOST_SAMPLES:
        raise UsageError(f"--error-bars: {text} given; allowed: {allowed}")
    return int(text)


def near_paths(path: str) -> str:
    """Paths that a wrong one may stand for: the nearest, else all of its section."""
    section, _, name = path.rpartition(".")
    known = [f.path for f in FIELDS]
    mine = [one for one in known if section and one.startswith(f"{section}.")]
    names = {one.rpartition(".")[2]: one for one in reversed(mine or known)}
    near = [names[one] for one in difflib.get_close_matches(name, names, NEAR)]
    within = [one for one in mine or known if len(name) > 2 and name in one]
    found = list(dict.fromkeys([*near, *within])) or mine
    return ", ".join(found) if found else "a path such as " + known[0]


def apply_sets(build: Build, sets: Sequence[str]) -> Build:
    """Build with the ``PATH=VALUE`` changes of ``--set``, all at once."""
    changes: dict[str, object] = {}
    texts: dict[str, str] = {}
    for text in sets:
        path, equals, value = text.partition("=")
        path = path.strip()
        if not equals:
            raise UsageError(f"--set: {text!r} given; allowed: PATH=VALUE")
        if path not in FIELD or path.startswith("day."):
            raise UsageError(f"--set: {path!r} given; allowed: {near_paths(path)}")
        texts[path] = value
    # a flow typed by mass is read at the density set with it
    for path in sorted(texts, key=lambda path: path in DENSITY_OF):
        rated = DENSITY_OF.get(path)
        density = None if rated is None else changes.get(rated, build.value(rated))
        changes[path] = read_value(FIELD[path], texts[path], density=density)  # type: ignore[arg-type]
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
    surface = surface_of(build)
    line, verdicts, held, knock = judge_days(build, days, asked, surface=surface)
    names_of_days = tuple(d.name for d in days)
    if len(days) > 1:
        ledger = entries_of_worst_day(verdicts, names_of_days)
    else:
        ledger = entries_of_day(verdicts, 0, names_of_days)
    soak = worst_soak([soak_entry(found) for found in soak_over_days(build, days, surface)])
    ledger = with_soak(ledger, soak)
    held = None if held is None else held.part(0)
    shown = Match(build, day, line.part(0), ledger, held, knock.part(0))
    bars = None
    if options.error_bars is not None:
        bars = error_bars(build, days, asked, samples=parse_samples(options.error_bars))
    if options.json:
        document = match_document(build, day, shown.line, ledger)
        if bars is not None:
            document["error_bars"] = error_bars_document(bars)
        print(json.dumps(document, allow_nan=False))
        return exit_code(ledger)
    system = "us" if options.us else "si"
    rows = match_text(shown, system, len(days) > 1, asked is None)
    if bars is not None:
        rows += ["", *error_bars_text(bars, system)]
    for row in rows:
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
    run = run_lines(shown, system) if thin else []
    told = (row for text in run for row in textwrap.wrap(text, 100))
    rows = [*headline(shown, system), *told, "", *line_table(line, system), ""]
    rows += ledger_table(shown.ledger, shown.build, system, over_days)
    driven = ("belt",) if shown.build.drive.kind == "belt" else ()
    keys = (*driven, "impeller_speed", *(("run",) if run else ()), "general")
    cautions = " ".join(CAUTIONS[key] for key in keys)
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
    except (InputError, UsageError, SpreadError) as error:
        print(str(error), file=sys.stderr)
    except OSError as error:
        print(f"{error.filename or 'file'}: {error.strerror or error}", file=sys.stderr)
    return WRONG
