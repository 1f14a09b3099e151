"""A figure beside a drug -> its dose."""

from extractor.model import Quantity
from extractor.units import VALUE_UNITS

#: No dose is so far from the usual ones that it must be another unit, or thousands. Common practice, no source.
_FAR = 5
_OTHER_UNITS = {"mg": (("ug", 1e-3), ("g", 1e3)), "ug": (("mg", 1e3),), "g": (("mg", 1e-3),), "[iU]": ()}


def drug_dose(unit: str, quantity: Quantity, usual: tuple[float, float] | None = None) -> Quantity | None:
    """A figure beside a drug -> its dose, or None where the figure is none (a concentration, a time).

    A figure without its unit that can be no dose in the drug's own is taken in the unit in which it is ``usual``
    ("atropine nought point five" is milligrams, "heparin five" is thousands), and flagged.
    """
    if quantity.unit not in {None, *VALUE_UNITS["dose"]}:
        return None
    if quantity.unit or usual is None or usual[0] / _FAR <= quantity.value <= usual[1] * _FAR:
        return quantity.in_unit(unit)
    for other, times in _OTHER_UNITS.get(unit, ()):
        if usual[0] <= quantity.value * times <= usual[1]:
            return quantity.flagged("unit-guessed", unit=other)
    if unit == "[iU]" and 1 < quantity.value <= 20:
        return quantity.flagged("unit-guessed", unit=unit, value=quantity.value * 1000)
    return quantity.in_unit(unit)
