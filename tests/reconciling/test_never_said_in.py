"""What was only named with its size while the case went on: told as in, and marked; and what stays asked for."""

import pytest

from extractor.model import Event

from .telling import tell


def _inserts(text: str) -> list[Event]:
    return [event for event in tell(text) if event.kind == "insert"]


@pytest.mark.parametrize(
    "text",
    [
        "Right radial, six French sheath.\nRun of ten at four.",
        "Left groin puncture. Sheath, seven French, forty-five.\nThe cobra is in the coeliac.",
        "Five French cobra, coeliac.\nRun, twelve at four.",
        "Microcatheter, two point four, segment six.\nCoil three by ten, detached.",
    ],
)
def test_it_is_in_and_marked(text: str) -> None:
    event = _inserts(text)[0]
    assert (event.status, event.review, "not-said-in" in event.flags) == ("done", True, True)


@pytest.mark.parametrize(
    "text",
    [
        "Six French sheath, please.\nRun of ten at four.",
        "Give me the seven French sheath.\nRun of ten at four.",
        "Which sheath, the six French?\nRun of ten at four.",
        "We will need an eight French sheath.\nRun of ten at four.",
        "The label: six French sheath.",
        "Six French sheath.",
        "Seven French sheath.\nThe eight French sheath is in.\nRun of ten at four.",
    ],
)
def test_it_stays_as_it_was_told(text: str) -> None:
    assert all("not-said-in" not in event.flags for event in _inserts(text))


def test_what_is_said_to_be_in_is_not_marked() -> None:
    told = _inserts("Six French sheath.\nIt's in.\nRun of ten at four.")
    assert [(event.status, event.review) for event in told if event.status == "done"] == [("done", False)]
