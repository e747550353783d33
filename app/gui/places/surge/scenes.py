"""The scenes of a build in the place: which is chosen, what was turned, what is saved."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QDialog, QWidget

from app.fields import Units, show
from app.gui.document import Document
from app.gui.places.surge.scene_bar import SceneDialog
from app.present.sentences import refusal
from app.present.surge_scenes import DEFAULT_SCENE, STANDARD_SCENES, scenes_of
from engine_model.default_row import Value
from engine_model.errors import InputError
from engine_model.inputs import Build, Scene
from engine_model.studies.surge_run import with_knobs

PLACE = "surge"
"""Key of the place on the rail."""


class Scenes(QObject):
    """Keeps the scene chosen; knobs turned stand beside the scenes until they are saved.

    Signals
    -------
    changed(restarts)
        The scene or a knob is another one; whether the run begins again.
    refused(sentence)
        A knob cannot stand so.
    """

    changed = Signal(bool)
    refused = Signal(str)

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self.name = DEFAULT_SCENE
        self._turned: dict[str, Scene] = {}
        self._last_timed, self._last_choke = DEFAULT_SCENE, "choke"

    @property
    def known(self) -> dict[str, Scene]:
        """Scenes by name, as saved."""
        return scenes_of(self._document.build)

    @property
    def own(self) -> frozenset[str]:
        """Names of the build's own."""
        return frozenset(one.name for one in self._document.build.scenes)

    @property
    def scene(self) -> Scene:
        """The scene chosen, with what was turned."""
        return self._turned.get(self.name, self.known.get(self.name, STANDARD_SCENES[0]))

    @property
    def is_changed(self) -> bool:
        """Whether a knob was turned."""
        return self.name in self._turned

    def changed_build(self) -> Build:
        """The build with the scene's knobs."""
        return with_knobs(self._document.build, self.scene)

    def title(self, units: Units) -> str:
        """What a run of the scene is called beside another one: its name, and its valve."""
        valve = self.changed_build().surge.valve_diameter
        told = "no valve" if valve is None else f"valve {show(valve, 'length', units)}"
        name = f"{self.name}, changed" if self.is_changed else self.name
        return f"{name}, {told}"

    def choose(self, name: str) -> None:
        """Choose a scene."""
        if name == self.name or name not in self.known:
            return
        self.name = name
        if self.scene.kind == "choke":
            self._last_choke = name
        else:
            self._last_timed = name
        self.changed.emit(True)

    def choose_kind(self, *, choke: bool) -> None:
        """Choose the last scene of the kind that a page shows."""
        if (self.scene.kind == "choke") == choke:
            return
        name = self._last_choke if choke else self._last_timed
        if name not in self.known:
            name = "choke" if choke else DEFAULT_SCENE
        self.choose(name)

    def follow(self) -> None:
        """Let go of what the build no longer has."""
        known = self.known
        self._turned = {name: one for name, one in self._turned.items() if name in known}
        if self.name not in known:
            self.name = DEFAULT_SCENE

    def turn(self, path: str, value: Value) -> None:
        """Turn a knob; one that stands as in the scene again is not turned."""
        scene = self.scene
        build_value = self._document.build.value(path)
        saved = self.known[self.name]
        knobs = {key: one for key, one in scene.knobs if key != path}
        if value != build_value or path in dict(saved.knobs):
            knobs[path] = value
        turned = replace(scene, knobs=tuple(knobs.items()))
        try:
            with_knobs(self._document.build, turned)
        except InputError as error:
            self.refused.emit(refusal(error))
            return
        if dict(turned.knobs) == dict(saved.knobs):
            self._turned.pop(self.name, None)
        else:
            self._turned[self.name] = turned
        self.changed.emit(True)

    def reset(self) -> None:
        """Put the knobs back as they were saved."""
        if self._turned.pop(self.name, None) is not None:
            self.changed.emit(True)

    # into the build, one undo step each

    def _replace(self, scenes: tuple[Scene, ...], words: str) -> None:
        build = replace(self._document.build, scenes=scenes)
        self._document.replace(build, frozenset({"scenes"}), words, place=PLACE)

    def save(self) -> None:
        """Save what was turned in the build's own scene."""
        scene = self._turned.pop(self.name, None)
        if scene is None or self.name not in self.own:
            return
        every = tuple(scene if s.name == self.name else s for s in self._document.build.scenes)
        self._replace(every, f"Save scene {scene.name}")
        self.changed.emit(False)

    def save_as(self, scene: Scene) -> None:
        """Save the scene chosen in the build under a name and question."""
        self._turned.pop(self.name, None)
        self.name = scene.name
        self._replace((*self._document.build.scenes, scene), f"Save scene {scene.name}")
        self.changed.emit(False)

    def rename(self, name: str, question: str) -> None:
        """Give the build's own scene another name and question."""
        old, turned = self.name, self._turned.pop(self.name, None)
        scenes = self._document.build.scenes
        every = tuple(
            replace(s, name=name, question=question) if s.name == old else s for s in scenes
        )
        self.name = name
        if turned is not None:
            self._turned[name] = replace(turned, name=name, question=question)
        self._replace(every, f"Rename scene {old}")
        self.changed.emit(False)

    def delete(self) -> None:
        """Delete the build's own scene."""
        gone = self.name
        self._turned.pop(gone, None)
        every = tuple(s for s in self._document.build.scenes if s.name != gone)
        self.name = gone if gone in {one.name for one in STANDARD_SCENES} else DEFAULT_SCENE
        self._replace(every, f"Delete scene {gone}")
        self.changed.emit(True)

    def ask(self, what: str, parent: QWidget) -> None:
        """Do what the menu of the scene says; names are asked for."""
        scene = self.scene
        if what in ("save", "delete", "reset"):
            getattr(self, what)()
            return
        is_new = what == "save_as"
        taken = frozenset(self.known) - (frozenset() if is_new else {scene.name})
        offered = replace(scene, name=f"my {scene.name}") if is_new else scene
        title = "Save the scene in the build" if is_new else "Name and question of the scene"
        dialog = SceneDialog(title, offered, taken, parent)
        if dialog.exec() == QDialog.DialogCode.Accepted:
            name, question = dialog.name.text().strip(), dialog.question.text().strip()
            if is_new:
                self.save_as(replace(scene, name=name, question=question))
            else:
                self.rename(name, question)
        dialog.deleteLater()
