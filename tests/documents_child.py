"""A program that edits a build until it is killed: FOLDER SEED PACE_MS [FILE].

Every 20 to 60 ms one edit through the event loop; each is printed with its time when it is done.
With a FILE it saves after every nine edits.
Edit n sets the blower pulley to 50 mm and n hundredths.
"""

import random
import sys
import time
from pathlib import Path

from PySide6.QtCore import QTimer
from PySide6.QtGui import QGuiApplication

import app.gui.journal as journal_module
from app.gui.document import Document, new_gesture
from app.gui.journal import Journal
from engine_model.files.build_file import load_build

SAMPLE = Path(__file__).parent.parent / "sample_maps" / "road-six.build.json"


def say(*words: object) -> None:
    sys.stdout.write(" ".join(map(str, words)) + "\n")
    sys.stdout.flush()


def main() -> int:
    folder, chance = Path(sys.argv[1]), random.Random(int(sys.argv[2]))
    journal_module.PACE_MS = int(sys.argv[3])
    file = Path(sys.argv[4]) if len(sys.argv) > 4 else None
    application = QGuiApplication(sys.argv[:1])
    document = Document(load_build(SAMPLE))
    journal = Journal(document, folder)
    journal.trouble.connect(lambda words: say("trouble", words))
    state = {"edit": 0, "gesture": new_gesture()}

    def edit() -> None:
        state["edit"] += 1
        number = state["edit"]
        if number % 7 == 0:
            state["gesture"] = new_gesture()
        gesture = state["gesture"] if number % 14 < 7 else None  # now a drag, now single steps
        document.edit("drive.blower_pulley_diameter", 0.05 + 1e-5 * number, gesture)
        say("edit", number, time.time())
        if file is not None and number % 9 == 0:
            document.save(file)
            say("saved", number, time.time())
        QTimer.singleShot(chance.randint(20, 60), edit)

    QTimer.singleShot(0, edit)
    return application.exec()


if __name__ == "__main__":
    sys.exit(main())
