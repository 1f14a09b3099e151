"""How long, wide and thick wires, catheters, sheaths and the like are, and so which size of one a figure can be.

All bounds are common practice, no source, set wide.
"""

from collections.abc import Container
from dataclasses import replace

from extractor.model import Quantity

#: Thousandths of an inch that wires and their lumens come in; those of them that nobody says to count something.
WIRE_MILS = {10, 14, 16, 18, 20, 21, 22, 25, 27, 28, 32, 35, 38}
PLAIN_MILS = WIRE_MILS - {10, 20, 22}
#: No wire is thicker, in inches and in millimetres: "half an inch" is a distance.
THICKEST, _THICKEST_MM = 0.06, 1.1
#: Decimals a recogniser writes for "oh one eight": ten times a wire's size in inches. No wire is so thick.
TENFOLD = {0.14, 0.16, 0.18, 0.21, 0.25, 0.35, 0.38}
#: Lengths, cm, that a bare number beside a device means.
LENGTHS = {
    "stent": (4, 40),
    "sheath": (5, 120),
    "drain": (15, 60),
    "catheter": (20, 200),
    "wire": (50, 460),
    "microcatheter": (90, 200),
    "guide catheter": (40, 130),
}
#: Widths, Fr, that a bare number beside a device means; of all others that have a gauge, as of a catheter.
_GAUGES = {"sheath": (3, 26), "drain": (5, 26), "nephrostomy": (5, 26), "dilator": (4, 26), "microcatheter": (1.5, 3.5)}
_CATHETERS = (3, 10)
#: Those of them that are no whole numbers.
_BROKEN = {8.5, 10.2}
#: No support catheter is thinner, Fr, and these come in halves.
_THINNEST_SUPPORT, _IN_HALVES = 2, {"sheath": 20}
#: Units a size has.
_UNITS = {None, "[Ch]", "[in_i]", "mm", "cm"}
#: No microcatheter is wider, Fr.
WIDEST_MICRO = 3.5
#: What stents are called that are measured as drains are, in French and centimetres.
DRAINING = {"ureteric stent", "plastic stent"}
#: Devices that are as wide as they open, mm, and how wide that is.
OPENED = {"filter": (15, 45), "snare": (2, 45)}
#: A filter against emboli opens to no less, mm.
_NARROWEST_FILTER = 3
#: A bare number as short is rather a gauge or a count than how long a sheath is, cm.
_SHORTEST_BARE = 10
#: A length in millimetres of a sheath, wire or catheter; less may be how wide something is.
LONG_MM = 100
_GAUGED = {"sheath", "dilator", "drain", "nephrostomy"}
#: Words that tell of nothing but the size of something, or change nothing beside it.
SIZE_TALK = frozenset(
    """
    a an the of with and in has have had having is 's are was were it its it's this that which he she one ones length
    long length longer size sized sizes measures measuring measured thick thickness calibre caliber diameter number type
    only just rather exactly please kindly now then also too as well french plain make my our your his her so okay right
    good yes yeah yep need needs want wants take enough do will comes came job got sir doctor sister boss think thanks
    i me say both each
    """.split()
)
_COUNTED = {"cardinal", "digits", "spelled", "decimal", "fraction"}


def lengths(name: str, gauged: bool) -> tuple[float, float]:
    """The shortest and the longest a device of this name is, cm; nothing fits one that has no length of its own."""
    if not name:
        return (5, 200) if gauged else (0, 0)
    return LENGTHS.get(name, LENGTHS["catheter"] if name.endswith("catheter") else (0, 0))


def in_thousandths(quantity: Quantity) -> bool:
    """Whether a bare number is the size of a wire in thousandths of an inch."""
    return quantity.unit is None and quantity.form in {"cardinal", "digits", "spelled"} and quantity.value in PLAIN_MILS


def is_thickness(quantity: Quantity) -> bool:
    """Whether a figure can be nothing but how thick a wire is: "oh one eight", "point zero three five inch"."""
    if quantity.unit == "[in_i]":
        return quantity.value <= THICKEST or quantity.value in TENFOLD
    if quantity.unit is not None:
        return False
    decimal = quantity.form == "decimal" and 0.008 <= quantity.value <= 0.052
    return quantity.value in TENFOLD or quantity.form == "leading-zero" or decimal


def in_size_unit(quantity: Quantity) -> bool:
    """Whether a figure can be a size by its unit; "ten mil" is how wide a snare is to some."""
    return quantity.unit in _UNITS or (quantity.unit == "mL" and "mil" in quantity.heard.split())


