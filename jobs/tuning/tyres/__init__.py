"""Tyres: pressure against temperature, station pressure, surface temperatures."""

from .atmosphere import station_pressure
from .pressure import (
    MakerRange,
    SetPressure,
    cold_for_hot,
    corrected_cold,
    gas_law,
    hot_from_cold,
    rescaled_to_ambient,
    set_pressure,
)
from .reading import HotReading, SurfaceTemperatures, hot_reading, surface_temperatures

__all__ = [
    "HotReading",
    "MakerRange",
    "SetPressure",
    "SurfaceTemperatures",
    "cold_for_hot",
    "corrected_cold",
    "gas_law",
    "hot_from_cold",
    "hot_reading",
    "rescaled_to_ambient",
    "set_pressure",
    "station_pressure",
    "surface_temperatures",
]
