"""``pulleywright compressors``: candidates ranked under an aim."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from app.cli import (
    OK,
    OVER,
    UsageError,
    add_build_options,
    apply_sets,
    find_build,
    pick_days,
)
from app.fields import FIELD, read_value
from app.paths import sample_maps
from app.present.compressor_document import ranking_document
from app.present.compressor_tables import ranking_text
from engine_model.compressor.map_data import CompressorMap
from engine_model.errors import FileFaultsError
from engine_model.files.build_file import load_build
from engine_model.files.map_file import load_map
from engine_model.inputs import Build
from engine_model.studies.compressor_records import (
    EFFICIENCY,
    POWER,
    TARGET_HEADROOM,
    CompressorAim,
)
from engine_model.studies.compressor_study import compressor_study
from engine_model.studies.spread import Workers, cluster, process_pool

AIMS = {"target": TARGET_HEADROOM, "power": POWER, "efficiency": EFFICIENCY}
"""Words of ``--aim``."""

PULLEY, BOOST = "drive.blower_pulley_diameter", "bounds.boost"


def add_compressors(sub: argparse._SubParsersAction) -> None:  # type: ignore[type-arg]
    """Add the command to a parser."""
    run = sub.add_parser("compressors", help="rank compressor maps: which trim, on which pulley")
    add_build_options(run, required=True)
    run.add_argument(
        "maps",
        nargs="+",
        metavar="MAP",
        help="compressor maps: files, folders of *.map.json, or samples' names",
    )
    run.add_argument(
        "--aim",
        choices=tuple(AIMS),
        default=None,
        help="target: reach it with most headroom; power: most; efficiency: best weighted "
        "(default: target where the build has one, else power)",
    )
    run.add_argument("--days", default="all", help="a comma list of days (default: all)")
    run.add_argument(
        "--pulleys", metavar="LO:HI", help='blower pulleys, such as "50 mm:90 mm"; free shaft: '
        'highest boosts of the schedule, such as "0.3 bar:1.2 bar"'
    )  # fmt: skip
    run.add_argument("--cranks", metavar="LIST", help='crank pulleys, such as "170 mm,180 mm"')
    run.add_argument("--ribs", metavar="LIST", help="rib counts, such as 6,8")
    run.add_argument("--speeds", metavar="LIST", help="engine speeds that matter, in rpm")
    run.add_argument(
        "--workers", type=int, default=1, help="worker processes (default: %(default)s)"
    )
    run.add_argument("--scheduler", metavar="ADDRESS", help="a Dask scheduler, tcp://host:port")
    run.set_defaults(run=run_compressors)


def find_maps(names: Sequence[str]) -> list[CompressorMap]:
    """Compressor maps of files, folders and samples' names.

    A file named alone is refused with its faults; in a folder it is told and left out.
    """
    samples, found = sample_maps(), []
    for name in names:
        path = Path(name)
        if name in samples and not path.is_file():
            found.append(load_map(samples[name]))
        elif path.is_dir():
            found += _maps_of_folder(path)
        elif path.exists():
            found.append(load_map(path))
        else:
            known = ", ".join(samples)
            raise UsageError(
                f"MAP: {name!r} given; allowed: a file, a folder, or a sample: {known}"
            )
    return found


def _maps_of_folder(folder: Path) -> list[CompressorMap]:
    found = []
    for file in sorted(folder.glob("*.map.json")):
        try:
            found.append(load_map(file))
        except FileFaultsError as error:
            print(f"left out: {error}", file=sys.stderr)
    if not found:
        raise UsageError(f"MAP: {str(folder)!r} given; allowed: a folder with *.map.json files")
    return found


def _list(text: str | None) -> list[str]:
    return [] if text is None else [part.strip() for part in text.split(",") if part.strip()]


def _number(text: str, option: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise UsageError(f"{option}: {text!r} given; allowed: a comma list of numbers") from None


def _pair(text: str, path: str) -> tuple[float, float]:
    low, colon, high = text.partition(":")
    if not colon:
        raise UsageError(f"--pulleys: {text!r} given; allowed: LO:HI with units")
    a, b = (read_value(FIELD[path], part) for part in (low, high))
    if not (isinstance(a, float) and isinstance(b, float)):
        raise UsageError(f"--pulleys: {text!r} given; allowed: LO:HI with units")
    return a, b


def question_of(options: argparse.Namespace, build: Build) -> CompressorAim:
    """The question that the options ask."""
    own = "target" if build.target.power is not None else "power"
    changes: dict[str, object] = {"aim": AIMS[options.aim or own]}
    if options.pulleys is not None:
        if build.drive.kind == "free_shaft":
            changes["boosts"] = _pair(options.pulleys, BOOST)
        else:
            changes["blower_pulleys"] = _pair(options.pulleys, PULLEY)
    crank = FIELD["drive.crank_pulley_diameter"]
    changes["crank_pulleys"] = tuple(read_value(crank, text) for text in _list(options.cranks))
    changes["ribs"] = tuple(int(_number(text, "--ribs")) for text in _list(options.ribs))
    changes["speeds"] = tuple(_number(text, "--speeds") for text in _list(options.speeds))
    return CompressorAim(**changes)  # type: ignore[arg-type]


@contextmanager
def workers_of(options: argparse.Namespace) -> Iterator[Workers | None]:
    """Where a study is computed: here, in processes, or on a cluster."""
    if options.scheduler is not None:
        with cluster(options.scheduler) as executor:
            yield executor
        return
    if options.workers < 1:
        raise UsageError(f"--workers: {options.workers} given; allowed: 1 or more")
    yield None if options.workers == 1 else process_pool(options.workers)


def run_compressors(options: argparse.Namespace) -> int:
    """Print the ranking of candidates."""
    build = apply_sets(load_build(find_build(options.build)), options.sets)
    question, days = question_of(options, build), pick_days(build, options.days)
    maps = find_maps(options.maps)
    with workers_of(options) as workers:
        ranking = compressor_study(build, maps, days, question, executor=workers)
    if options.json:
        print(json.dumps(ranking_document(ranking), allow_nan=False))
    else:
        for row in ranking_text(ranking, "us" if options.us else "si"):
            print(row)
    return OVER if ranking.winner is None else OK
