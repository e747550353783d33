"""Which limits of a pulley span stand first, and on which days they stop it."""

from __future__ import annotations

import numpy as np

from engine_model.studies.span_records import AS_BUILT, PulleySpan


def by_nearness(span: PulleySpan) -> list[tuple[str, str]]:
    """Limits with their case, those first whose edges lie nearest to what stops the span."""
    ends = [x for one in span.allowed for x in (one.low, one.high)] or [span.present.diameter]

    def apart(pair: tuple[str, str]) -> tuple[bool, float]:
        stops = [s.diameter for b in span.bars if (b.code, b.case) == pair for s in b.edges]
        nearest = min((abs(np.log(x / end)) for x in stops for end in ends), default=np.inf)
        return pair[1] != AS_BUILT, float(nearest)

    return sorted(dict.fromkeys((bar.code, bar.case) for bar in span.bars), key=apart)


def days_that_stop(span: PulleySpan, code: str, case: str) -> set[str]:
    """Days on which a limit ends what it alone allows on all of them."""
    row = next(r for r in span.rows if (r.code, r.case) == (code, case))
    stops = [s for one in row.allowed for s in (one.smaller, one.larger) if s is not None]
    return {day for stop in stops for day in stop.days}
