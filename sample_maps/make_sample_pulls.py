"""Write the sample pulls beside this script; all invented: no dyno, engine or car is behind them.

Run ``python sample_maps/make_sample_pulls.py`` after the sample builds; ``--check`` says whether
the files are those of the present program (within the last digit written). The truths are put
into the match of the sample build *road-six*, and noise is laid over it.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent))

from engine_model.air.atmosphere import station_pressure  # noqa: E402
from engine_model.files.build_file import load_build  # noqa: E402
from engine_model.inputs import Build, Day, Variation  # noqa: E402
from engine_model.matching import match_many  # noqa: E402

INVENTED = "# Invented by make_sample_pulls.py: no dyno, engine or car is behind these numbers"
ALIKE = 20.0
"""Readings over which the noise is alike."""


def noise(seed: int, size: int) -> np.ndarray:
    """Noise of unit spread that is alike over some readings, the same on every machine."""
    state, alike = np.random.RandomState(seed), np.exp(-1.0 / ALIKE)
    fresh = state.standard_normal(size)
    found = np.empty(size)
    found[0] = fresh[0]
    for at in range(1, size):
        found[at] = alike * found[at - 1] + np.sqrt(1.0 - alike**2) * fresh[at]
    return found


def readings(
    build: Build, day: Day, speed: np.ndarray, seed: int, slip: np.ndarray, output: float
) -> dict[str, np.ndarray]:
    """Readings of one run: wheel power [W], pressure [Pa], temperatures [K]."""
    line = match_many(build, [day], speed, Variation(slip=slip[None]))
    power = output * line.wheel_power_w[0]
    return {
        "power": power * (1.0 + 0.007 * noise(seed, speed.size)),
        "pressure": line.manifold_pressure_pa[0] + 1000.0 * noise(seed + 1, speed.size),
        "charge": line.manifold_temperature_k[0] + 1.5 * noise(seed + 2, speed.size) + 1.0,
        "discharge": line.discharge_temperature_k[0] + 1.5 * noise(seed + 3, speed.size) - 1.0,
    }


def plain_rows(day: Day, speed: np.ndarray, found: dict[str, np.ndarray]) -> list[str]:
    """Rows of a tidy log, all channels."""
    pressure = float(station_pressure(day.altitude)) if day.pressure is None else day.pressure
    air = f"{day.temperature - 273.15:.1f},{pressure / 1e3:.2f},{100 * day.relative_humidity:.0f}"
    rows = [
        "Time [s],Engine speed [rpm],Wheel power [kW],Manifold pressure abs [kPa],"
        "Charge temperature [C],Discharge temperature [C],Ambient temperature [C],"
        "Station pressure [kPa],Humidity [%]"
    ]
    for at in range(speed.size):
        rows.append(
            f"{0.05 * at:.2f},{speed[at]:.0f},{found['power'][at] / 1e3:.2f},"
            f"{found['pressure'][at] / 1e3:.2f},{found['charge'][at] - 273.15:.1f},"
            f"{found['discharge'][at] - 273.15:.1f},{air}"
        )
    return rows


def speeds(count: int) -> np.ndarray:
    """Engine speeds of a run [rpm]."""
    return np.linspace(2500.0, 6750.0, count)


def clean(build: Build) -> list[str]:
    """Nothing amiss, on the mild day."""
    n, day = speeds(170), build.known_days()["mild"]
    return plain_rows(day, n, readings(build, day, n, 100, np.zeros(n.size), 1.0))


def belt_slip(build: Build) -> list[str]:
    """A belt that slips by 3 % from 5400 rpm on."""
    n, day = speeds(170), build.known_days()["mild"]
    slip = 0.03 * np.clip((n - 5400.0) / 150.0, 0.0, 1.0)
    return plain_rows(day, n, readings(build, day, n, 200, slip, 1.0))


def altitude_hot(build: Build) -> list[str]:
    """At 1800 m on a hot day, the driveline taking a little more than assumed."""
    n, day = speeds(170), build.known_days()["hot and high"]
    return plain_rows(day, n, readings(build, day, n, 300, np.zeros(n.size), 0.97))


def messy(build: Build) -> list[str]:
    """Export with decimal commas, a units row, gaps, bad cells, repeated headers, two runs."""
    n, day = speeds(90), build.known_days()["mild"]
    head = ["Zeit;Drehzahl;Radleistung;Ladedruck;IAT", "s;1/min;PS;bar;°C"]
    rows = list(head)
    ambient = float(station_pressure(day.altitude))
    for run in range(2):
        found = readings(build, day, n, 400 + 10 * run, np.zeros(n.size), 1.0)
        for at in range(n.size):
            cells = [
                f"{40 * run + 0.1 * at:.1f}",
                f"{n[at]:.0f}",
                f"{found['power'][at] / 735.49875:.1f}",
                f"{(found['pressure'][at] - ambient) / 1e5:.3f}",
                f"{found['charge'][at] - 273.15:.1f}",
            ]
            if at in (11, 12):
                cells[4] = ""
            if at == 30:
                cells[2] = "###"
            if at == 55:
                cells = cells[:3]
            rows.append(";".join(cells).replace(".", ","))
        for at in range(25):
            rows.append(f"{40 * run + 9 + 0.2 * at:.1f};{6600 - 200 * at};-12,0;-0,600;31,0")
        rows += ["", *(head if run == 0 else [])]
    return rows


PULLS = {
    "clean": clean,
    "belt-slip": belt_slip,
    "altitude-hot": altitude_hot,
    "messy-export": messy,
}


def same(old: Sequence[str], new: Sequence[str]) -> bool:
    """Whether two logs are the same but for the last digit of a number."""
    if len(old) != len(new):
        return False
    for a, b in zip(old, new, strict=True):
        one, two = re.split(r"[;,](?=\D|\d)|;", a), re.split(r"[;,](?=\D|\d)|;", b)
        if len(one) != len(two):
            return False
        for x, y in zip(one, two, strict=True):
            digits = x.replace(".", "").lstrip("-").isdigit()
            if x != y and not (digits and abs(float(x) - float(y)) <= 1.01):
                return False
    return True


def main() -> int:
    """Write the files, or check them."""
    build, stale = load_build(HERE / "road-six.build.json"), []
    for name, make in PULLS.items():
        path = HERE / f"{name}.pull.csv"
        rows = [INVENTED, *make(build)]
        if "--check" in sys.argv[1:]:
            if not path.exists() or not same(path.read_text("utf-8").splitlines(), rows):
                stale.append(path.name)
            continue
        path.write_text("\n".join(rows) + "\n", "utf-8")
        print(path.name)
    for one in stale:
        print(f"{one}: not what the present program writes")
    return 1 if stale else 0


if __name__ == "__main__":
    sys.exit(main())
