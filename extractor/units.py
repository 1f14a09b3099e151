"""Units: spoken forms -> UCUM codes, exact conversion between codes of one dimension, and how people write them."""

from collections.abc import Mapping, Sequence
from fractions import Fraction
from types import MappingProxyType
from typing import TypeVar

#: What a spoken form stands for.
Meant = TypeVar("Meant")

#: Code -> (dimension, factor to the dimension's base), exact.
#: Source: NIST SP 811 (2008), appendix B.8, and for [Ch] UCUM 2.1; litre = 1 dm3, conventional mercury 13.5951 g/cm3
#: under standard gravity 9.80665 m/s2 (133.3224 Pa in NIST's table), pound-force per square inch from 0.45359237 kg,
#: the same gravity and 25.4 mm (6894.757 Pa there).
FACTORS: Mapping[str, tuple[str, Fraction]] = MappingProxyType({
    "mm": ("length", Fraction(1)),
    "cm": ("length", Fraction(10)),
    "[in_i]": ("length", Fraction("25.4")),
    "[Ch]": ("length", Fraction(1, 3)),
    "atm": ("pressure", Fraction(101325)),
    "bar": ("pressure", Fraction(100000)),
    "kPa": ("pressure", Fraction(1000)),
    "[psi]": ("pressure", Fraction("0.45359237") * Fraction("9.80665") / Fraction("0.0254") ** 2),
    "mm[Hg]": ("pressure", Fraction("13.5951") * Fraction("9.80665")),
    "mL": ("volume", Fraction(1)),
    "mL/s": ("flow", Fraction(1)),
    "/s": ("frequency", Fraction(1)),
    "[iU]": ("activity", Fraction(1)),
    "g": ("mass", Fraction(1)),
    "mg": ("mass", Fraction(1, 1000)),
    "ug": ("mass", Fraction(1, 1000000)),
    "%": ("fraction", Fraction(1)),
    "s": ("time", Fraction(1)),
    "min": ("time", Fraction(60)),
    "mGy": ("dose", Fraction(1)),
    "Gy.cm2": ("dose-area", Fraction(1)),
    "{count}": ("count", Fraction(1)),
})  # fmt: skip

_LENGTHS = ("mm", "cm", "[in_i]", "[Ch]")
#: Value key -> the units it may be in; the first is taken where nobody said one. A dose may be told by volume.
VALUE_UNITS: Mapping[str, tuple[str, ...]] = MappingProxyType({
    "gauge": ("[Ch]", "mm", "[in_i]"),
    "wire_diameter": ("[in_i]", "mm"),
    "diameter": _LENGTHS,
    "length": _LENGTHS,
    "pressure": ("atm", "bar", "kPa", "[psi]"),
    "duration": ("s", "min"),
    "count": ("{count}",),
    "volume": ("mL",),
    "rate": ("mL/s",),
    "frame_rate": ("/s",),
    "dose": ("mg", "ug", "g", "[iU]", "mL"),
    "gradient": ("mm[Hg]", "kPa"),
    "stenosis": ("%",),
    "act": ("s",),
    "contrast_volume": ("mL",),
    "fluoro_time": ("min", "s"),
    "air_kerma": ("mGy",),
    "dap": ("Gy.cm2",),
})  # fmt: skip

#: What is said of time, and of a balloon or stent; mercury is for vessels.
TIMES = frozenset(code for code, (dimension, _) in FACTORS.items() if dimension == "time")
BALLOON_PRESSURES = frozenset(code for code, (dimension, _) in FACTORS.items() if dimension == "pressure") - {"mm[Hg]"}


def convert(value: float, from_code: str, to_code: str) -> float:
    """A value in one UCUM code -> the same in another. ValueError for an unknown code or another dimension.

    French, inch and millimetre convert as lengths: what a gauge measures, outer or inner, is the reader's to know.
    """
    (from_dimension, from_factor), (to_dimension, to_factor) = _factor(from_code), _factor(to_code)
    if from_dimension != to_dimension:
        raise ValueError(f"{from_code} is {from_dimension} and {to_code} is {to_dimension}: no conversion between them")
    return float(Fraction(value) * from_factor / to_factor) if from_code != to_code else value


def _factor(code: str) -> tuple[str, Fraction]:
    if code not in FACTORS:
        raise ValueError(f"unit code {code!r} is not known; known are {' '.join(FACTORS)}")
    return FACTORS[code]


#: UCUM code -> how people write it.
UNIT_NAMES = {
    "[Ch]": "Fr",
    "[in_i]": "in",
    "[psi]": "psi",
    "[iU]": "units",
    "ug": "micrograms",
    "mm[Hg]": "mmHg",
    "/s": "frames/s",
    "Gy.cm2": "Gy·cm²",
    "{count}": "",
    "%": "%",
}


def figure(value: float, unit: str | None) -> str:
    """14.0, "atm" -> ``14 atm``."""
    number = f"{value:,}".removesuffix(".0")
    name = UNIT_NAMES.get(unit, unit) if unit else ""
    return f"{number} {name}".rstrip()


def find_unit(
    texts: Sequence[str], first: int, units: Mapping[tuple[str, ...], Meant], longest: int
) -> tuple[Meant, int] | None:
    """Token texts, a place and the length of the longest form -> the longest spoken unit that begins there and where it
    ends, or None.
    """
    for length in range(min(longest, len(texts) - first), 0, -1):
        if unit := units.get(tuple(texts[first : first + length])):
            return unit, first + length
    return None
