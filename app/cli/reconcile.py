"""``pulleywright reconcile``: a build against what a pull measured."""

from __future__ import annotations

import argparse
import json

import numpy as np

from app.cli import OK, UsageError, add_build_options, apply_sets, find_build, pick_day
from app.fields import Units
from app.paths import sample_pulls
from app.present.pull_words import STANDARD_NAMES, pull_sentences
from app.present.reconcile_words import reconcile_document, reconcile_text, wrapped
from engine_model.files.build_file import load_build
from engine_model.files.pull_log import load_pull
from engine_model.files.pull_record import Pull, PullRun
from engine_model.problem import surface_of
from engine_model.studies.corrected_pull import pull_standards
from engine_model.studies.pull_day import pull_day
from engine_model.studies.reconcile import reconcile


def add_reconcile(sub: argparse._SubParsersAction) -> None:  # type: ignore[type-arg]
    """Add the command to a parser."""
    run = sub.add_parser("reconcile", help="what a pull on the dyno says about a build")
    add_build_options(run, required=True)
    run.add_argument("pull", metavar="PULL.csv", help="a log of any dyno, or a sample's name")
    run.add_argument(
        "--day", default=None, help="a day's name, for what the log does not tell (default: mild)"
    )
    run.add_argument("--runs", default="all", help="a comma list of runs, or all (default)")
    run.add_argument(
        "--standard",
        default=None,
        choices=sorted(STANDARD_NAMES),
        help="what the log's power is corrected to (default: as its headers say)",
    )
    run.set_defaults(run=run_reconcile)


def pick_runs(pull: Pull, text: str) -> tuple[PullRun, ...]:
    """Runs of a comma list, or all."""
    if text.strip() == "all":
        return pull.runs
    known = {str(run.number): run for run in pull.runs}
    asked = [one.strip() for one in text.split(",") if one.strip()]
    wrong = [one for one in asked if one not in known]
    if wrong or not asked:
        given = wrong[0] if wrong else text
        raise UsageError(f"--runs: {given!r} given; allowed: {', '.join(known)}, or all")
    return tuple(known[one] for one in dict.fromkeys(asked))


def run_reconcile(options: argparse.Namespace) -> int:
    """Reconcile a build with a pull and print what it says."""
    build = apply_sets(load_build(find_build(options.build)), options.sets)
    otherwise = pick_day(build, options.day, "--day")
    pull = load_pull(sample_pulls().get(options.pull, options.pull))
    mapping = pull.layout.mapping
    runs = pick_runs(pull, options.runs)
    ambient = mapping.use("ambient_pressure")
    day, told = pull_day(runs, otherwise, ambient.basis if ambient else "station")
    standard = mapping.standard if options.standard is None else options.standard
    surface = surface_of(build)
    found = reconcile(build, day, runs, standard=standard, surface=surface)
    best = max(runs, key=lambda run: float(np.nanmax(run.power_w)))
    standards = pull_standards(
        best.engine_speed_rpm,
        best.power_w,
        best.power_basis,
        day,
        build,
        standard=standard,
        surface=surface,
    )
    units: Units = "us" if options.us else "si"
    if options.json:
        print(json.dumps(reconcile_document(found, standards), allow_nan=False))
        return OK
    for row in [*pull_sentences(pull, units), "", *reconcile_text(found, standards, told, units)]:
        for line in wrapped(row):
            print(line)
    return OK
