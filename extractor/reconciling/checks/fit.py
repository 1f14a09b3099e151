"""What a device goes over and through, by the catalogue: wire too thick, sheath too small, a size nobody makes."""

from collections.abc import Iterator

from extractor.model import Event, Kind
from extractor.reconciling.catalogue import of_size
from extractor.reconciling.checks.case import Case, Finding, Rule, read, said
from extractor.units import figure

#: A wire's label is three decimals of an inch.
_SAME_IN, _SAME_FR = 0.0005, 0.05


def _too_thick(case: Case) -> Iterator[Finding]:
    """The wire told last, thicker than every row the device can be takes."""
    wire: Event | None = None
    for event in case.done:
        wire = _inside_now(event, wire, "wire", "wire_diameter")
        if wire is None or event.kind not in (Kind.INFLATION, Kind.STENT):
            continue
        thick = read(wire, "wire_diameter", "[in_i]") or 0
        rows = of_size(case.devices(event), read(event, "diameter", "mm"), read(event, "length", "mm"))
        most = [row.wire_in for row in rows.rows]
        if most and all(each is not None and thick > each + _SAME_IN for each in most):
            takes = figure(max(each for each in most if each is not None), "[in_i]")
            yield Finding(
                f"On a {said(wire.values['wire_diameter'])} wire, the last one told; {rows.text()} takes "
                f"{takes} at most.",
                (wire, event),
                ("wire_diameter", "diameter"),
            )


def _too_small(case: Case) -> Iterator[Finding]:
    """The sheaths in place, each smaller than every row the device can be needs."""
    sheaths: list[Event] = []
    for event in case.done:
        if event.device == "sheath" and event.kind is Kind.INSERT:
            sheaths.append(event)
        elif event.device == "sheath" and event.kind is Kind.REMOVE:
            sheaths = _without(sheaths, event)
        gauges = [read(sheath, "gauge", "[Ch]") for sheath in sheaths]
        if event.kind not in (Kind.INFLATION, Kind.STENT) or not gauges or None in gauges:
            continue
        widest = max(each for each in gauges if each is not None)
        rows = of_size(case.devices(event), read(event, "diameter", "mm"), read(event, "length", "mm"))
        least = [row.sheath_fr for row in rows.rows]
        if least and all(each is not None and widest < each - _SAME_FR for each in least):
            needs = figure(min(each for each in least if each is not None), "[Ch]")
            yield Finding(
                f"Through a {figure(widest, '[Ch]')} sheath, the widest in place as told; {rows.text()} needs {needs}.",
                (*sheaths, event),
                ("gauge", "diameter"),
            )


def _not_made(case: Case) -> Iterator[Finding]:
    """A size that no device of the catalogue it can be is made in.

    Where none was named it says something only of kinds whose every size the site has listed: else it may be any other.
    """
    for event in case.of(Kind.INFLATION, Kind.STENT):
        diameter, length = read(event, "diameter", "mm"), read(event, "length", "mm")
        found = case.devices(event)
        if diameter is None or not found.rows or of_size(found, diameter, length).rows:
            continue
        if not found.named and found.rows[0].kind not in case.site.catalogue.complete:
            continue
        size = figure(diameter, "mm" if length is None else None) + ("" if length is None else f" × {length:g} mm")
        what = f"{found.rows[0].name} is" if found.named else f"no {found.rows[0].kind} of the catalogue is"
        lengths = sorted({each for row in of_size(found, diameter, None).rows for each in row.lengths_mm})
        yield Finding(
            f"{what[0].upper()}{what[1:]} {'not ' if found.named else ''}made in {size}"
            + (f"; {diameter:g} mm is {', '.join(f'{each:g}' for each in lengths)} mm long." if lengths else "."),
            (event,),
            ("diameter", "length"),
        )


def _inside_now(event: Event, inside: Event | None, device: str, key: str) -> Event | None:
    """What of a device is in the patient after an event: the last one put in, until one is taken out."""
    if event.device != device:
        return inside
    if event.kind is Kind.INSERT:
        return event if key in event.values else None
    return None if event.kind is Kind.REMOVE else inside


def _without(sheaths: list[Event], removed: Event) -> list[Event]:
    """The sheaths left when one is taken out: that of its gauge, else the last."""
    gauge = read(removed, "gauge", "[Ch]")
    same = [sheath for sheath in sheaths if gauge is not None and read(sheath, "gauge", "[Ch]") == gauge]
    gone = (same or sheaths)[-1:]
    return [sheath for sheath in sheaths if sheath not in gone]


RULES = (
    Rule("wire-too-thick", "review", "the site's catalogue", _too_thick),
    Rule("sheath-too-small", "review", "the site's catalogue", _too_small),
    Rule("size-not-made", "review", "the site's catalogue", _not_made),
)
