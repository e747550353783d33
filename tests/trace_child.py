"""A program that traces until it is killed: FOLDER SEED PACE_MS.

Every 20 to 60 ms one edit through the event loop; each is printed with its time when it is done.
Edit n moves a point and gives the compressor map the name "Edit n".
"""

import random
import sys
import time
from dataclasses import replace
from pathlib import Path

from conftest import read_sample_map
from PySide6.QtCore import QTimer
from PySide6.QtGui import QGuiApplication
from tracing_cases import trace_of

import app.gui.places.trace.trace_journal as journal_module
from app.gui.places.trace.trace_document import TraceDocument
from app.gui.places.trace.trace_journal import TraceJournal
from engine_model.tracing.edits import move_node


def say(*words: object) -> None:
    sys.stdout.write(" ".join(map(str, words)) + "\n")
    sys.stdout.flush()


def main() -> int:
    folder, chance = Path(sys.argv[1]), random.Random(int(sys.argv[2]))
    journal_module.PACE_MS = int(sys.argv[3])
    application = QGuiApplication(sys.argv[:1])
    document = TraceDocument()
    document.begin(trace_of(read_sample_map("frame-95-middle")), folder / "a.map.json")
    journal = TraceJournal(document, folder)
    journal.trouble.connect(lambda words: say("trouble", words))
    state = {"edit": 0}

    def edit() -> None:
        state["edit"] += 1
        number = state["edit"]
        trace = document.trace
        place = trace.curves[0].nodes[1].place
        moved = move_node(trace, 0, 1, place[0] + 0.1, place[1])
        document.edit(replace(moved, title=f"Edit {number}"), "Move a point")
        say("edit", number, time.time())
        QTimer.singleShot(chance.randint(20, 60), edit)

    QTimer.singleShot(0, edit)
    return application.exec()


if __name__ == "__main__":
    sys.exit(main())
