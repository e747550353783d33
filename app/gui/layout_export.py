"""Files of a dialog's chart: what kind, where to, written as those of the other charts."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtWidgets import QDialog, QGraphicsView, QMessageBox, QWidget

from app.chart_tools.palette import Palette
from app.gui.export_dialog import ExportChoice, ExportDialog
from app.gui.file_names import FileKind, ask_save, plain_name
from app.gui.places.line.chart_export import KINDS, ChartExport
from app.gui.preferences import Preferences

TITLE = "Belt round its pulleys, to scale"


@dataclass(frozen=True, slots=True)
class Drawing:
    """A chart with its colours and numbers, and the build that it is of.

    Parameters
    ----------
    chart : QGraphicsView
        The chart.
    palette : Palette
        Its colours.
    build_title : str
        Title of the build.
    invented : bool
        Whether the build is invented.
    numbers : str
        CSV text.
    title : str
        What the chart is.
    name : str
        Its name in the registry, and the end of the file's name.
    """

    chart: QGraphicsView
    palette: Palette
    build_title: str
    invented: bool
    numbers: str
    title: str = TITLE
    name: str = "belt"

    def write(self, choice: ExportChoice, path: Path) -> None:
        """Write a file; raises OSError where it cannot be written."""
        if not self.numbers:
            return
        invented = " (invented)" if self.invented else ""
        today = datetime.date.today().isoformat()
        caption = (f"{self.build_title}{invented}", f"{self.title}, {today}")
        made = ChartExport(self.chart, self.palette, self.title, self.numbers)
        made.write(choice.kind, path, choice.scale, caption)


def ask_export(
    owner: QWidget, preferences: Preferences, drawing: Drawing, last: ExportChoice
) -> ExportChoice:
    """Ask for a kind and a file and write it; what is chosen, to offer it the next time.

    Parameters
    ----------
    owner : QWidget
        Over which the dialogs stand.
    preferences : Preferences
        Keep the folder.
    drawing : Drawing
        The drawing.
    last : ExportChoice
        What is offered.
    """
    dialog = ExportDialog({drawing.name: drawing.title}, last, owner)
    if dialog.exec() != QDialog.DialogCode.Accepted:
        return last
    choice = dialog.choice
    ending = f".{choice.kind}"
    kind = FileKind("chart", "a chart", f"{KINDS[choice.kind]} (*{ending})", (ending,))
    name = f"{plain_name(drawing.build_title)}-{drawing.name.replace('_', '-')}{ending}"
    path = ask_save(owner, preferences, kind, name, "Export the drawing")
    if path is not None:
        try:
            drawing.write(choice, path)
        except OSError as error:
            QMessageBox.warning(owner, "Not written", f"{error}.")
    return choice
