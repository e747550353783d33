"""What a sheet is made from: a build judged over days."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from app.fields import Units
from app.present.sheet_words import MeasuredPower, SheetSource
from app.present.sheet_workshop import build_digest
from engine_model.compressor.surface import Surface
from engine_model.inputs import Build, Day
from engine_model.limits.ledger import entries_of_day, entries_of_worst_day
from engine_model.matching import judge_days
from engine_model.problem import surface_of
from engine_model.results import Match
from engine_model.studies.soak_days import soak_over_days
from engine_model.studies.soak_entry import soak_entry, with_soak, worst_soak


def judged_source(
    build: Build,
    day: Day,
    days: Sequence[Day],
    *,
    written_on: date,
    digest: str = "",
    shop: str = "",
    logo: str = "",
    units: Units = "si",
    measured: MeasuredPower | None = None,
    surface: Surface | None = None,
) -> SheetSource:
    """Judge a build over days, for its sheet.

    Parameters
    ----------
    build : Build
        The build.
    day : Day
        The day of the charts and of the expected power; judged too.
    days : sequence of Day
        The days of the ledger.
    written_on : date
        Date of the sheet.
    digest : str
        Digest of the build's file; that of the build itself unless given.
    shop, logo : str
        Name of the shop and file of its logo.
    units : str or UnitChoice
        Units of the sheet.
    measured : MeasuredPower, optional
        What a pull gave.
    surface : Surface, optional
        The fitted compressor map, where the caller has it.

    Returns
    -------
    SheetSource
        What the sheet tells.
    """
    every = [day, *(other for other in days if other != day)]
    names = tuple(one.name for one in every)
    fitted = surface_of(build, surface)
    line, verdicts, held, knock = judge_days(build, every, surface=fitted)
    worst = entries_of_worst_day(verdicts, names)
    soak = worst_soak([soak_entry(found) for found in soak_over_days(build, every, fitted)])
    here = None if held is None else held.part(0)
    ledger = entries_of_day(verdicts, 0, names)
    match = Match(build, day, line.part(0), ledger, here, knock.part(0))
    return SheetSource(
        match,
        with_soak(worst, soak),
        names,
        fitted if build.drive.kind != "none" else None,
        written_on,
        digest or build_digest(build),
        shop,
        logo,
        units,
        measured,
    )
