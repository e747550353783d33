"""Known points of the axes as far as they go: places marked, values typed, in any order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from app.gui.places.trace.panels.known_points import CHECK, FEWEST, PointEntry
from engine_model.tracing.trace import Axes, Point


@dataclass(frozen=True, slots=True)
class DeskPoint:
    """A known point in the making: its place [pixel], its flow [any], its pressure ratio [-]."""

    place: Point | None = None
    flow: float | None = None
    pressure_ratio: float | None = None

    @property
    def is_whole(self) -> bool:
        """Whether the axes can use it."""
        return None not in (self.place, self.flow, self.pressure_ratio)

    @property
    def shown(self) -> PointEntry:
        """The point as the table shows it."""
        return PointEntry(self.place is not None, self.flow, self.pressure_ratio)


class PointsDesk:
    """Keeps unfinished points beside those that the axes hold already."""

    def __init__(self) -> None:
        self.points: list[DeskPoint] = [DeskPoint()] * FEWEST
        self.check = DeskPoint()

    def at(self, number: int) -> DeskPoint:
        """Point of a number; -1 the check point."""
        if number == CHECK:
            return self.check
        return self.points[number] if number < len(self.points) else DeskPoint()

    def change(self, number: int, **known: object) -> None:
        """Take over what is known of a point now."""
        point = replace(self.at(number), **known)  # type: ignore[arg-type]
        if number == CHECK:
            self.check = point
            return
        while len(self.points) <= number:
            self.points.append(DeskPoint())
        self.points[number] = point

    def next_to_mark(self) -> int | None:
        """Number of the first point without a place; the check point comes last."""
        for number, point in enumerate(self.points):
            if point.place is None:
                return number
        return CHECK if self.check.place is None and self.check.flow is not None else None

    def follow(self, axes: Axes) -> None:
        """Take over the axes, as after an undo; unfinished points stay where there is room."""
        if self._whole() == (axes.places_px, axes.values) and self._checked(axes):
            return
        known = [
            DeskPoint(place, *value)
            for place, value in zip(axes.places_px, axes.values, strict=False)
        ]
        if self._whole() != (axes.places_px, axes.values):
            left = [one for one in self.points if not one.is_whole and one != DeskPoint()]
            self.points = [*known, *left]
            self.points += [DeskPoint()] * (FEWEST - len(self.points))
        if not self._checked(axes):
            value = axes.check_value or (None, None)
            self.check = DeskPoint(axes.check_px, *value)

    def into(self, axes: Axes) -> Axes:
        """Axes with the points that are whole."""
        places, values = self._whole()
        check = self.check
        whole = check.is_whole
        return replace(
            axes,
            places_px=places,
            values=values,
            check_px=check.place if whole else None,
            check_value=(check.flow, check.pressure_ratio) if whole else None,
        )

    def shown(self) -> tuple[Sequence[PointEntry], PointEntry]:
        """All points, and the check point, as the table shows them."""
        return [point.shown for point in self.points], self.check.shown

    def _whole(self) -> tuple[tuple[Point, ...], tuple[Point, ...]]:
        whole = [one for one in self.points if one.is_whole]
        return (
            tuple(one.place for one in whole if one.place is not None),
            tuple((float(one.flow or 0.0), float(one.pressure_ratio or 0.0)) for one in whole),
        )

    def _checked(self, axes: Axes) -> bool:
        if not self.check.is_whole:
            return axes.check_px is None
        value = self.check.flow, self.check.pressure_ratio
        return (self.check.place, value) == (axes.check_px, axes.check_value)
