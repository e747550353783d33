"""The compressors' ranking as numbers for machines."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from app.present.compressor_tables import why_words
from app.present.tables import entry_document, plain
from engine_model.inputs import Build
from engine_model.results import BELT_FIELDS, LINE_FIELDS, Entry
from engine_model.studies.compressor_records import (
    CompressorRanking,
    CompressorRow,
    DayNumbers,
    Room,
    Setting,
)
from engine_model.studies.span_records import NO_BALANCE


def _entry(entry: Entry | None, build: Build) -> dict[str, Any] | None:
    if entry is None:
        return None
    if entry.code != NO_BALANCE:
        return entry_document(entry, build)
    document = {one.name: getattr(entry, one.name) for one in fields(entry)}
    numbers = {k: plain(v) for k, v in document.items() if isinstance(v, float)}
    return {**document, **numbers, "sentence": entry.basis, "numbers": {}}


def _setting(setting: Setting | None) -> dict[str, Any] | None:
    if setting is None:
        return None
    return {
        "blower_pulley_diameter_m": plain(setting.blower_pulley),
        "crank_pulley_diameter_m": plain(setting.crank_pulley),
        "ribs": setting.ribs,
        "boost_gauge_pa": plain(setting.boost),
        "boost_schedule": [list(pair) for pair in setting.boost_schedule],
    }


def _room(room: Room | None, build: Build) -> dict[str, Any] | None:
    if room is None:
        return None
    return {
        "setting": _setting(room.setting),
        "wheel_power_peak_w": plain(room.wheel_power_peak_w),
        "gain_w": plain(room.gain_w),
        "stop": _entry(room.stop, build),
    }


def _day(day: DayNumbers, ranking: CompressorRanking) -> dict[str, Any]:
    build, line = ranking.build, day.line
    belt = build.drive.kind == "belt"
    names = [name for name in LINE_FIELDS if belt or name not in BELT_FIELDS]
    arrays: dict[str, Any] = {n: [plain(v) for v in getattr(line, n).tolist()] for n in names}
    arrays["region"] = [str(name) for name in line.region]
    pairs = zip(ranking.question.speeds, day.wheel_power_at_w.tolist(), strict=True)
    return {
        "day": day.day,
        "wheel_power_peak_w": plain(day.wheel_power_peak_w),
        "flywheel_power_peak_w": plain(day.flywheel_power_peak_w),
        "peak_speed_rpm": plain(day.peak_speed_rpm),
        "boost_peak_pa": plain(day.boost_peak_pa),
        "drive_power_peak_w": plain(day.drive_power_peak_w),
        "weighted_efficiency": plain(day.weighted_efficiency),
        "wheel_power_at": [
            {"engine_speed_rpm": speed, "wheel_power_w": plain(power)} for speed, power in pairs
        ],
        "tightest": _entry(day.tightest, build),
        "line": arrays,
    }


def _row(row: CompressorRow, rank: int, ranking: CompressorRanking) -> dict[str, Any]:
    build = ranking.build
    return {
        "rank": rank,
        "place": row.place,
        "title": row.title,
        "group": row.group,
        "marks": list(row.marks),
        "standing": row.standing,
        "why": why_words(row, build),
        "setting": _setting(row.setting),
        "wheel_power_peak_w": plain(row.wheel_power_peak_w),
        "power_day": row.power_day,
        "target": _entry(row.target, build),
        "target_margin_w": plain(row.target_margin_w),
        "weighted_efficiency": plain(row.weighted_efficiency),
        "efficiency_day": row.efficiency_day,
        "tightest": _entry(row.tightest, build),
        "next_tightest": _entry(row.next_tightest, build),
        "tightest_is_fixed": row.tightest_is_fixed,
        "impeller_limit_rpm": plain(row.impeller_limit),
        "impeller_limit_from": row.impeller_limit_from,
        "used": [plain(share) for share in row.shares],
        "boost_peak_pa": plain(row.boost_peak_pa),
        "drive_power_peak_w": plain(row.drive_power_peak_w),
        "room": _room(row.room, build),
        "days": [_day(day, ranking) for day in row.days],
    }


def ranking_document(ranking: CompressorRanking) -> dict[str, Any]:
    """A ranking for ``compressors --json``: SI, speeds in rpm, nan is null.

    Ranks count within each group.
    """
    build, question = ranking.build, ranking.question
    rows, count = [], dict.fromkeys(("full", "marked"), 0)
    for row in ranking.rows:
        count[row.group] += 1
        rows.append(_row(row, count[row.group], ranking))
    return {
        "build": {"name": build.title, "invented": build.invented},
        "days": list(ranking.days),
        "question": {
            "aim": question.aim,
            "blower_pulleys_m": list(question.blower_pulleys),
            "pulley_step_m": question.pulley_step,
            "crank_pulleys_m": list(question.crank_pulleys),
            "ribs": list(question.ribs),
            "boosts_pa": list(question.boosts),
            "boost_step_pa": question.boost_step,
            "speeds_rpm": list(question.speeds),
        },
        "rows": rows,
    }
