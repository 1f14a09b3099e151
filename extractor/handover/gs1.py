"""The barcode of a device's label -> its identifier, lot, serial number and expiry, by the GS1 application identifiers.

Source: GS1 General Specifications, section 3 (application identifiers) and 7.9 (check digit), from memory, compared in
tests with an independent parser. Read are the identifiers that a unique device identifier is made of (01 10 11 17 21),
and those that may stand beside it on a label; another one is told and nothing behind it is read, since its length is
not known here. Both forms are read: with brackets, as people see it, and as a scanner gives it, with FNC1 (ASCII 29)
behind what has no fixed length.
"""

import calendar
import re
from dataclasses import dataclass, field
from datetime import date

from extractor.errors import InputError

GROUP = "\x1d"

#: Identifier -> (what it is, its length, whether that is fixed).
_IDENTIFIERS = {
    "00": ("sscc", 18, True), "01": ("gtin", 14, True), "02": ("content", 14, True),
    "10": ("lot", 20, False), "11": ("made_on", 6, True), "13": ("packed_on", 6, True), "15": ("best_before", 6, True),
    "17": ("expires_on", 6, True), "20": ("variant", 2, True), "21": ("serial", 20, False),
    "22": ("consumer_variant", 20, False), "30": ("count", 8, False), "37": ("units", 8, False),
    "240": ("additional", 30, False), "241": ("customer_part", 30, False), "250": ("secondary_serial", 30, False),
    "710": ("health_number", 20, False), "8200": ("link", 70, False),
}  # fmt: skip
_DATES = {"made_on", "packed_on", "best_before", "expires_on"}
#: GS1's set of 82 letters for lot and serial numbers (section 7.11).
_LETTERS = re.compile(r"[!\"%&'()*+,\-./0-9:;<=>?A-Z_a-z]+")


@dataclass(frozen=True)
class Label:
    """What a label tells. ``device``: the device identifier (GTIN). Faults are told, nothing odd is put right."""

    read_from: str
    device: str | None = None
    lot: str | None = None
    serial: str | None = None
    made_on: date | None = None
    expires_on: date | None = None
    others: dict[str, str] = field(default_factory=dict)
    faults: tuple[str, ...] = ()

    def expired(self, on: date) -> bool | None:
        """Whether the device may no longer be used on that day; None where the label tells no date."""
        return None if self.expires_on is None else self.expires_on < on


def parse(text: str) -> Label:
    """A GS1 string, with brackets or as scanned -> Label. InputError where nothing in it is an application identifier.

    A symbology identifier (``]d2``, ``]C1``, ``]Q3``, ``]e0``) in front is taken off.
    """
    found: dict[str, str] = {}
    faults: list[str] = []
    content = re.sub(r"^\](d2|C1|Q3|e0|J1)", "", text.strip())
    pairs = _bracketed(content) if content.startswith("(") else _scanned(content)
    for identifier, value in pairs:
        if identifier is None:
            faults.append(f"“{value}” is no application identifier known here; what follows was not read")
            continue
        name, length, fixed = _IDENTIFIERS[identifier]
        if name in found and found[name] != value:
            faults.append(f"({identifier}) stands there twice: {found[name]} and {value}")
        found[name] = value
        if not value or len(value) > length or (fixed and len(value) != length):
            faults.append(f"({identifier}) {value}: {'must have' if fixed else 'has at most'} {length} letters")
        elif identifier in ("00", "01", "02") and not check_digit_fits(value):
            faults.append(f"({identifier}) {value}: its check digit does not fit")
        elif not _LETTERS.fullmatch(value):
            faults.append(f"({identifier}) {value}: holds a letter that is none of GS1's")
    if not found:
        raise InputError(f"{text!r}: no GS1 application identifier in it; scan the label again")
    dates: dict[str, date | None] = {}
    for name in _DATES & found.keys():
        dates[name] = _date(found[name])
        if dates[name] is None:
            faults.append(f"{found[name]} is no date")
    others = {
        name: value for name, value in found.items() if name not in {"gtin", "lot", "serial", "made_on", "expires_on"}
    }
    return Label(
        text, found.get("gtin"), found.get("lot"), found.get("serial"), dates.get("made_on"), dates.get("expires_on"),
        others, tuple(faults),
    )  # fmt: skip


def check_digit_fits(digits: str) -> bool:
    """Whether the last digit is the GS1 check digit of those before: weights 3 and 1 from the right, to a full ten."""
    if not (digits.isascii() and digits.isdigit()):
        return False
    return sum(int(digit) * (3 if place % 2 else 1) for place, digit in enumerate(reversed(digits))) % 10 == 0


def _bracketed(content: str) -> list[tuple[str | None, str]]:
    """``(01)…(17)…``: an identifier in brackets that is none belongs to the value before it."""
    starts = [match for match in re.finditer(r"\((\d{2,4})\)", content) if match[1] in _IDENTIFIERS]
    if not starts or starts[0].start():
        strange = re.match(r"\([^)]*\)?", content)
        return [(None, strange[0] if strange else content)]
    ends = [match.start() for match in starts[1:]] + [len(content)]
    return [(match[1], content[match.end() : end]) for match, end in zip(starts, ends, strict=True)]


def _scanned(content: str) -> list[tuple[str | None, str]]:
    pairs: list[tuple[str | None, str]] = []
    at = 0
    while at < len(content):
        if content[at] == GROUP:
            at += 1
            continue
        identifier = next(
            (content[at : at + size] for size in (2, 3, 4) if content[at : at + size] in _IDENTIFIERS), None
        )
        if identifier is None:
            return [*pairs, (None, content[at : at + 20])]
        at += len(identifier)
        _, length, fixed = _IDENTIFIERS[identifier]
        end = at + length if fixed else content.find(GROUP, at) if GROUP in content[at:] else len(content)
        pairs.append((identifier, content[at:end]))
        at = max(end, at)
    return pairs


def _date(digits: str) -> date | None:
    """YYMMDD; day 00 is the month's last. The century is the one that puts the year at most 50 years from 2026.

    GS1 counts from the current year (7.12); a fixed one gives the same record in years to come.
    """
    if not re.fullmatch(r"\d{6}", digits, re.ASCII):
        return None
    year, month, day = (int(digits[at : at + 2]) for at in (0, 2, 4))
    year += 2000 if year < 77 else 1900
    if not 1 <= month <= 12:
        return None
    last = calendar.monthrange(year, month)[1]
    return date(year, month, day or last) if day <= last else None
