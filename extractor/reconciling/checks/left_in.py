"""What went in and was never told to come out, nor to be left on purpose."""

from collections.abc import Iterator

from extractor.model import Event, Kind, Status
from extractor.reconciling.catalogue import spoken_words
from extractor.reconciling.checks.case import Case, Finding, Rule

#: What lies in a vessel by itself: it can be there when all is closed.
_WIRES = frozenset({"wire", "safety wire", "pressure wire", "pacing wire"})
#: What goes in over a wire or through a sheath, and is out when another thing runs over the wire, when the sheath is
#: out or the access closed. Drains, filters and ports stay, and are none of these.
_THROUGH = frozenset(
    {
        "catheter", "microcatheter", "guide catheter", "aspiration catheter", "thrombectomy catheter", "snare",
        "atherectomy catheter", "embolectomy catheter", "ultrasound catheter", "re-entry catheter", "forceps",
        "retrieval catheter", "stent retriever", "lithotripsy", "ablation probe", "balloon pump",
    }
)  # fmt: skip
#: Said near a device after it went in: it stays on purpose.
_STAYS = frozenset(
    "leave leaving left stay stays staying remain remains indwelling tunnelled tunneled secured sutured stitched "
    "stitch taped overnight ward".split()
)
#: How many words around the device's name.
_NEAR = 7


def _still_in(case: Case) -> list[Event]:
    """The last of each device that was put in, with nothing told after it that takes it out or says that it stays.

    A later one of the same name took its place: an exchange nobody speaks of.
    """
    last: dict[str, Event] = {}
    for event in case.events:
        device = event.device or ""
        if event.kind is Kind.INSERT and event.status is Status.DONE and device in _THROUGH | _WIRES | {"sheath"}:
            last[device] = event
        elif event.kind is Kind.REMOVE and event.status is not Status.PAST:  # to come out, or not to: it was heeded
            last.pop(device, None)
        if _takes_out_tubes(event):
            last = {name: each for name, each in last.items() if name not in _THROUGH}
    return [event for event in last.values() if not _said_to_stay(case, event)]


def _takes_out_tubes(event: Event) -> bool:
    sheath_out = event.kind is Kind.REMOVE and event.device == "sheath"
    return event.status is Status.DONE and (sheath_out or event.kind in (Kind.CLOSURE, Kind.INFLATION, Kind.STENT))


def _said_to_stay(case: Case, event: Event) -> bool:
    device = (event.device or "").split()[-1]
    texts = [spoken_words([word]) for word in case.words[event.words[0] :]]
    return any(
        text == device and _STAYS & set(texts[max(0, place - _NEAR) : place + _NEAR])
        for place, text in enumerate(texts)
    )


def _not_out(case: Case) -> Iterator[Finding]:
    """Told once for the case, where it was told to its end."""
    left = [event for event in _still_in(case) if event.device != "sheath"]
    if left and case.is_closed:
        names = ", ".join(event.device or "" for event in left)
        yield Finding(f"In, and never told to be out or left on purpose: {names}.", tuple(left))


def _sheath(case: Case) -> Iterator[Finding]:
    """A sheath is out where its access was closed."""
    for event in _still_in(case):
        closed = any(each.words[0] >= event.words[0] for each in case.of(Kind.CLOSURE))
        if event.device == "sheath" and case.is_closed and not closed:
            yield Finding("The sheath was never told to be out, nor the access to be closed.", (event,))


RULES = (
    Rule("never-told-out", "note", "common practice, no source", _not_out),
    Rule("sheath-never-told-out", "review", "common practice, no source", _sheath),
)
