"""Conductor sizes with their resistance, ampacity and diameter, and the plain drop formulas.

The tables are in `conductors.toml`; each names its source.
"""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any, Final

ALPHA20: Final = 0.00393  # copper, per degC at 20 degC (NBS Handbook 100)
KM_PER_KFT: Final = 0.3048
RUNNING_DEGC: Final = 30.0  # conductor temperature drops are told at; hot spaces are worked at 50
ENGINE_DEGC: Final = 50.0
INSULATION_DEGC: Final = 105  # of boat cable, where a job tells no other
CIRCULAR_MIL_CONSTANT: Final = 10.75  # ohm x circular mil / ft, as printed with the drop formula
MM2_PER_CIRCULAR_MIL: Final = 5.067075e-4


@dataclass(frozen=True, slots=True)
class Conductor:
    """One size of a catalogue. `r_ohm_per_km` is at 20 degC; `amps` by insulation temperature."""

    name: str
    area_mm2: float
    r_ohm_per_km: float
    amps: tuple[float, ...]
    od_mm: float
    price: float
    source: str

    def ampacity_amp(self, insulation_degc: int = INSULATION_DEGC) -> float:
        """What one conductor carries at 30 degC ambient: 33 CFR 183.425 table 5."""
        return self.amps[insulations().index(insulation_degc)]

    def ohm(self, length_mm: float, degc: float = RUNNING_DEGC) -> float:
        """Resistance of a length at a conductor temperature."""
        return self.r_ohm_per_km * (1 + ALPHA20 * (degc - 20.0)) * length_mm * 1e-6


@cache
def _tables() -> dict[str, Any]:
    text = resources.files("routing.sizes").joinpath("conductors.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@cache
def insulations() -> tuple[int, ...]:
    """The insulation temperatures of the table, degC."""
    return tuple(_tables()["ampacity"]["degc"])


def engine_share(insulation_degc: int) -> float:
    """The share of ampacity left in an engine space: 33 CFR 183.425 table 5 note 1."""
    table = _tables()["ampacity"]
    return float(table["engine_share"][table["degc"].index(insulation_degc)])


def _amps(area_mm2: float) -> tuple[float, ...]:
    """The table's row of the largest AWG area that is no more than this one."""
    fits = [r for r in _tables()["ampacity"]["rows"] if r["area_mm2"] <= area_mm2 + 1e-9]
    return tuple(float(a) for a in max(fits, key=lambda r: float(r["area_mm2"]))["amps"])


@cache
def catalogue(name: str) -> tuple[Conductor, ...]:
    """All sizes of a catalogue, "mm2" or "AWG", smallest first."""
    raw = _tables()[name]
    out = []
    for r in raw["rows"]:
        ohm = r.get("r_ohm_per_km")
        if ohm is None:
            ohm = r["r_ohm_per_kft_75"] / KM_PER_KFT / (1 + ALPHA20 * 55.0)
        out.append(
            Conductor(
                r["name"],
                r["area_mm2"],
                ohm,
                _amps(r["area_mm2"]),
                r["od_mm"],
                r["price"],
                raw["source"],
            )
        )
    return tuple(out)


def price_of_od(od_mm: float, name: str) -> float:
    """What a metre of the least cable of a catalogue at least so thick costs, beside one of its
    thinnest.
    """
    rows = catalogue(name)
    price = min((c.price for c in rows if c.od_mm >= od_mm - 1e-6), default=rows[-1].price)
    return price / rows[0].price


def circular_mils_needed(amps: float, out_and_back_ft: float, allowed_volt: float) -> float:
    """Least conductor area for a drop: CM = K I L / E with K = 10.75, L out and back in feet."""
    return CIRCULAR_MIL_CONSTANT * amps * out_and_back_ft / allowed_volt


def area_needed_mm2(amps: float, out_and_back_mm: float, allowed_volt: float) -> float:
    """The same in mm and mm2 (0.0179 ohm mm2/m)."""
    cm = circular_mils_needed(amps, out_and_back_mm / 304.8, allowed_volt)
    return cm * MM2_PER_CIRCULAR_MIL


def next_sizes(chosen: Conductor, name: str) -> tuple[Conductor | None, Conductor | None]:
    """The next size down and up in a catalogue."""
    rows = catalogue(name)
    i = rows.index(chosen)
    return (rows[i - 1] if i else None), (rows[i + 1] if i + 1 < len(rows) else None)
