"""What exports say of themselves: of what they are, and that they are estimates."""

from __future__ import annotations

from datetime import date

from app.fields import Units, show
from app.present.cautions import CAUTIONS
from app.present.pins import default_pin_name
from engine_model.fuel_choice import fuel_of
from engine_model.inputs import Build
from engine_model.results import Match
from engine_model.studies.span_records import PulleySpan


def caption_rows(
    match: Match, written_on: date, units: Units = "si", shop: str = ""
) -> tuple[str, ...]:
    """Rows of the caption of a picture.

    Parameters
    ----------
    match : Match
        What the picture shows.
    written_on : date
        When it was made.
    units : Units
        Units of the day's air.
    shop : str
        Name of the shop; may be empty.
    """
    build, day = match.build, match.day
    air = [show(day.temperature, "temperature", units), show(day.altitude, "altitude", units)]
    if day.pressure is not None:
        air[1] = show(day.pressure, "pressure", units)
    parts = [
        _title(build),
        f"{day.name} day ({', '.join(air)})",
        written_on.isoformat(),
        *([shop] if shop else []),
    ]
    return " | ".join(parts), CAUTIONS["general"]


def _title(build: Build) -> str:
    return f"{build.title} (invented)" if build.invented else build.title


def line_words(build: Build, units: Units = "si") -> str:
    """Name of the build's operating line in a key: its pulley or boost, and its fuel.

    Parameters
    ----------
    build : Build
        The build.
    units : Units
        Units of the pulley or the boost.
    """
    name = default_pin_name(build, (), units)
    if build.drive.kind == "belt":
        name = f"{name} pulley"
    return f"{name or 'free shaft'}, {fuel_of(build.engine).name}"


def file_columns(match: Match, written_on: date) -> tuple[tuple[str, str], ...]:
    """Columns of a table of numbers that say the same in every row: build, day, date, caution.

    Parameters
    ----------
    match : Match
        What the table shows.
    written_on : date
        When it was made.
    """
    return (
        ("build", _title(match.build)),
        ("day", match.day.name),
        ("written", written_on.isoformat()),
        ("caution", CAUTIONS["general"]),
    )


def span_caption_rows(
    span: PulleySpan, written_on: date, units: Units = "si", shop: str = ""
) -> tuple[str, ...]:
    """Rows of the caption of a picture of a pulley span.

    Parameters
    ----------
    span : PulleySpan
        What the picture shows.
    written_on : date
        When it was made.
    units : Units
        Units of the present pulley.
    shop : str
        Name of the shop; may be empty.
    """
    present = show(span.present.diameter, "length", units)
    parts = [
        _title(span.build),
        f"present pulley {present}",
        f"{_span_days(span)}, without belt slip, {_worst_words(span)}",
        written_on.isoformat(),
        *([shop] if shop else []),
    ]
    return " | ".join(parts), CAUTIONS["general"]


def span_columns(span: PulleySpan, written_on: date) -> tuple[tuple[str, str], ...]:
    """Columns of a table of numbers of a pulley span that say the same in every row.

    Parameters
    ----------
    span : PulleySpan
        What the table shows.
    written_on : date
        When it was made.
    """
    return (
        ("build", _title(span.build)),
        ("judged on", _span_days(span)),
        ("worst cases", _worst_words(span)),
        ("written", written_on.isoformat()),
        ("caution", CAUTIONS["general"]),
    )


def _span_days(span: PulleySpan) -> str:
    days = "day" if len(span.days) == 1 else "days"
    return f"{days} {'; '.join(span.days)}"


def _worst_words(span: PulleySpan) -> str:
    shift = "missed shift" if span.worst.missed_shift else "no missed shift"
    return f"{shift}, bypass stuck shut" if span.worst.bypass_stuck_shut else shift
