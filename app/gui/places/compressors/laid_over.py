"""Maps fitted and laid over each other in a thread, so that the window never waits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QObject, Signal

from app.fields import Units
from app.gui.latest_work import LatestWork, Tell
from app.present.series_overlay import OverlayItem, OverlaySeries, overlay_series
from engine_model.compressor.map_data import CompressorMap
from engine_model.compressor.surface import Surface
from engine_model.compressor.surface_fit import fit_surface
from engine_model.results import OperatingLine

MOST_KEPT = 12
"""Fitted maps kept."""


@dataclass(frozen=True, slots=True, eq=False)
class Layer:
    """A map to be laid over: it, the efficiency typed for one without, its line, its words."""

    compressor_map: CompressorMap
    typed_efficiency: float
    line: OperatingLine | None
    name: str
    setting: str
    limiter: float

    def same(self, other: Layer) -> bool:
        """Whether it would be drawn alike."""
        return (
            self.compressor_map is other.compressor_map
            and self.line is other.line
            and (self.typed_efficiency, self.name, self.setting, self.limiter)
            == (other.typed_efficiency, other.name, other.setting, other.limiter)
        )


class LaidOver(LatestWork):
    """Makes the series of the overlay.

    Signals
    -------
    ready(series)
        An OverlaySeries.
    """

    ready = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__("overlay", parent)
        self._surfaces: dict[tuple[int, float], Surface] = {}
        self._asked: tuple[tuple[Layer, ...], str, Units] | None = None

    def ask(self, layers: Sequence[Layer], day: str, units: Units) -> None:
        """Ask for maps laid over each other; nothing is done where they are shown already."""
        asked = self._asked
        if (
            asked is not None
            and len(asked[0]) == len(layers)
            and all(a.same(b) for a, b in zip(asked[0], layers, strict=True))
            and asked[1:] == (day, units)
        ):
            return
        self._asked = tuple(layers), day, units
        if not layers:
            self.cancel()
            self.ready.emit(None)
            return

        def work(tell: Tell) -> None:
            items = []
            for layer in layers:
                tell("step", None)
                surface = self._surface(layer)
                items.append(
                    OverlayItem(surface, layer.line, layer.name, layer.setting, layer.limiter)
                )
            tell("series", overlay_series(items, day, units))

        self.begin(None, work)

    def _surface(self, layer: Layer) -> Surface:
        """In the thread: a fitted map, kept while its map lives on in it."""
        key = id(layer.compressor_map), layer.typed_efficiency
        kept = self._surfaces.get(key)
        if kept is None or kept.compressor_map is not layer.compressor_map:
            kept = fit_surface(layer.compressor_map, layer.typed_efficiency)
            while len(self._surfaces) >= MOST_KEPT:
                del self._surfaces[next(iter(self._surfaces))]
            self._surfaces[key] = kept
        return kept

    def take(self, kind: str, request: object, found: object) -> None:
        """Hand on the series."""
        if kind == "series":
            assert found is None or isinstance(found, OverlaySeries)
            self._set_busy(False)
            self.ready.emit(found)
