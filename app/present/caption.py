"""What stands under an exported picture: of what it is, and that it is an estimate."""

from __future__ import annotations

from datetime import date

from app.fields import Units, show
from app.present.sentences import CAUTIONS
from engine_model.results import Match


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
    invented = " (invented)" if build.invented else ""
    parts = [
        f"{build.title}{invented}",
        f"{day.name} day ({', '.join(air)})",
        written_on.isoformat(),
        *([shop] if shop else []),
    ]
    return " | ".join(parts), CAUTIONS["general"]
