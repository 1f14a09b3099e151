"""What was begun to be measured and not told yet: "Let's see how wide it is. … Comes out at seven.", "We take the
pressure in the sac. … It says forty."; the one bare figure of a short sentence right behind it.
"""

from dataclasses import dataclass

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.kinds.finding import LESIONS
from extractor.reconciling.story import Story

#: Words that tell what is measured, in the order in which they are asked.
_KEYS = (
    ("gradient", frozenset("gradient gradients".split())),
    ("pressure", frozenset("pressure pressures transduce transducing transduced transducer wedge wedged".split())),
    ("length", frozenset("length distance".split())),
    (
        "diameter",
        frozenset(
            """
            diameter diameters width wide calibre caliber size big large lumen reference measure measuring measured
            measurement measurements ruler calipers callipers caliper calliper sizing ivus
            """.split()
        ),
    ),
)
_IN_A_VESSEL = frozenset("transduce transducing transduced transducer wedge wedged sac portal graft atrial".split())
#: A question of these alone asks for the same elsewhere.
_WHERE = frozenset(
    """
    and what about the a at on in of to below above top bottom upper lower proximal distal proximally distally left
    right other side here there then end middle mid further up down now one is s 's it ? , how
    """.split()
)
#: A figure of each lies between these, in mm or mmHg: common practice, no source.
_RANGES = {"gradient": (0, 150), "pressure": (1, 300), "length": (3, 400), "diameter": (0.5, 45)}
#: With one of these a size or a pressure is another's.
_OTHERS = frozenset(
    """
    blood arterial cuff systolic diastolic pulse saturation been balloon balloons stent stents needle long-term time
    frames frame minutes seconds hours days weeks months years
    """.split()
)
#: So many sentences behind, of so many words at most: set by hand.
_NEAR, _SHORT = 2, 13
#: After a figure that tells.
_ENDS = frozenset(
    ", . ; ? ... - and or so at in on here there now above below across wide long then sir doctor".split()
) | {""}
#: Before one that tells.
_LIGHT = frozenset(
    """
    , . - ... : it is 's was i we make makes get gets got have has read reads say says said comes out at to up that this
    there here about around roughly nearly exactly just only now still well so then and a an the call measures measured
    measure gives me us computer machine software ruler looks like be would put em um er oh okay right yes yeah
    """.split()
)


#: A question of so many words asks for the same once more; a label has so many; the next of a row is so many times as
#: much or as little at most: set by hand.
_ASKING, _LABEL, _APART = 8, 5, 4
#: Small words that are read as actions and tell nothing here.
_PASSING = {"particle", "raise", "particle out", "measure", "give", "detach", "pressure"}


@dataclass(slots=True)
class OpenMeasure:
    """The quantity that was begun to be measured last: its key, and the sentence; and the one told last."""

    key: str = ""
    number: int = -9
    told: str = ""
    value: float = 0.0
    since: int = -9

    def end(self, story: Story, sentence: Sentence) -> None:
        """After a sentence: what it begins to measure, or that nothing is waited for any more."""
        last = story.drafts[-1] if story.drafts else None
        if (
            last is not None
            and last.kind is Kind.MEASURE
            and last.status is Status.DONE
            and last.number == story.number
        ):
            self.told = next(reversed(last.values))
            self.value, self.since = last.values[self.told].value, story.number
        named = story.mentions("device", "drug", "pair") or story.says("inflate", "run", "by hand")
        if named:
            self.since = -9
        if story.mentions("quantity") or named or sentence.cues & {Status.PAST, Status.QUOTED, Status.NEGATED}:
            self.key = ""
            return
        key = next((key for key, words in _KEYS if sentence.texts & words), "")
        if key == "pressure" and not (story.mentions("place") or sentence.texts & _IN_A_VESSEL):
            key = ""  # it may be a balloon's
        soon = len(sentence.texts) <= _ASKING and story.number - self.since <= _NEAR + 1
        again = sentence.question and soon and _asks_where(story, sentence)
        if not key and again and self.told in _RANGES:
            key = self.told  # "And at the top?"
        lesion = last is not None and last.finding in LESIONS and "it" in sentence.texts  # "Ruler on it.": how long
        if (key and (sentence.texts & _OTHERS or lesion)) or (not key and sentence.question):
            self.key = ""
        elif key:
            self.key, self.number = key, story.number

    def tells(self, story: Story, item: Item, quantity: Quantity) -> str:
        """The key that a figure is of, or nothing."""
        sentence = story.sentence
        if len(sentence.tokens) > _SHORT:
            return ""
        if len(story.mentions("quantity")) != 1 or story.mentions("device", "drug", "finding", "pair"):
            return ""
        if story.says("inflate", "run", "by hand", "act") or sentence.texts & _OTHERS or item.status is not None:
            return ""
        if self._in_row(story, item, quantity):
            return self.told
        if not self.key or story.number - self.number > _NEAR:
            return ""
        least, most = _RANGES[self.key]
        plain = quantity.unit is None and quantity.form in {"cardinal", "decimal", "fraction", "spelled"}
        whole = self.key in {"diameter", "length"} or quantity.value % 1 == 0
        ends = item.after in _ENDS and {*sentence.tokens[: item.span[0]]} <= _LIGHT and not sentence.question
        return self.key if plain and whole and ends and least <= quantity.value <= most else ""

    def _in_row(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "Proximal neck, twenty-four. … The lower part, twenty-two.": a few words that name where, and a figure near
        the one told last.
        """
        sentence = story.sentence
        if story.number - self.since > _NEAR or self.told not in _RANGES or sentence.question:
            return False
        label = sentence.tokens[: item.span[0]]
        acts = any(other.kind == "pronoun" or other.meanings - _PASSING for other in story.behind())
        named = 1 <= sum(token.isalpha() for token in label) <= _LABEL and label[-1:] in {
            (",",),
            (":",),
            ("is",),
            ("'s",),
        }
        near = self.value / _APART <= quantity.value <= self.value * _APART
        plain = quantity.unit is None and quantity.form in {"cardinal", "decimal", "fraction"}
        return named and near and plain and not acts and item.after in _ENDS


def _asks_where(story: Story, sentence: Sentence) -> bool:
    """ "And at the top?", "and the external?"; not "after lunch?"."""
    named = {at for item in story.mentions("place", "part", "side") for at in range(*item.span)}
    return all(at in named or token in _WHERE for at, token in enumerate(sentence.tokens))
