"""Lines of forms -> a look-up of their tokens: all of them, with whose each is, and nothing else."""

from collections.abc import Iterator

import pytest

from extractor.lexicon import each_form
from extractor.reading.paths import Place, paths
from extractor.reading.tokens import form_tokens, line_tokens


def wholes(place: Place, said: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], tuple[int, ...]]]:
    """Every whole form that begins at a place, and whose it is."""
    if place.owners:
        yield said, place.owners
    for token, onward in place.onward.items():
        yield from wholes(onward, (*said, token))


LINES = [
    pytest.param(["the wire"], id="one"),
    pytest.param(["the wire", "the wire is in", "the sheath"], id="one begins another"),
    pytest.param(["(we|i) (don't|do not|) use it"], id="left out in the middle"),
    pytest.param(["back (in|)", "(now|) back"], id="left out at an end"),
    pytest.param(["(a|b) (c|d) e", "a c (e|f)", "(a|) c e"], id="several lines at once"),
    pytest.param(["it('s| is) up"], id="within a word"),
    pytest.param(["(in|) (in|) in"], id="the same form in several ways"),
    pytest.param(["(on|in the) (leg|arm)", "in the (arm|leg), now"], id="of several words, with a mark"),
    pytest.param([], id="none"),
]


@pytest.mark.parametrize("lines", LINES)
def test_what_is_found_is_what_is_written_out(lines: list[str]) -> None:
    written: dict[tuple[str, ...], set[int]] = {}
    for number, line in enumerate(lines):
        for form in each_form([line]):
            written.setdefault(form_tokens(form), set()).add(number)
    places = paths((line_tokens(line), number) for number, line in enumerate(lines))
    assert dict(wholes(places[-1])) == {form: tuple(sorted(owners)) for form, owners in written.items()}


def test_alternatives_are_not_multiplied() -> None:
    """Ten times four ways are a million forms, and eleven places."""
    assert len(paths([(line_tokens(" ".join(["(a|b|c|d)"] * 10)), 0)])) == 11