def has_sizes(name: str) -> bool:
    """Whether a device of this name has a gauge, a thickness or a width that it is called by."""
    return name.endswith(("wire", "catheter")) or name in _GAUGED | OPENED.keys()


def size_of(name: str, quantity: Quantity, known: Container[str]) -> tuple[str, Quantity] | None:
    """Which size of a device a figure said of it is, in its unit, but for those that are ``known``; None where it can
    be none.
    """
    if not has_sizes(name) or quantity.value <= 0:
        return None
    name = "wire" if name.endswith("wire") else name
    found = _bare_size(name, quantity, known) if quantity.unit is None else _with_unit(name, quantity)
    return None if found is None or found[0] in known else found


def _with_unit(name: str, quantity: Quantity) -> tuple[str, Quantity] | None:
    value, unit = quantity.value, quantity.unit
    if name in OPENED:
        if unit == "mL":  # "a snare of ten mil"
            quantity, unit = quantity.flagged("unit-guessed", unit="mm"), "mm"
        narrowest = _NARROWEST_FILTER if name == "filter" else OPENED[name][0]
        return ("diameter", quantity) if unit == "mm" and narrowest <= value <= OPENED[name][1] else None
    if unit == "[Ch]":
        return ("gauge", quantity) if name != "wire" else None
    if name == "wire" and (is_thickness(quantity) or (unit == "mm" and value <= _THICKEST_MM)):
        thin = unit == "mm" or value not in TENFOLD
        return ("wire_diameter", quantity if thin else _a_tenth(quantity))
    low, high = lengths("sheath" if name == "dilator" else "drain" if name == "nephrostomy" else name, True)
    if unit == "mm" and value >= LONG_MM:
        return ("length", quantity) if low <= value / 10 <= high else None
    return ("length", quantity) if unit == "cm" and low <= value <= high else None


def _bare_size(name: str, quantity: Quantity, known: Container[str]) -> tuple[str, Quantity] | None:
    if name == "wire":
        return _bare_of_wire(quantity)
    if quantity.form not in _COUNTED:
        return None
    if name in OPENED:
        fits = OPENED[name][0] < quantity.value <= OPENED[name][1]
        return ("diameter", quantity.in_unit("mm")) if fits else None
    if "gauge" not in known and (gauge := _bare_gauge(name, quantity)) is not None:
        return ("gauge", gauge)
    low, high = lengths("drain" if name == "nephrostomy" else name, "gauge" in known)
    long = max(low, _SHORTEST_BARE) <= quantity.value <= high and not quantity.value % 1
    return ("length", quantity.in_unit("cm")) if long else None


def _bare_of_wire(quantity: Quantity) -> tuple[str, Quantity] | None:
    if is_thickness(quantity):
        plain = quantity.value < THICKEST
        return ("wire_diameter", replace(quantity, unit="[in_i]") if plain else _a_tenth(quantity))
    if in_thousandths(quantity):
        thin = quantity.flagged("unit-assumed", value=quantity.value / 1000, unit="[in_i]", alternatives=())
        return ("wire_diameter", thin)
    low, high = LENGTHS["wire"]
    long = quantity.form in _COUNTED and low <= quantity.value <= high and not quantity.value % 1
    return ("length", quantity.in_unit("cm")) if long else None


def _bare_gauge(name: str, quantity: Quantity) -> Quantity | None:
    low, high = _GAUGES.get(name, _CATHETERS)
    fits = next((value for value in (quantity.value, *quantity.alternatives) if low <= value <= high), None)
    if fits is None and name == "catheter" and _THINNEST_SUPPORT <= quantity.value < low and quantity.value % 1:
        fits = quantity.value  # a support catheter
    if fits is None or (fits >= low and fits % 1 and name != "microcatheter" and fits not in _BROKEN | _halves(name)):
        return None
    if fits == quantity.value:
        return quantity.in_unit("[Ch]")
    flags = tuple(flag for flag in quantity.flags if flag != "two-readings")  # "two seven" is no twenty-seven
    return replace(quantity, value=fits, flags=flags, alternatives=()).in_unit("[Ch]")


def _halves(name: str) -> set[float]:
    """ "A peel-away, five and a half"."""
    return {number + 0.5 for number in range(3, _IN_HALVES.get(name, 0))}


def _a_tenth(quantity: Quantity) -> Quantity:
    value = round(quantity.value / 10, 4)
    return quantity.flagged("unit-guessed", value=value, unit="[in_i]", alternatives=(quantity.value,))
