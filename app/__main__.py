"""The program's front door: the bench, or a command."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence

from app.launch import can_open_window
from app.launch import open_bench as open_bench_at_once


def make_parser() -> argparse.ArgumentParser:
    """Parser of the whole command line."""
    from app.cli import add_commands

    parser = argparse.ArgumentParser(
        prog="pulleywright",
        description="Match a belt-driven centrifugal blower to a street engine.",
    )
    sub = parser.add_subparsers(dest="command", metavar="COMMAND")
    bench = sub.add_parser("bench", help="open the bench (the default)")
    bench.add_argument("build", nargs="?", default=None, help="a build file or a sample's name")
    bench.set_defaults(run=open_bench)
    add_commands(sub)
    add_sheet(sub)
    return parser


def add_sheet(sub: argparse._SubParsersAction) -> None:  # type: ignore[type-arg]
    """Add the command of the build sheet, the only one that draws."""
    from app.cli import add_build_options

    sheet = sub.add_parser("sheet", help="write the build sheet of a build as a PDF")
    sheet.add_argument("-o", dest="output", required=True, metavar="FILE.pdf", help="where to")
    sheet.add_argument("--day", default=None, help="a day's name (default: the target's, or mild)")
    sheet.add_argument("--days", default="all", help="a comma list of days (default: all)")
    sheet.add_argument("--paper", choices=("a4", "letter"), default="a4", help="default: a4")
    add_build_options(sheet, required=True)
    sheet.set_defaults(run=write_build_sheet)


def write_build_sheet(options: argparse.Namespace) -> int:
    """Write the build sheet of a build, or say what keeps it from being drawn."""
    from app.launch import write_build_sheet

    return write_build_sheet(options)


def open_bench(options: argparse.Namespace) -> int:
    """Open the bench, or say what is missing and print the match instead."""
    from app.launch import launch

    return launch(getattr(options, "build", None))


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the program; returns the exit code."""
    words = sys.argv[1:] if arguments is None else arguments
    if not words and can_open_window():
        # nothing to read or refuse: the commands would only keep the window waiting
        return open_bench_at_once()
    from app.cli import guarded

    parser = make_parser()
    options = parser.parse_args(arguments)
    if options.command is None:
        options = parser.parse_args(["bench"])
    return guarded(options)


if __name__ == "__main__":
    sys.exit(main())
