"""Misheard words -> terms, by known forms and by sound: what was heard is kept, nothing else is touched."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from extractor.lexicon import load
from extractor.model import Correction, Word
from extractor.reading.repair import Repairer

from .small import SMALL, words_of

REPAIRER = Repairer(SMALL)

#: (what the recogniser wrote, what is read, [(heard, read)])
REPAIRS = [
    pytest.param("five thousand of heppering", "five thousand of heparin", [("heppering", "heparin")], id="one word"),
    pytest.param("pepper and is in", "heparin is in", [("pepper and", "heparin")], id="across a word border"),
    pytest.param("Pepper and, five", "heparin, five", [("Pepper and,", "heparin")], id="capitals; its comma stays"),
    pytest.param("six french sheet in", "six french sheath in", [("sheet", "sheath")], id="beside a word it needs"),
    pytest.param("a clean sheet please", "a clean sheet please", [], id="without that word it is what it is"),
    pytest.param("salt, pepper and vinegar", "salt, heparin vinegar", [("pepper and", "heparin")], id="always shown"),
    pytest.param(
        "ten hemispheres. Hemispheres.",
        "ten atmospheres. atmospheres.",
        [("hemispheres.", "atmospheres"), ("Hemispheres.", "atmospheres")],
        id="twice",
    ),
    pytest.param("peppers and all", "peppers and all", [], id="whole words only"),
    pytest.param("pepper", "pepper", [], id="half of a form"),
]


@pytest.mark.parametrize(("heard", "read", "corrections"), REPAIRS)
def test_repairs(heard: str, read: str, corrections: list[tuple[str, str]]) -> None:
    texts, found = REPAIRER.repair(words_of(heard))
    assert " ".join(filter(None, texts)) == read
    assert [(correction.heard, correction.read) for correction in found] == corrections


def test_a_repair_knows_its_words_and_wants_a_look() -> None:
    _, (correction,) = REPAIRER.repair(words_of("five thousand of pepper and given"))
    assert correction.words == (3, 5)
    assert correction.why
    assert correction.review


SOME = st.sampled_from("pepper and heppering sheet french hemispheres of a 6".split())
LETTERS = st.lists(SOME, max_size=20)


@given(LETTERS)
def test_texts_keep_their_words(said: list[str]) -> None:
    """One text a word, so that every time stays with its word; what is not in a correction is untouched."""
    words = words_of(" ".join(said))
    texts, corrections = REPAIRER.repair(words)
    assert len(texts) == len(words)
    repaired = {index for correction in corrections for index in range(*correction.words)}
    assert all(texts[index] == word.text for index, word in enumerate(words) if index not in repaired)
    assert len(repaired) == sum(past - first for first, past in (each.words for each in corrections))


# Short: in long talk a repair that joins two words brings others nearer to the company they need.
@given(st.lists(SOME, max_size=6))
def test_repairing_twice_repairs_nothing_more(said: list[str]) -> None:
    once, _ = REPAIRER.repair(words_of(" ".join(said)))
    again, corrections = REPAIRER.repair(words_of(" ".join(filter(None, once))))
    assert again == list(filter(None, once))
    assert corrections == []


# --- by sound

WHOLE = Repairer(load())
#: A procedure is told around what is tried.
CASE = "six french sheath in the common femoral artery . {} . pigtail catheter into the aorta over the wire ."


def by_sound(said: str, probability: float, case: str = CASE) -> list[Correction]:
    """What is repaired by sound where a recogniser was so sure of every word."""
    words = tuple(word.model_copy(update={"probability": probability}) for word in words_of(case.format(said)))
    return [correction for correction in WHOLE.repair(words)[1] if correction.why == "sounds-alike"]


#: (what the recogniser wrote, how sure it was, [(heard, read)])
SOUNDS = [
    pytest.param("no clotication", 0.7, [("clotication", "claudication")], id="no word of the language"),
    pytest.param("no clotication", 0.95, [], id="the recogniser was sure"),
    pytest.param("left popply teal artery", 0.4, [("popply teal", "popliteal")], id="across a word border"),
    pytest.param("two grams of sephazol in easy", 0.4, [("sephazol in", "cefazolin")], id="with a small word"),
    pytest.param("the anterior tubal artery", 0.4, [("tubal", "tibial")], id="ordinary words where the term belongs"),
    pytest.param("the anterior tubal artery", 0.8, [], id="unless the recogniser was fairly sure"),
    pytest.param("a tubal ligation", 0.8, [], id="ordinary words where it does not"),
    pytest.param("left popply . teal artery", 0.4, [], id="not over the end of a sentence"),
    pytest.param("both hepperon's in", 0.4, [], id="far, and not named elsewhere"),
    pytest.param("more heparin . both hepperon's in", 0.65, [("hepperon's", "heparin")], id="named elsewhere"),
    pytest.param("of bare apamil 5 mg", 0.4, [("bare apamil", "verapamil")], id="a term in it that is unsure"),
    pytest.param("first anti laterals up", 0.3, [], id="two terms are as near"),
    pytest.param("retired man tropon in two", 0.3, [], id="a word that is no term is nearer"),
    pytest.param("no sir listen then", 0.4, [], id="a short term has to fit better"),
    pytest.param("eighteen atmosfears", 0.6, [("atmosfears", "atmospheres")], id="a unit after its number"),
    pytest.param("twenty five milligran", 0.4, [], id="which unit is not for the sound of it to say"),
    pytest.param("ten millileters", 0.4, [], id="nor millilitres or millimetres"),
    pytest.param("eighteen fifteen forty", 0.1, [], id="numbers are never touched"),
    pytest.param("no dissection no stenosis", 0.1, [], id="terms are never touched"),
    pytest.param("he can say his creatinine", 0.3, [], id="words said beside the terms are none"),
    pytest.param("the colour of the litre", 0.6, [], id="British spelling is no doubt"),
    pytest.param("stenting and cannulating", 0.6, [], id="nor are forms of terms"),
]


@pytest.mark.parametrize(("said", "probability", "repairs"), SOUNDS)
def test_by_sound(said: str, probability: float, repairs: list[tuple[str, str]]) -> None:
    assert [(each.heard, each.read) for each in by_sound(said, probability)] == repairs


def test_a_repair_by_sound_keeps_what_was_heard_and_what_it_cost() -> None:
    (repair,) = by_sound("no clotication ,", 0.7)
    first, past = repair.words
    assert CASE.format("no clotication ,").split()[first:past] == ["clotication"]
    assert repair.audio_cost is not None
    assert 0 < repair.audio_cost < 1
    assert repair.review


def test_what_hangs_on_a_word_stays() -> None:
    words = tuple(
        each.model_copy(update={"probability": 0.65})
        for each in words_of(CASE.format("more heparin . no hepperon's, in"))
    )
    texts, _ = WHOLE.repair(words)
    assert "heparin's," in texts


def test_where_no_procedure_is_told_nothing_is_repaired() -> None:
    said = "she said {} and then we went home by train because of the weather"
    assert by_sound("clotication", 0.7, said) == []
    assert by_sound("clotication", 0.7) != []


@given(st.lists(st.sampled_from("no clotication popply teal of a 6 stenosis , sephazol in".split()), max_size=12))
def test_by_sound_texts_keep_their_words(said: list[str]) -> None:
    """As with known forms; and what a repair reads is one word of the trade in place of what was heard."""
    words = tuple(
        Word(text=text, start_ms=0, end_ms=1, probability=0.4) for text in CASE.format(" ".join(said)).split()
    )
    texts, corrections = WHOLE.repair(words)
    repaired = {index for each in corrections for index in range(*each.words)}
    assert len(texts) == len(words)
    assert all(texts[index] == word.text for index, word in enumerate(words) if index not in repaired)
    assert len(repaired) == sum(past - first for first, past in (each.words for each in corrections))
    assert all(word.text not in {"6", "stenosis", "no"} for index, word in enumerate(words) if index in repaired)
