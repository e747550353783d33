"""The menu of a curve, or of a point of it, on the picture."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QPoint
from PySide6.QtWidgets import QMenu

from app.gui.places.trace.desk import TraceDesk
from app.present.trace_words import curve_title
from engine_model.tracing import edits
from engine_model.tracing.trace import Trace, TracedCurve


def open_curve_menu(desk: TraceDesk, trace: Trace, index: int, node: int, where: QPoint) -> None:
    """Show the menu at a place of the screen; what is chosen is done."""
    if index >= len(trace.curves):
        return
    menu = curve_menu(desk, trace.curves[index], index, node)
    menu.exec(where)
    menu.deleteLater()


def curve_menu(desk: TraceDesk, curve: TracedCurve, index: int, node: int) -> QMenu:
    """Return the menu of a curve; node is -1 where none is meant."""
    menu = QMenu(desk.canvas)
    title = curve_title(curve.kind, curve.value)

    def offer(words: str, edit, told: str) -> None:  # type: ignore[no-untyped-def]
        menu.addAction(words, lambda: desk.change(index, edit, told))

    if node >= 0:
        offer(
            "Delete this point", partial(edits.delete_node, index=index, node=node),
            "Delete a point",
        )  # fmt: skip
        inner = curve.closed or 0 < node < len(curve.nodes) - 1
        if inner:
            offer("Split here", partial(edits.split_at, index=index, node=node), "Split a curve")
        _offer_stretches(desk, menu, curve, index, node)
        menu.addSeparator()
    offer(f"Reverse {title}", partial(edits.reverse, index=index), "Reverse a curve")
    menu.addAction(f"Follow {title} again", lambda: desk.follow_again(index))
    if curve.kind == "island":
        change = edits.open_curve if curve.closed else edits.close_curve
        words = "Open" if curve.closed else "Close"
        offer(f"{words} {title}", partial(change, index=index), f"{words} an island")
    menu.addSeparator()
    offer(f"Delete {title}", partial(edits.delete_curve, index=index), f"Delete {title}")
    return menu


def _offer_stretches(
    desk: TraceDesk, menu: QMenu, curve: TracedCurve, index: int, node: int
) -> None:
    """Offer the stretches beside a point: along the ink, or free."""
    count = len(curve.nodes)
    for stretch, side in ((node - 1, "before"), (node, "after")):
        number = stretch % count if curve.closed else stretch
        if not 0 <= number < curve.stretches:
            continue
        free = curve.nodes[(number + 1) % count].free
        words = f"Stretch {side} it: " + ("follow the ink" if free else "free, without following")
        edit = partial(edits.set_free, index=index, stretch=number, free=not free)
        told = "Follow the ink" if free else "Free stretch"
        menu.addAction(words, lambda edit=edit, told=told: desk.change(index, edit, told))
