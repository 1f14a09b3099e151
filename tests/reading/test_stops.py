"""Where a recogniser writes a full stop and the speaker only paused: what is read as one sentence, and what is not."""

import pytest

from extractor.reading.stops import _AT_ONCE_MS

from .small import READER, read, words_of

#: (what is heard, its sentences)
STOPS = [
    pytest.param("Going up, ten. Sorry. Eight.", ["going up , ten ... sorry ... eight ."], id="sorry, by itself"),
    pytest.param("Ten atmospheres. No, eight.", ["ten atmospheres ... no , eight ."], id="no, and a figure"),
    pytest.param("Ten atmospheres? No, eight.", ["ten atmospheres ?", "no , eight ."], id="no is the answer"),
    pytest.param("Ten atmospheres. No. Stent please.", ["ten atmospheres .", "no .", "stent please ."], id="no figure"),
    pytest.param("Ten atmospheres. No spasm.", ["ten atmospheres .", "no spasm ."], id="no, of a finding"),
    pytest.param("Ten atmospheres. No, leave it.", ["ten atmospheres .", "no , leave it ."], id="no, of an act"),
    pytest.param(
        "Ten atmospheres. Sorry, thirty seconds.", ["ten atmospheres .", "sorry , thirty seconds ."], id="another unit"
    ),
    pytest.param("Six French. Eight French, sorry.", ["six french ... eight french , sorry ."], id="sorry, behind"),
    pytest.param("Ten, no, I say nonsense. Eight.", ["ten , no , i say nonsense ... eight ."], id="sorry, before"),
    pytest.param(
        "Four by six coil. No, what do I say? Four by eight.",
        ["four by six coil ... no , what do i say ... four by eight ."],
        id="an excuse as a question",
    ),
    pytest.param(
        "Ten atmospheres. Sorry, this is an eight you gave me.",
        ["ten atmospheres .", "sorry , this is an eight you gave me ."],
        id="somebody is told something",
    ),
    pytest.param("Eight. Ten. Twelve.", ["eight .", "ten .", "twelve ."], id="a count is no slip"),
    pytest.param("A five, by forty balloon.", ["a five by forty balloon ."], id="a comma in a size"),
    pytest.param("Balloon six. By forty.", ["balloon six by forty ."], id="a stop in a size"),
    pytest.param("ACT one hundred, and sixty-eight.", ["act one hundred and sixty eight ."], id="a comma in a number"),
    pytest.param(
        "One hundred, and fifty of fentanyl.",
        ["one hundred , and fifty of fentanyl ."],
        id="two numbers, one drug each",
    ),
    pytest.param("The ten, by the way.", ["the ten , by the way ."], id="by, of no size"),
    pytest.param("Balloon is in. Sorry. Eight.", ["balloon is in .", "sorry .", "eight ."], id="nothing to put right"),
]


@pytest.mark.parametrize(("heard", "sentences"), STOPS)
def test_stops(heard: str, sentences: list[str]) -> None:
    assert [" ".join(sentence.tokens) for sentence in read(heard)] == sentences


@pytest.mark.parametrize(("ms", "many"), [(_AT_ONCE_MS, 1), (_AT_ONCE_MS + 60, 2)], ids=["at once", "later"])
def test_what_comes_later_is_its_own_sentence(ms: int, many: int) -> None:
    words = words_of("Ten atmospheres. Sorry, eight.", pauses={2: ms - 50})  # words stand 50 ms apart
    assert len(READER.read(words)[0]) == many
