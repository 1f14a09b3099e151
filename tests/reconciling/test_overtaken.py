"""Sizes carried over past another of their kind: marked, with the other as the alternative."""

import pytest

from extractor.model import Kind, Quantity, Status
from extractor.reconciling.overtaken import mark_overtaken
from extractor.reconciling.story import Draft

from .telling import tell


def _draft(kind: Kind, status: Status, at: int, said: int, mm: float, device: str = "") -> Draft:
    """An event at a word, with a diameter said at another."""
    flags = ("carried-over",) if said < at else ()
    size = Quantity(mm, "mm", (said, said + 1), "", flags=flags)
    return Draft(kind, status, (at, at + 3), "by-hand", 0, 0, device=device or None, values={"diameter": size})


DONE, PLANNED, PAST = Status.DONE, Status.PLANNED, Status.PAST
#: (what was told in between: kind, status, diameter, device; the event that carries; whether it is marked)
CASES = [
    pytest.param(Kind.STENT, DONE, 8.0, "", Kind.INFLATION, True, id="a stent since"),
    pytest.param(Kind.STENT, PAST, 8.0, "", Kind.INFLATION, True, id="a stent of long ago spoken of since"),
    pytest.param(Kind.STENT, DONE, 6.0, "", Kind.INFLATION, False, id="a stent of the same size"),
    pytest.param(Kind.INFLATION, PLANNED, 8.0, "", Kind.INFLATION, True, id="another balloon waits"),
    pytest.param(Kind.INFLATION, DONE, 8.0, "", Kind.INFLATION, False, id="another balloon that was used"),
    pytest.param(Kind.INSERT, PLANNED, 8.0, "snare", Kind.INFLATION, False, id="of another kind"),
    pytest.param(Kind.INSERT, PLANNED, 8.0, "loop snare", Kind.REMOVE, True, id="another of the same noun waits"),
    pytest.param(Kind.INSERT, PLANNED, 8.0, "filter", Kind.REMOVE, False, id="another noun"),
]


@pytest.mark.parametrize(("kind", "status", "mm", "device", "carrier", "marked"), CASES)
def test_what_was_told_since(kind: Kind, status: Status, mm: float, device: str, carrier: Kind, marked: bool) -> None:
    between = _draft(kind, status, 20, 20, mm, device)
    draft = _draft(carrier, DONE, 40, 5, 6.0, "snare" if carrier is Kind.REMOVE else "")
    mark_overtaken([between, draft])
    value = draft.values["diameter"]
    assert ("which-device" in value.flags) is marked
    assert value.alternatives == ((mm,) if marked else ())


def test_what_was_told_before_the_size_is_no_rival() -> None:
    before, draft = _draft(Kind.STENT, DONE, 2, 2, 8.0), _draft(Kind.INFLATION, DONE, 40, 5, 6.0)
    mark_overtaken([before, draft])
    assert draft.values["diameter"].flags == ("carried-over",)


def test_a_question_answered_with_no_is_not_open() -> None:
    lines = "Six French sheath is in.\nA stent, six by forty?\nNo, no stent.\nWire out."
    ruled_out = [event for event in tell(lines) if event.status is Status.NEGATED]
    assert ruled_out
    assert not any("asked" in value.flags for event in ruled_out for value in event.values.values())
