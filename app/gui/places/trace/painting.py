"""Draws the scene of the canvas: kept layers below, what moves above."""

from __future__ import annotations

from collections.abc import Hashable

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter

from app.chart_tools.canvas import Metrics, font, pen
from app.chart_tools.palette import Palette
from app.chart_tools.parts import Text, backing_of
from app.chart_tools.placing import Box, Placer, around
from app.gui.places.trace.inks import (
    curve_colour,
    draw_cross,
    draw_glow,
    draw_marks,
    draw_moving,
    draw_node,
    draw_overlay,
    draw_plain,
    draw_point,
    draw_preview,
    draw_resting,
    draw_small_nodes,
    pieces_of,
)
from app.gui.places.trace.labels import Names, place_labels
from app.gui.places.trace.layers import KeptLayer, dimmed_colour, inks_on
from app.gui.places.trace.loupe import draw_loupe
from app.gui.places.trace.scene import Scene
from app.gui.places.trace.shapes import CurveView, Hit, looks_same
from app.gui.places.trace.view import View

EDGE = 8.0
"""Distance of the plate with the words from the corner, in widget pixels."""


class Painting:
    """Painter of a scene; keeps pixmaps of what rests.

    Parameters
    ----------
    scene : Scene
        What to draw.
    """

    def __init__(self, scene: Scene) -> None:
        self._scene = scene
        self._picture = KeptLayer(opaque=True)
        self._overlay, self._rest = KeptLayer(), KeptLayer()
        self._overlay_round = self._rest_round = self._picture_round = 0
        self._resting: list[CurveView] = []
        self._names: Names | None = None
        self._names_key: Hashable = None
        self._names_round = 0
        self._taken: list[Box] = []
        self.draft = False
        self._labels = Metrics(font(11))
        self._bold = Metrics(font(11, bold=True))
        self._words = Metrics(font(12))

    def picture_changed(self) -> None:
        """Draw all anew."""
        self._picture_round += 1
        self.settle()

    def overlay_changed(self) -> None:
        """Draw the predicted curves anew."""
        self._overlay_round += 1

    def curves_changed(self) -> None:
        """Draw the resting curves anew, unless they are as they were.

        The chosen one does not rest: it is drawn at every paint.
        """
        resting = [one for one in self._scene.curves if not one.selected]
        same = len(resting) == len(self._resting) and all(
            looks_same(one, other) for one, other in zip(resting, self._resting, strict=True)
        )
        if not same:
            self._resting = resting
            self._rest_round += 1

    def settle(self) -> None:
        """Draw properly and place the names anew, after the view has changed."""
        self.draft = False
        self._names_round += 1

    def paint(self, painter: QPainter, view: View | None, size: QSize, *, focused: bool) -> None:
        """Draw all."""
        scene = self._scene
        ground = scene.ground
        whole = QRectF(0.0, 0.0, size.width(), size.height())
        inks = inks_on(scene.picture, ground, scene.dimming)
        if view is None or scene.picture is None:
            painter.fillRect(whole, QColor(ground.background))
            painter.setFont(self._words.font)
            painter.setPen(QColor(ground.faint_text))
            painter.drawText(whole, Qt.AlignmentFlag.AlignCenter, scene.empty_words)
        else:
            shown = (scene.dimming, ground.name, self._picture_round)
            self._picture.paint(painter, view, size, shown, self._draw_picture)
            if scene.overlay:
                key = (inks.name, self._overlay_round)
                self._overlay.paint(
                    painter, view, size, key,
                    lambda p, v, b: draw_overlay(p, scene.overlay, v, b, inks), draft=self.draft,
                )  # fmt: skip
            if self._resting:
                key = (inks.name, self._rest_round, scene.mode == "edit")
                self._rest.paint(
                    painter, view, size, key,
                    lambda p, v, b: self._draw_rest(p, v, b, inks), draft=self.draft,
                )  # fmt: skip
                self._draw_names(painter, view, size, inks)
            self._draw_moving(painter, view, whole, inks)
            self._draw_plate(painter, whole, ground)
        if focused:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(pen(ground.clear, 2.0))
            painter.drawRect(whole.adjusted(1.0, 1.0, -1.0, -1.0))

    def _draw_picture(self, painter: QPainter, view: View, bounds: QRectF) -> None:
        scene = self._scene
        assert scene.picture is not None
        painter.fillRect(bounds, QColor(scene.ground.background))
        scene.picture.draw(painter, view, bounds)
        edge = scene.picture.frame(view)
        if scene.dimming > 0.0:
            painter.fillRect(
                edge.intersected(bounds), dimmed_colour(scene.ground.canvas, scene.dimming)
            )
        painter.setPen(pen(scene.ground.frame, 1.0))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(edge.adjusted(-0.5, -0.5, 0.5, 0.5))

    def _draw_rest(self, painter: QPainter, view: View, bounds: QRectF, inks: Palette) -> None:
        resting = [(one, pieces_of(one, view, bounds)) for one in self._resting]
        draw_resting(painter, resting, bounds, inks)
        if self._scene.mode == "edit":
            draw_small_nodes(painter, self._resting, view, inks)
        for curve in self._resting:
            draw_marks(painter, curve, view, inks)

    def _draw_names(self, painter: QPainter, view: View, size: QSize, inks: Palette) -> None:
        """Names of the resting curves: placed once, and anew when the view has settled."""
        key = (inks.name, self._rest_round, self._names_round, size.width(), size.height())
        if self._names is None or key != self._names_key:
            whole = QRectF(0.0, 0.0, size.width(), size.height())
            scene, placer = self._scene, Placer(size.width(), size.height())
            resting = [(one, pieces_of(one, view, whole)) for one in self._resting]
            others = [(one, pieces_of(one, view, whole)) for one in scene.curves if one.selected]
            texts = place_labels(resting, others, view, inks, self._labels, scene.picture, placer)
            self._names, self._names_key, self._taken = Names(texts, view), key, placer.taken
        self._names.draw(painter, view)

    def _draw_moving(self, painter: QPainter, view: View, whole: QRectF, inks: Palette) -> None:
        scene = self._scene
        under = scene.curve(scene.under.key) if scene.under is not None else None
        if under is not None and scene.mode == "edit":
            draw_glow(painter, under, view, whole, inks)
        moving = [one for one in scene.curves if one.selected]
        pieces = [(one, pieces_of(one, view, whole)) for one in moving]
        for curve, seen in pieces:
            draw_moving(painter, curve, seen, inks)
        if scene.preview is not None and scene.mode == "pen" and scene.aim is not None:
            pen_curve = scene.selected
            colour = curve_colour(pen_curve.kind, inks) if pen_curve is not None else inks.line
            draw_preview(painter, scene.preview, view, whole, inks, colour, free=scene.free)
        if scene.mode in ("pen", "edit"):
            self._draw_nodes(painter, view, moving, inks)
        for curve in moving:
            draw_marks(painter, curve, view, inks)
        placer = Placer(whole.width(), whole.height(), taken=list(self._taken))
        for text in place_labels(pieces, (), view, inks, self._bold, scene.picture, placer):
            text.draw(painter)
        self._draw_points(painter, view, whole, inks)
        if scene.aim is None:
            return
        if scene.loupe:
            assert scene.picture is not None
            draw_loupe(painter, scene.picture, view, scene.aim, scene.ground, self._over_loupe)
        elif scene.by_keys:
            draw_cross(painter, *view.to_widget(*scene.aim), inks)

    def _draw_nodes(
        self, painter: QPainter, view: View, moving: list[CurveView], inks: Palette
    ) -> None:
        scene = self._scene
        hits = [Hit(curve.key, k) for curve in moving for k in range(len(curve.nodes))]
        # the chosen and the one under the pointer lie on top
        special = [hit for hit in (scene.under, scene.chosen) if hit is not None and hit.node >= 0]
        for hit in [one for one in hits if one not in special] + special:
            curve, spot = scene.curve(hit.key), scene.node_spot(hit)
            if curve is None or spot is None:
                continue
            state = "chosen" if hit == scene.chosen else "under" if hit == scene.under else ""
            if state == "chosen" and scene.moved is not None:
                spot = scene.moved
            colour = curve_colour(curve.kind, inks)
            draw_node(painter, *view.to_widget(*spot), colour, inks, state)
        if scene.mode == "pen" and scene.closes and scene.selected is not None:
            x, y = view.to_widget(*map(float, scene.selected.nodes[0]))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(pen(inks.line, 2.0))
            painter.drawEllipse(QPointF(x, y), 11.0, 11.0)

    def _draw_points(self, painter: QPainter, view: View, whole: QRectF, inks: Palette) -> None:
        scene = self._scene
        placer = Placer(whole.width(), whole.height())
        for k, point in enumerate(scene.points):
            spot = (point.x, point.y)
            if k == scene.point_chosen and scene.moved is not None:
                spot = scene.moved
            x, y = view.to_widget(*spot)
            lit = k in (scene.point_under, scene.point_chosen)
            draw_point(painter, point, x, y, inks, lit=lit)
            size = self._bold.width(point.label), self._bold.height
            box = placer.place(around(x, y, *size, 20.0))
            if box is not None and point.label:
                state = inks.state(point.state)
                plate = backing_of(state, 255)
                Text(point.label, box, self._bold, inks.canvas, plate).draw(painter)

    def _over_loupe(self, painter: QPainter, view: View, bounds: QRectF) -> None:
        """Curves and known points inside the loupe, thin: the picture is what counts."""
        scene = self._scene
        inks = inks_on(scene.picture, scene.ground, 0.0)
        for curve in scene.curves:
            draw_plain(painter, curve, view, bounds, inks)
        for k, point in enumerate(scene.points):
            if k == scene.point_chosen and scene.moved is not None:
                continue  # it is being aimed with the crosshair
            x, y = view.to_widget(point.x, point.y)
            draw_point(painter, point, x, y, inks, lit=False, ringed=False)

    def _draw_plate(self, painter: QPainter, whole: QRectF, ground: Palette) -> None:
        """Words on the point aimed at, bottom left."""
        words = self._scene.plate()
        if not words:
            return
        wide, tall = self._words.width(words) + 12.0, self._words.height + 6.0
        plate = QRectF(EDGE, whole.height() - EDGE - tall, wide, tall)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(pen(ground.frame, 1.0))
        painter.setBrush(backing_of(ground.canvas, 235))
        painter.drawRoundedRect(plate, 4.0, 4.0)
        painter.setFont(self._words.font)
        painter.setPen(QColor(ground.text))
        painter.drawText(plate, Qt.AlignmentFlag.AlignCenter, words)
