"""What mouse and keys do to curves that stand already."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QKeyEvent

from app.gui.places.trace.shapes import Hit, node_places, point_at, segment_at
from app.gui.places.trace.tools import Cursor, Key, NudgeTool

CONTROL = Qt.KeyboardModifier.ControlModifier
SHIFT = Qt.KeyboardModifier.ShiftModifier


class EditTool(NudgeTool):
    """Chooses curves and nodes, moves, inserts and deletes nodes."""

    help = (
        "Click chooses a curve, drag moves a point, double click or Ctrl+click on a curve adds "
        "a point, Delete removes the chosen one. N and Shift+N choose the next and previous "
        "point, C and Shift+C the curve; arrow keys move the chosen point, Insert adds one "
        "after it, Escape lets it go. M is the loupe."
    )

    def cursor(self) -> Cursor:
        """Shape by what lies under."""
        under = self.scene.under
        if self.scene.loupe and self.gripped:
            return Cursor.BlankCursor
        if under is None:
            return Cursor.ArrowCursor
        return Cursor.SizeAllCursor if under.node >= 0 else Cursor.PointingHandCursor

    def pans(self, at: QPointF) -> bool:
        """From empty ground."""
        return self.scene.find(self.canvas.view, at.x(), at.y()) is None

    def chosen_spot(self) -> tuple[float, float] | None:
        """Picture point of the chosen node."""
        return self.scene.node_spot(self.scene.chosen) if self.scene.chosen is not None else None

    def tell(self, x: float, y: float, final: bool) -> None:
        """Emit where the chosen node stands."""
        hit = self.scene.chosen
        if hit is not None:
            self.canvas.node_moved.emit(hit.key, hit.node, x, y, final)

    def press(self, at: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        """Take hold of a node, choose a curve, or add a node with Ctrl."""
        self.settle()
        hit = self.scene.find(self.canvas.view, at.x(), at.y())
        if hit is None:
            return
        if hit.node >= 0:
            self.choose(hit)
            spot = self.chosen_spot()
            if spot is not None:  # gone where the owner changed the curves meanwhile
                self.grip(at, spot)
        elif modifiers & CONTROL:
            self._insert(hit.key, at)
        else:
            self._choose_curve(hit.key)

    def move(self, at: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        """Drag, or look what is under."""
        if self.gripped:
            self.drag(at)
            return
        self.scene.under = self.scene.find(self.canvas.view, at.x(), at.y())
        self.scene.mark_under = self.scene.find_mark(self.canvas.view, at.x(), at.y())

    def release(self, at: QPointF) -> None:
        """End of a drag; the node stays chosen for the keys."""
        self.let_go()

    def double(self, at: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        """Add a node on a path."""
        hit = self.scene.find(self.canvas.view, at.x(), at.y())
        if hit is not None and hit.node < 0:
            self._insert(hit.key, at)

    def menu(self, at: QPointF, where: QPoint) -> None:
        """Ask for a menu on what lies there."""
        self.leave()
        hit = self.scene.find(self.canvas.view, at.x(), at.y())
        if hit is None:
            return
        if hit.node >= 0:
            self.choose(hit)
        else:
            self._choose_curve(hit.key)
        self.canvas.menu_asked.emit(hit.key, hit.node, where)

    def key(self, event: QKeyEvent) -> bool:
        """Keys of the help."""
        pressed, scene = event.key(), self.scene
        back = bool(event.modifiers() & SHIFT)
        chosen = scene.chosen
        if pressed == Key.Key_N:
            self._walk_nodes(-1 if back else 1)
        elif pressed == Key.Key_C and not event.modifiers() & CONTROL:
            self._walk_curves(-1 if back else 1)
        elif pressed in (Key.Key_Delete, Key.Key_Backspace) and chosen is not None:
            self.settle()
            self.canvas.node_deleted.emit(chosen.key, chosen.node)
        elif pressed == Key.Key_Insert and chosen is not None:
            self.settle()
            self._insert_after(chosen)
        elif pressed in (Key.Key_Return, Key.Key_Enter) and scene.by_keys and scene.aim:
            self.press(QPointF(*self.canvas.view.to_widget(*scene.aim)), event.modifiers())
            self.let_go()
        elif pressed == Key.Key_Escape:
            if not self.cancel():
                if chosen is None:
                    return False
                self.choose(None)
        else:
            return False
        self.canvas.refresh()
        return True

    def choose(self, hit: Hit | None) -> None:
        """Choose a node; its curve with it."""
        self.settle()
        if hit is not None:
            self._choose_curve(hit.key, keep_node=True)
        if hit != self.scene.chosen:
            self.scene.chosen = hit
            self.canvas.node_chosen.emit(*((hit.key, hit.node) if hit is not None else (-1, -1)))
        self.canvas.refresh()

    def ground_clicked(self) -> None:
        """Let go of the node."""
        if self.scene.chosen is not None:
            self.choose(None)

    def leave(self) -> None:
        """A drag that is lost ends where it is."""
        super().leave()
        self.scene.under = self.scene.mark_under = None

    def _choose_curve(self, key: int, *, keep_node: bool = False) -> None:
        if not keep_node:
            self.ground_clicked()
        curve = self.scene.curve(key)
        if curve is not None and not curve.selected:
            self.canvas.curve_chosen.emit(key)

    def _insert(self, key: int, at: QPointF) -> None:
        found = self.scene.on_path(key, *self.canvas.view.to_picture(at.x(), at.y()))
        curve = self.scene.curve(key)
        if found is not None and curve is not None:
            place, x, y = found
            self.canvas.node_inserted.emit(key, segment_at(curve, place), x, y)

    def _insert_after(self, hit: Hit) -> None:
        """Add a node half way along the path to the next one; at the end, to the one before."""
        curve = self.scene.curve(hit.key)
        if curve is None:
            return
        places = node_places(curve)
        segment = min(hit.node, len(places) - 2)
        if segment < 0:
            return
        middle = 0.5 * (float(places[segment]) + float(places[segment + 1]))
        self.canvas.node_inserted.emit(hit.key, segment, *point_at(curve.path, middle))

    def _walk_nodes(self, step: int) -> None:
        self.settle()
        chosen, curve = self.scene.chosen, self.scene.selected
        if chosen is not None:
            curve = self.scene.curve(chosen.key)
        elif curve is None and self.scene.curves:
            curve = self.scene.curves[0]
        if curve is None or len(curve.nodes) == 0:
            return
        count = len(curve.nodes)
        start = chosen.node if chosen is not None else (-1 if step > 0 else 0)
        self.choose(Hit(curve.key, (start + step) % count))
        self._show_chosen()

    def _walk_curves(self, step: int) -> None:
        curves = self.scene.curves
        if not curves:
            return
        now = next((k for k, one in enumerate(curves) if one.selected), -1 if step > 0 else 0)
        self._choose_curve(curves[(now + step) % len(curves)].key)

    def _show_chosen(self) -> None:
        spot = self.chosen_spot()
        if spot is not None:
            self.canvas.aim_at(*spot, by_keys=True)
