"""The compressor study: which compressor, on which pulley, over every chosen day."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor

from engine_model.compressor.map_data import CompressorMap
from engine_model.inputs import Build, Day
from engine_model.studies.compressor_records import (
    CompressorAim,
    CompressorRanking,
    CompressorRow,
)


def compressor_rows(
    build: Build,
    maps: Sequence[CompressorMap],
    days: Sequence[Day] | None = None,
    question: CompressorAim | None = None,
    *,
    executor: Executor | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Iterator[CompressorRow]:
    """Yield each candidate's row as it is finished."""
    raise NotImplementedError


def compressor_study(
    build: Build,
    maps: Sequence[CompressorMap],
    days: Sequence[Day] | None = None,
    question: CompressorAim | None = None,
    *,
    executor: Executor | None = None,
    progress: Callable[[int, int], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> CompressorRanking:
    """Compressors ranked under an aim; ``progress`` is told (done, all).

    Cancelled, the study returns the rows that were finished.
    """
    raise NotImplementedError
