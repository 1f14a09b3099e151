"""Ways in, as they are talked of: "I'd have gone radial", "not from the left groin", "we could try from the arm".

A puncture that is told has a word of its own (``lexicons/actions.toml``); where one goes in is mostly talked of without
it: a verb of going, how, and a site. What becomes of it is told by the talk around it, as for any other action.
"""

from collections.abc import Iterator, Sequence

from extractor.model import Item
from extractor.reading.tokens import Token

_GOES = frozenset(
    "go goes going gone start starts starting started try tries trying tried approach approached approaching do did "
    "done not".split()
)
_VIA = {"from", "via", "through", "by", "for"}
#: What may stand between the verb, how, and the site.
_LIGHT = frozenset("in it her him the a left right other my his same opposite common contralateral ipsilateral".split())
#: Sites to go in at; with "for" or no word before them only those in the first row, which nothing else is called by.
_WAYS = frozenset(
    "radial transradial brachial transbrachial femoral transfemoral axillary popliteal transpopliteal pedal transpedal "
    "jugular transjugular ulnar subclavian".split()
)
_SITES = _WAYS | frozenset("groin arm wrist foot neck elbow ankle armpit".split())
_SIDES = {"left", "right", "other"}
#: A way in by its name alone.
_ALONE = frozenset("transradial transbrachial transfemoral transpedal transpopliteal radially".split())
#: Behind a site: it is thought of as one.
_OPTION = frozenset("option alternative possibility choice".split())
_FAR, _ENDS = 5, {".", ",", "?", "!", ";", "..."}


def ways_in(tokens: Sequence[Token]) -> Iterator[Item]:
    """Tokens of a sentence -> the ways in it talks of, as actions that take up only the words before the site."""
    texts = [token.text for token in tokens]
    for at, text in enumerate(texts):
        last = _led_to(texts, at) if text in _GOES else at + 1 if text in _ALONE or _is_option(texts, at) else 0
        if last:
            words = (tokens[at].word, tokens[last - 1].past)
            said = " ".join(texts[at:last])
            yield Item("action", words, said, meanings=frozenset({"way in"}), span=(at, last))


def _led_to(texts: Sequence[str], at: int) -> int:
    """A verb of going -> past its last word before the site it leads to; 0 where it leads to none."""
    via, last = "", at + 1
    for index in range(at + 1, min(len(texts), at + 1 + _FAR)):
        text = texts[index]
        if text in _VIA and not via:
            via, last = text, index + 1
            continue
        sided = via == "from" and text in _SIDES and (index + 1 == len(texts) or texts[index + 1] in _ENDS)
        if sided or (text in (_SITES if via and via != "for" else _WAYS) and (via or texts[at] != "not")):
            return last
        if text not in _LIGHT:
            return 0
    return 0


def _is_option(texts: Sequence[str], at: int) -> bool:
    """ "Brachial is an option", "a radial approach"."""
    return texts[at] in _WAYS and bool(_OPTION & {*texts[at + 1 : at + 4]})
