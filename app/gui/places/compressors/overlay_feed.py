"""The rows chosen, laid over each other on one canvas."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from app.fields import Units
from app.gui.places.compressors.laid_over import LaidOver, Layer
from app.present.compressor_shown import ShownRow
from app.present.compressor_words import setting_short
from app.present.series_overlay import MOST_MAPS, OverlaySeries
from engine_model.inputs import Build

if TYPE_CHECKING:
    from app.gui.places.compressors.place import CompressorsPlace


def left_out_words(rows: Sequence[ShownRow]) -> tuple[str, str]:
    """Which of the rows chosen are not drawn, short and by their names; empty where all are."""
    names = [one.title for one in rows[MOST_MAPS:]]
    if not names:
        return "", ""
    first, last = f"{MOST_MAPS + 1}th", f"{len(rows)}th"
    which = f"the {first} row" if len(names) == 1 else f"the {first} to {last} row"
    return f"Not drawn: {which} ({MOST_MAPS} at most)", f"Not drawn: {'; '.join(names)}"


MORE = "Ctrl and a click on a row lays it over."


class OverlayFeed(QObject):
    """Connects once; what is fitted already is drawn again without a fit."""

    def __init__(self, place: CompressorsPlace, parent: QObject) -> None:
        super().__init__(parent)
        self._place = place
        self._work = LaidOver(self)
        self._rows: list[ShownRow] = []
        self._build: Build | None = None
        self._units: Units = "si"
        self._work.ready.connect(self._take)
        place.bar.day_chosen.connect(lambda: self._ask())
        place.bar.shading_chosen.connect(place.chart.set_shaded)

    def show(self, rows: Sequence[ShownRow], build: Build, units: Units) -> None:
        """Lay the rows chosen over each other, the first ones where there are too many."""
        self._rows, self._build, self._units = list(rows), build, units
        kept = [one for one in rows if one.row is not None]
        self._place.bar.set_note(*(left_out_words(kept) if len(kept) >= 2 else (MORE, MORE)))
        days = [day.day for one in kept for day in one.row.days] if kept else []
        worst = next((one.row.worst for one in kept if one.row and one.row.worst), None)
        self._place.bar.show_days(tuple(dict.fromkeys(days)), worst.day if worst else "")
        self._ask()

    def _ask(self) -> None:
        if self._build is None:
            return
        day, build = self._place.bar.day, self._build
        layers = []
        for one in [one for one in self._rows if one.row is not None][:MOST_MAPS]:
            assert one.row is not None
            numbers = next((d for d in one.row.days if d.day == day), None)
            setting = one.row.setting
            layers.append(
                Layer(
                    one.row.compressor_map,
                    build.blower.typed_efficiency,
                    None if numbers is None else numbers.line,
                    one.title,
                    "" if setting is None else setting_short(setting, self._units),
                    build.engine.limiter,
                )
            )
        self._work.ask(layers, day, self._units)

    def _take(self, series: OverlaySeries | None) -> None:
        self._place.chart.set_series(series)

    @property
    def is_busy(self) -> bool:
        """Whether maps are being fitted."""
        return self._work.is_busy

    def end(self) -> None:
        """End the thread."""
        self._work.end()
