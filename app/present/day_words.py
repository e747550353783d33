"""A day in words: what its air weighs and carries."""

from __future__ import annotations

from app.fields import Units, show
from engine_model.air.atmosphere import station_pressure
from engine_model.air.density import moist_density
from engine_model.inputs import Day
from engine_model.unpack import air_of


def day_facts(day: Day, units: Units = "si") -> tuple[tuple[str, str], ...]:
    """Names and texts of what follows from a day: station pressure, density, humidity ratio."""
    air = air_of([day])
    density = moist_density(air.pressure, air.temperature, air.humidity)
    typed = "as typed" if day.pressure is not None else "standard atmosphere at the altitude"
    return (
        ("Breathed at", f"{show(float(air.pressure[0]), 'pressure', units)} ({typed})"),
        ("Density of the air", show(float(density[0]), "density", units)),
        ("Humidity ratio", f"{1000.0 * float(air.humidity[0]):.1f} g of vapour a kg of dry air"),
    )


def breathed_pressure(day: Day) -> float:
    """Station pressure of a day: typed, or of the standard atmosphere at its altitude [Pa]."""
    return float(air_of([day]).pressure[0])


def standard_pressure_words(day: Day, units: Units = "si") -> str:
    """Text of the station pressure a day has where none is typed."""
    return show(float(station_pressure(day.altitude)), "pressure", units)
