"""What the canvas shows, and where pointer and keys stand. Plain state, no drawing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from app.chart_tools.palette import LIGHT, Palette
from app.gui.places.trace.inks import mark_sign
from app.gui.places.trace.layers import Picture
from app.gui.places.trace.shapes import (
    CurveView,
    Hit,
    KnownPoint,
    Mark,
    nearest,
    nearest_on_path,
    point_at,
)
from app.gui.places.trace.view import View

Floats = NDArray[np.float64]

NODE_REACH, PATH_REACH, POINT_REACH = 9.0, 7.0, 11.0
"""How near the pointer must come, in widget pixels."""


def no_words(x: float, y: float) -> str:
    """Words of a picture point where the owner gives none."""
    return f"{x:.1f}, {y:.1f} px"


@dataclass(slots=True)
class Scene:
    """All that is drawn.

    Attributes
    ----------
    moved : tuple of float or None
        Where a node or known point that is being moved stands now, in picture pixels.
    """

    ground: Palette = LIGHT
    picture: Picture | None = None
    dimming: float = 0.0
    curves: list[CurveView] = field(default_factory=list)
    overlay: list[tuple[Floats, str]] = field(default_factory=list)
    points: list[KnownPoint] = field(default_factory=list)
    preview: Floats | None = None
    words: Callable[[float, float], str] = no_words
    empty_words: str = "No picture on the table yet"
    mode: str = "look"
    loupe: bool = False
    free: bool = False
    aim: tuple[float, float] | None = None
    by_keys: bool = False
    under: Hit | None = None
    chosen: Hit | None = None
    point_under: int = -1
    point_chosen: int = -1
    mark_under: Mark | None = None
    closes: bool = False
    moved: tuple[float, float] | None = None

    def curve(self, key: int) -> CurveView | None:
        """Curve of a key."""
        return next((one for one in self.curves if one.key == key), None)

    @property
    def selected(self) -> CurveView | None:
        """The chosen curve."""
        return next((one for one in self.curves if one.selected), None)

    def node_spot(self, hit: Hit) -> tuple[float, float] | None:
        """Picture point of a node; nothing where it is gone."""
        curve = self.curve(hit.key)
        if curve is None or not 0 <= hit.node < len(curve.nodes):
            return None
        return float(curve.nodes[hit.node, 0]), float(curve.nodes[hit.node, 1])

    def find(self, view: View, x: float, y: float) -> Hit | None:
        """Node or curve at widget pixels: nodes first, the chosen curve first."""
        at = view.to_picture(x, y)
        ordered = sorted(self.curves, key=lambda one: not one.selected)
        best: tuple[float, Hit] | None = None
        for curve in ordered:
            node, distance = nearest(curve.nodes, *at)
            distance *= view.zoom
            # a node of the chosen curve wins over one of another at the same spot
            if distance <= NODE_REACH and (best is None or distance < best[0] - 2.0):
                best = distance, Hit(curve.key, node)
        if best is not None:
            return best[1]
        for curve in ordered:
            _, distance = nearest_on_path(curve.path, *at)
            distance *= view.zoom
            if distance <= PATH_REACH and (best is None or distance < best[0] - 1.0):
                best = distance, Hit(curve.key, -1)
        return best[1] if best is not None else None

    def find_point(self, view: View, x: float, y: float) -> int:
        """Number of the known point at widget pixels, or -1."""
        at = view.to_picture(x, y)
        spots = np.array([(one.x, one.y) for one in self.points]).reshape(-1, 2)
        index, distance = nearest(spots, *at)
        return index if distance * view.zoom <= POINT_REACH else -1

    def find_mark(self, view: View, x: float, y: float) -> Mark | None:
        """Mark whose sign or spot is at widget pixels."""
        for curve in self.curves:
            for mark in curve.marks:
                spot = curve.mark_spot(mark)
                if spot is None:
                    continue
                at = view.to_widget(*spot)
                for px, py in (at, mark_sign(*at)):
                    if np.hypot(px - x, py - y) <= NODE_REACH:
                        return Mark(*mark)
        return None

    def at_start(self, view: View, x: float, y: float) -> bool:
        """Whether widget pixels lie at the first node of the curve under the pen."""
        curve = self.selected
        if curve is None or curve.closed or len(curve.nodes) < 3:
            return False
        px, py = view.to_widget(float(curve.nodes[0, 0]), float(curve.nodes[0, 1]))
        return bool(np.hypot(px - x, py - y) <= NODE_REACH)

    def on_path(self, key: int, x: float, y: float) -> tuple[float, float, float] | None:
        """Place on the path of a curve nearest a picture point, and its picture point."""
        curve = self.curve(key)
        if curve is None or len(curve.path) == 0:
            return None
        place, _ = nearest_on_path(curve.path, x, y)
        return (place, *point_at(curve.path, place))

    def plate(self) -> str:
        """Words on the point aimed at and on what lies there; empty without one."""
        if self.aim is None or self.picture is None:
            return ""
        parts = [self.words(*(self.moved if self.moved is not None else self.aim))]
        hit = self.under if self.chosen is None or self.moved is None else self.chosen
        curve = self.curve(hit.key) if hit is not None and self.mode == "edit" else None
        if curve is not None and hit is not None:
            name = curve.label or curve.kind
            parts.append(f"point {hit.node + 1} of {name}" if hit.node >= 0 else name)
        if self.closes and self.mode == "pen":
            parts.append("closes the curve")
        elif self.free and self.mode == "pen":
            parts.append("free stretch")
        if self.mark_under is not None:
            parts.append(self.mark_under.words)
        return "  ·  ".join(part for part in parts if part)

    def forget(self) -> None:
        """Let go of what no longer is there, after curves or points have changed."""
        self.moved = None
        if self.chosen is not None and self.node_spot(self.chosen) is None:
            self.chosen = None
        if self.under is not None and self.curve(self.under.key) is None:
            self.under = None
        if self.point_chosen >= len(self.points):
            self.point_chosen = -1
        if self.point_under >= len(self.points):
            self.point_under = -1
        if self.mark_under is not None and not any(
            self.mark_under == Mark(*one) for curve in self.curves for one in curve.marks
        ):
            self.mark_under = None
