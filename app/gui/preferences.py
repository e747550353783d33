"""Preferences kept between runs, and the shop shelf."""

from __future__ import annotations

import json
from dataclasses import dataclass, field, replace
from pathlib import Path

from PySide6.QtCore import QObject, QSettings, Signal

from app.fields import UnitChoice, kinds, units_of

ORGANISATION, APPLICATION = "Pulleywright", "Pulleywright"

DEFAULT_PULLEYS = tuple(round(0.060 + 0.003 * i, 4) for i in range(16))
"""Blower pulleys of an invented shelf [m]."""

OF_MAPS = frozenset({"library", "added_maps", "map_ticks"})
"""Choices that only the comparison of compressors looks at."""

SAMPLE_COUNTS = (256, 512, 1024, 2048, 4096, 8192)
"""Numbers of samples that the window offers for error bars [-]; the memory bounds them."""


@dataclass(frozen=True, slots=True)
class Shelf:
    """What the shop has: copied into new builds.

    Parameters
    ----------
    pulleys : tuple of float
        Blower pulleys, outside diameters. [m]
    belts : tuple of float
        Belt lengths. [m]
    injectors : tuple of float
        Static flows. [m3/s]
    cores : tuple of str
        Charge cooler cores, by name.
    shop : str
        Name of the shop.
    logo : str
        File of its logo.
    """

    pulleys: tuple[float, ...] = DEFAULT_PULLEYS
    belts: tuple[float, ...] = ()
    injectors: tuple[float, ...] = ()
    cores: tuple[str, ...] = ()
    shop: str = ""
    logo: str = ""


@dataclass(frozen=True, slots=True)
class Choices:
    """What the user chose for the bench.

    ``error_bars`` tells whether their bands are drawn, of so many ``error_bar_samples``;
    ``library`` is the watched folder of compressor maps, ``added_maps`` are files beside it,
    ``map_ticks`` which candidates were ticked or unticked by hand; ``pull_mappings`` are how logs
    of pulls are read, as texts, one a set of headers.
    """

    theme: str = "light"
    system: str = "si"
    text_scale: float = 1.0
    snapping: bool = False
    error_bars: bool = False
    error_bar_samples: int = 1024
    hints_seen: bool = False
    recent: tuple[str, ...] = ()
    shelf: Shelf = field(default_factory=Shelf)
    units: tuple[tuple[str, str], ...] = ()
    folders: tuple[tuple[str, str], ...] = ()
    library: str = ""
    added_maps: tuple[str, ...] = ()
    map_ticks: tuple[tuple[str, bool], ...] = ()
    pull_mappings: tuple[str, ...] = ()

    @property
    def units_shown(self) -> UnitChoice:
        """The system with the units of the user's own on top."""
        return UnitChoice(self.system, self.units)


class Preferences(QObject):
    """The choices, kept between runs.

    Signals
    -------
    changed(choices)
        A choice changed that others may show.
    maps_changed(choices)
        What is compared with what changed: nothing else looks otherwise for it.
    """

    changed = Signal(object)
    maps_changed = Signal(object)

    def __init__(self, settings: QSettings | None = None) -> None:
        super().__init__()
        self._settings = settings or QSettings(ORGANISATION, APPLICATION)
        self._choices = self._read()

    @property
    def choices(self) -> Choices:
        """The choices as they are."""
        return self._choices

    def change(self, **values: object) -> None:
        """Change some choices and keep them."""
        new = replace(self._choices, **values)  # type: ignore[arg-type]
        if new == self._choices:
            return
        self._choices = new
        self._settings.setValue("choices", json.dumps(_plain(new)))
        self._settings.sync()
        (self.maps_changed if OF_MAPS.issuperset(values) else self.changed).emit(new)

    def remember_file(self, path: str) -> None:
        """Put a file on top of the recent ones."""
        others = [one for one in self._choices.recent if one != path]
        self.change(recent=tuple([path, *others][:8]))

    def folder_of(self, kind: str) -> str:
        """Folder in which a kind of file was last asked for; else that of the last file opened."""
        kept = dict(self._choices.folders).get(kind, "")
        if not kept and self._choices.recent:
            kept = str(Path(self._choices.recent[0]).parent)
        return kept if kept and Path(kept).is_dir() else ""

    def remember_folder(self, kind: str, folder: str) -> None:
        """Keep the folder of a kind of file."""
        others = tuple(pair for pair in self._choices.folders if pair[0] != kind)
        self.change(folders=((kind, folder), *others))

    def remember_pull(self, texts: tuple[str, ...]) -> None:
        """Keep how logs of pulls are read; nothing shown depends on it, so nothing is told."""
        self._choices = replace(self._choices, pull_mappings=texts)
        self._settings.setValue("choices", json.dumps(_plain(self._choices)))
        self._settings.sync()

    def _read(self) -> Choices:
        text = self._settings.value("choices", "")
        try:
            kept = json.loads(str(text)) if text else {}
        except ValueError:
            kept = {}
        if not isinstance(kept, dict):
            return Choices()
        try:
            return _choices(kept)
        except (TypeError, ValueError):
            return Choices()


def _plain(choices: Choices) -> dict[str, object]:
    values = {name: getattr(choices, name) for name in Choices.__dataclass_fields__}
    shelf = choices.shelf
    values["shelf"] = {name: getattr(shelf, name) for name in Shelf.__dataclass_fields__}
    return values


def _choices(kept: dict[str, object]) -> Choices:
    values = {k: v for k, v in kept.items() if k in Choices.__dataclass_fields__}
    shelf = values.pop("shelf", {})
    if not isinstance(shelf, dict):
        shelf = {}
    parts = {
        k: tuple(v) if isinstance(v, list) else v
        for k, v in shelf.items()
        if k in Shelf.__dataclass_fields__
    }
    recent = values.pop("recent", ())
    units = values.pop("units", ())
    folders = values.pop("folders", ())
    added, ticks = values.pop("added_maps", ()), values.pop("map_ticks", ())
    pulls = values.pop("pull_mappings", ())
    chosen = Choices(
        shelf=Shelf(**parts),
        recent=_texts(recent),
        added_maps=_texts(added),
        pull_mappings=_texts(pulls),
        map_ticks=tuple((key, on == "True") for key, on in _pairs(ticks)),
        units=_units(units),
        folders=_pairs(folders),
        **values,  # type: ignore[arg-type]
    )
    if chosen.theme not in ("light", "dark") or chosen.system not in ("si", "us"):
        raise ValueError("unknown choice")
    if not 0.7 <= float(chosen.text_scale) <= 2.5:
        raise ValueError("text scale")
    if chosen.error_bar_samples not in SAMPLE_COUNTS:
        chosen = replace(chosen, error_bar_samples=SAMPLE_COUNTS[2])
    return chosen


def _texts(kept: object) -> tuple[str, ...]:
    """Texts as they were kept."""
    return tuple(str(one) for one in kept) if isinstance(kept, (list, tuple)) else ()


def _units(kept: object) -> tuple[tuple[str, str], ...]:
    """Units of the user's own; one that is no longer known is left to the system's."""
    return tuple((k, unit) for k, unit in _pairs(kept) if k in kinds() and unit in units_of(k))


def _pairs(kept: object) -> tuple[tuple[str, str], ...]:
    """Pairs of texts as they were kept."""
    if not isinstance(kept, list):
        return ()
    pairs = [pair for pair in kept if isinstance(pair, list) and len(pair) == 2]
    return tuple((str(first), str(second)) for first, second in pairs)
