"""Rows that were worked out, and of which question: what holds is shown, what does not is old."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from app.gui.places.compressors.candidates import Candidate
from app.gui.places.compressors.study import Asked, asked_of
from app.present.compressor_sayings import not_judged_of
from app.present.compressor_shown import BROKEN, DONE, OFF, OLD, WAITING, ShownRow
from engine_model.inputs import Build, Day
from engine_model.studies.compressor_records import CompressorAim, CompressorRow
from engine_model.studies.compressor_sizes import with_candidate

KEPT = 6
"""Answers kept of a candidate: a question asked before is answered at once."""


class Answers:
    """Answers by candidate."""

    def __init__(self) -> None:
        self._rows: dict[str, list[tuple[Asked, CompressorRow]]] = {}

    def asked(
        self, candidate: Candidate, build: Build, days: Sequence[Day], question: CompressorAim
    ) -> Asked:
        """What a row of a candidate has to answer."""
        assert candidate.compressor_map is not None
        whole = with_candidate(build, candidate.compressor_map)
        return Asked(asked_of(whole, question), tuple(days), question)

    def keep(self, key: str, asked: Asked, row: CompressorRow) -> None:
        """Keep a row."""
        kept = [pair for pair in self._rows.get(key, []) if pair[0] != asked]
        self._rows[key] = [*kept, (asked, row)][-KEPT:]

    def find(self, key: str, asked: Asked) -> CompressorRow | None:
        """The row that answers a question; it counts as the last one from then on."""
        kept = self._rows.get(key, [])
        for pair in kept:
            if pair[0] == asked:
                self._rows[key] = [*(one for one in kept if one is not pair), pair]
                return pair[1]
        return None

    def last(self, key: str) -> tuple[Asked, CompressorRow] | None:
        """The row worked out last for a candidate, and what it answers."""
        kept = self._rows.get(key)
        return kept[-1] if kept else None

    def forget(self) -> None:
        """Drop all rows: they are of another build."""
        self._rows.clear()

    def shown(self, place: int, candidate: Candidate, asked: Asked | None) -> ShownRow:
        """A candidate as it stands in the table.

        Parameters
        ----------
        place : int
            Its place among the candidates.
        candidate : Candidate
            It.
        asked : Asked or None
            What its row has to answer; none where it is not chosen.
        """
        one = candidate
        status, row = BROKEN if one.compressor_map is None else OFF, None
        speeds: tuple[float, ...] = ()
        missing: tuple[str, ...] = ()
        aim = ""
        if asked is not None:
            row, status, of = self.find(one.key, asked), DONE, asked
            if row is None:
                last = self.last(one.key)
                status = WAITING if last is None else OLD
                if last is not None:
                    of, row = last
            speeds, aim = of.question.speeds, of.question.aim
        if asked is not None and row is not None:
            row = replace(row, place=place)
            missing = not_judged_of(asked.build, [day.day for day in row.days])
        words = (one.key, one.title, one.source)
        return ShownRow(*words, status, row, one.sentence, one.is_own, speeds, aim, missing)
