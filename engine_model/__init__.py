"""The engine airflow model of Pulleywright: builds and days in, operating lines out."""

from __future__ import annotations

import importlib
from typing import Any

_HOMES = {
    "match": "engine_model.matching",
    "match_many": "engine_model.matching",
    "ledger_over_days": "engine_model.matching",
    "judge_days": "engine_model.matching",
    "pulley_for_boost": "engine_model.matching",
    "default_engine_speeds": "engine_model.matching",
    "pulley_span": "engine_model.studies.pulley_span",
    "compressor_study": "engine_model.studies.compressor_study",
    "CompressorAim": "engine_model.studies.compressor_records",
    "run_scene": "engine_model.studies.surge_run",
    "Scene": "engine_model.inputs",
    "WorstCase": "engine_model.studies.span_records",
    "full_throttle_run": "engine_model.studies.full_throttle",
    "load_pull": "engine_model.files.pull_log",
    "reconcile": "engine_model.studies.reconcile",
    "pull_standards": "engine_model.studies.corrected_pull",
    "engine_speed_weights": "engine_model.studies.full_throttle",
    "fit_surface": "engine_model.compressor.surface_fit",
    "load_map": "engine_model.files.map_file",
    "save_map": "engine_model.files.map_file",
    "load_build": "engine_model.files.build_file",
    "save_build": "engine_model.files.build_file",
    "Build": "engine_model.inputs",
    "Day": "engine_model.inputs",
    "NAMED_DAYS": "engine_model.inputs",
    "Variation": "engine_model.inputs",
    "Match": "engine_model.results",
    "OperatingLine": "engine_model.results",
    "Entry": "engine_model.results",
    "InputError": "engine_model.errors",
}

__all__ = sorted(_HOMES)


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(importlib.import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    return __all__
