"""Every way to say one step of an inflation or a stent, each in a plain frame of the other steps."""

from collections.abc import Iterator

import pytest

from .test_phrasings import TABLES, Exchange, missed

TABLE = TABLES / "crossed_balloons.txt"


def forms() -> Iterator[object]:
    """The table -> an exchange for each form."""
    title, frame, events = "", "", list[str]()
    for line in TABLE.read_text(encoding="utf-8").splitlines():
        sign, _, text = line.partition(" ")
        match sign:
            case "#":
                title, frame, events = text, "", []
            case ">":
                frame = text
            case "=":
                events = [*events, text]
            case _ if line and frame:
                lines = frame.replace("…", line).split(" / ")
                yield pytest.param(Exchange(line, lines, events), id=f"{title}: {line}")


@pytest.mark.parametrize("exchange", [*forms()])
def test_a_form_in_its_frame(exchange: Exchange) -> None:
    assert missed(exchange) == []
