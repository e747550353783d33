"""A curve in the making: places of the pen, and the ink followed between them."""

from __future__ import annotations

from math import hypot

from engine_model.tracing.edits import add_curve
from engine_model.tracing.follow import PreparedPicture, follow_between
from engine_model.tracing.trace import CurveKind, Node, Point, Trace

SAME_CLICK = 1.0
"""Clicks nearer than this are one [pixel]; chosen here."""


class Stroke:
    """Nodes and the paths between them, on the picture as it was opened.

    Parameters
    ----------
    kind : str
        Kind of the curve.
    value : float, optional
        Its corrected speed [rpm] or efficiency [-].
    """

    def __init__(self, kind: CurveKind, value: float | None = None) -> None:
        self.kind = kind
        self.value = value
        self.nodes: list[Node] = []
        self._pieces: list[tuple[Point, ...]] = []

    @property
    def is_empty(self) -> bool:
        """Whether the pen was not set yet."""
        return not self.nodes

    @property
    def path(self) -> list[Point]:
        """Points followed so far."""
        return [point for piece in self._pieces for point in piece]

    def add(self, place: Point, free: bool, prepared: PreparedPicture | None) -> bool:
        """Set the pen at a place; whether that is a new one."""
        if self.nodes and hypot(place[0] - self._last[0], place[1] - self._last[1]) < SAME_CLICK:
            return False
        if self.nodes:
            self._pieces.append(self.ahead(place, free, prepared))
        self.nodes.append(Node(*place, free=free))
        return True

    def ahead(
        self, place: Point, free: bool, prepared: PreparedPicture | None
    ) -> tuple[Point, ...]:
        """Path from the last node to a place, as a click there would draw it."""
        if not self.nodes:
            return ()
        if prepared is None:
            return (self._last, place)
        before = self.nodes[-2].place if len(self.nodes) > 1 else None
        return follow_between(prepared, self._last, place, before, None, free)

    def take_back(self) -> bool:
        """Take the last place back; whether there was one."""
        if not self.nodes:
            return False
        self.nodes.pop()
        if self._pieces:
            self._pieces.pop()
        return True

    def into(self, trace: Trace, closed: bool) -> Trace:
        """Trace with this curve, the last; raises InputError where it has too few places."""
        return add_curve(trace, self.kind, self.nodes, self.value, closed)

    @property
    def _last(self) -> Point:
        return self.nodes[-1].place
