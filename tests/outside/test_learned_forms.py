"""Forms of ordinary words that were really misheard, learned as the desk would propose them, beside ordinary talk.

Sources of the talk: as in ``test_false_repairs``; the forms are those of our misheard.toml that no odd word betrays.
The words they may stand beside are all that learning may ever choose from: worse than any entry it proposes.
"""

from pathlib import Path

from extractor.lexicon import Misheard, each_form, load
from extractor.model import Word
from extractor.reading.misheard import Forms, TradeWords

from .test_false_repairs import census, orders, radio, read_aloud, talk


def test_no_ordinary_talk_is_read_as_a_term_that_was_learned(open_data: Path) -> None:
    """141,216 words: alone the forms would be read 54 times, beside a word of the trade never."""
    lexicon = load()
    trade = TradeWords(lexicon)
    heard = {form for entry in lexicon.misheard for form in each_form(entry.heard) if trade.is_ordinary(form)}
    assert len(heard) > 100
    near = tuple(sorted(trade.telling))
    alone = Forms(Misheard(read="x", heard=(form,)) for form in heard)
    beside = Forms(Misheard(read="x", heard=(form,), near=near) for form in heard)
    texts = [text for source in (talk, radio, read_aloud, census, orders) for text in source(open_data)]
    spoken = [[Word(text=word, start_ms=0, end_ms=0) for word in text.split()] for text in texts]
    assert sum(map(len, spoken)) > 100_000
    assert sum(len(list(alone.places(words))) for words in spoken) > 10
    assert [place for words in spoken for place in beside.places(words)] == []
