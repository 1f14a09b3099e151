"""What was begun to be measured and is told in sentences behind: "Let's see how wide it is. … Comes out at seven.",
"Size the landing zones. … Proximal, twenty-six. … Ten lower, twenty-seven.", "Wedge? … Twenty-four. … Free? … Ten."

Such a sentence is short, has one bare figure and names nothing that could have it; before the figure stand words that
tell ("it says"), or a few that name where, and a comma.
"""

from dataclasses import dataclass

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.kinds.finding import LESIONS
from extractor.reconciling.kinds.pressure_site import VITALS
from extractor.reconciling.kinds.vessel_size import can_be_sized, names_vessel
from extractor.reconciling.story import Story

#: Words that tell what is measured, in the order in which they are asked.
_KEYS = (
    ("gradient", frozenset("gradient gradients".split())),
    ("pressure", frozenset("pressure pressures transduce transducing transduced transducer wedge wedged".split())),
    ("length", frozenset("length lengths distance distances height".split())),
    (
        "diameter",
        frozenset(
            """
            diameter diameters width wide calibre caliber size sizes big large lumen reference measure measuring
            measured measurement measurements ruler calipers callipers caliper calliper sizing ivus ultrasound
            """.split()
        ),
    ),
)
#: In a short sentence these head sizes, or ask for them.
_HEADS = frozenset("number numbers screen probe workstation software".split())
#: These alone do not tell what is measured.
_MEASURE = frozenset(
    "measure measuring measurement measurements and again now so then it we let us 's please once more".split()
)
_IN_A_VESSEL = frozenset("transduce transducing transduced transducer wedge wedged sac portal graft atrial".split())
#: A question of these alone asks for the same elsewhere.
_WHERE = frozenset(
    """
    . and what about the a at on in of to below above top bottom upper lower proximal distal proximally distally left
    right other side here there then end middle mid further up down now one is s 's it ? , how past beyond behind
    before after valve branch free wedge wedged reference minimal minimum lumen
    """.split()
)
#: A figure of each lies between these, in mm or mmHg: common practice, no source.
_RANGES = {"gradient": (0, 150), "pressure": (1, 300), "length": (3, 400), "diameter": (0.5, 45)}
#: With one of these a figure is of something else.
_OTHERS = frozenset(
    """
    blood arterial cuff systolic diastolic pulse saturation been balloon balloons stent stents needle long-term time
    frames frame minutes seconds hours days weeks months years rao lao cranial caudal oblique degrees gantry tube table
    rate age weight kilos sats bed room dose contrast volume flow velocity speed score fluoro cc mils height
    """.split()
)
#: After a figure: so far from the place named last another is.
_APART_FROM = frozenset("lower higher further farther below above down up distal proximal distally proximally".split())
#: So many sentences behind, of so many words at most: set by hand.
_NEAR, _SHORT = 2, 13
#: After a figure that tells.
_TELLING_ENDS = frozenset(
    ", . ; ? ... - and or so at in on here there now above below across wide long then sir doctor upper lower".split()
) | {""}
#: Before one that tells.
_LIGHT = frozenset(
    """
    , . - ... : it is 's was i we make makes get gets got have has read reads say says said comes out at to up that this
    there here about around roughly nearly exactly just only now still well so then and a an the call measures measured
    measure gives me us computer machine software ruler looks like be would put let see em um er oh okay right yes yeah
    """.split()
)
#: A question of so many words asks for the same once more; a heading and a label have so many; the next diameter of a
#: row is so many times as much or as little at most: set by hand.
_ASKING, _HEADING, _LABEL, _APART = 8, 8, 6, 4
#: Small words that are read as actions and tell nothing here.
_PASSING = {"particle", "raise", "particle out", "measure", "give", "detach", "pressure", "gradient"}


@dataclass(slots=True)
class OpenMeasure:
    """The quantity that was begun to be measured last: its key, and the sentence; and the one told last."""

    key: str = ""
    number: int = -9
    sure: bool = False  # whether anything was named that has it; else the answer must
    told: str = ""
    value: float = 0.0
    since: int = -9

    def expects(self, number: int) -> bool:
        """Whether a size may be told in this sentence."""
        return (bool(self.key) and number - self.number <= _NEAR) or number - self.since <= _NEAR

    def end(self, story: Story, sentence: Sentence, named: bool) -> None:
        """After a sentence: what it begins to measure, or that nothing is waited for any more; ``named``: a vessel or
        a lesion was told right before.
        """
        last = story.drafts[-1] if story.drafts else None
        if last is not None and last.kind is Kind.MEASURE and last.number == story.number:
            self.told = next(reversed(last.values))
            self.value, self.since = last.values[self.told].value, story.number
        used = story.mentions("device", "drug", "pair") or story.says("inflate", "run", "by hand")
        if used:
            self.since = -9
        if story.mentions("quantity") or used or sentence.cues & {Status.PAST, Status.QUOTED, Status.NEGATED}:
            self.key = ""
            return
        key = _key(story, sentence, self.told) if can_be_sized(sentence, True) else ""
        soon = len(sentence.texts) <= _ASKING and story.number - self.since <= _NEAR + 1
        if not key and soon and self.told in _RANGES and _asks_where(story, sentence):
            key = self.told  # "And at the top?"
        lesion = last is not None and last.finding in LESIONS and "it" in sentence.texts  # "Ruler on it.": how long
        if (key and (sentence.texts & (_OTHERS - {"height"}) or lesion)) or (not key and sentence.question):
            self.key = ""
        elif key:
            self.key, self.number, self.sure = key, story.number, can_be_sized(sentence, named)

    def asks_anew(self, number: int) -> bool:
        """Whether a sentence asked for a gradient once more: "Measure again."."""
        return self.key == "gradient" and self.number == number

    def tells(self, story: Story, item: Item, quantity: Quantity) -> str:
        """The key that a figure is of, or nothing."""
        sentence = story.sentence
        waited = self.key if story.number - self.number <= _NEAR and (self.sure or names_vessel(story)) else ""
        in_row = self.told if story.number - self.since <= _NEAR and self.told in _RANGES else ""
        if not (waited or in_row) or len(sentence.tokens) > _SHORT or sentence.question:
            return ""
        figures = [other for other in story.mentions("quantity") if other.after not in _APART_FROM]  # "ten lower, …"
        if figures != [item] or story.mentions("device", "drug", "pair") or _shows(story):
            return ""
        height = {"height"} if {"neck", "height"} <= sentence.texts else set()
        if (
            story.says("inflate", "run", "by hand", "act")
            or sentence.texts & (_OTHERS - height | VITALS)
            or item.status is not None
        ):
            return ""
        label = _label(story, item)
        before = {*sentence.tokens[: item.span[0]]}
        if not label and not (waited and before <= _LIGHT):
            return ""
        key = next((key for key in ("length", "diameter") if label & dict(_KEYS)[key]), "") or waited or in_row
        key = "length" if item.role == "long" and key == "diameter" else key
        return key if self._can_be(key, item, quantity, waited == key) else ""

    def _can_be(self, key: str, item: Item, quantity: Quantity, waited: bool) -> bool:
        """Whether a figure can be of this quantity, and near the one told last where it is the next of a row."""
        least, most = _RANGES[key]
        plain = quantity.unit is None and quantity.form in {"cardinal", "decimal", "fraction", "spelled"}
        whole = key in {"diameter", "length"} or quantity.value % 1 == 0
        near = waited or key != "diameter" or key != self.told or not self.value
        near = near or self.value / _APART <= quantity.value <= self.value * _APART
        return plain and whole and near and item.after in _TELLING_ENDS and least <= quantity.value <= most


def _key(story: Story, sentence: Sentence, told: str) -> str:
    """What a sentence without a figure begins to measure: a gradient again, where it names nothing and one was told."""
    key = next((key for key, words in _KEYS if sentence.texts & words), "")
    if key == "diameter" and "waist" in sentence.texts:
        return ""  # "a big waist": of a balloon
    if key == "pressure" and not (story.mentions("place") or sentence.texts & _IN_A_VESSEL):
        return ""  # it may be a balloon's
    heads = bool(sentence.texts & _HEADS) and len(sentence.texts) <= _HEADING
    if told == "gradient" and key == "diameter" and all(text in _MEASURE for text in sentence.texts if text.isalpha()):
        return told
    return key or ("diameter" if heads else "")


def _label(story: Story, item: Item) -> frozenset[str]:
    """ "Proximal, …", "the lower part is …": the words that name where, right before a figure; none where they tell
    something else.
    """
    tokens = story.sentence.tokens[: item.span[0]]
    if tokens[-1:] not in {(",",), (":",), ("is",), ("'s",)}:
        return frozenset()
    acts = any(other.kind == "pronoun" or other.meanings - _PASSING for other in story.behind())
    words = {token for token in tokens if token.isalpha()}
    return frozenset() if acts or words <= _LIGHT or len(words) > _LABEL else frozenset(words)


def _shows(story: Story) -> bool:
    """Whether a finding is told, not only where something is: "below the narrowing it is eighty-five"."""
    return any(
        other.where not in {"below", "above", "beyond", "past", "behind", "before"}
        for other in story.mentions("finding")
    )


def _asks_where(story: Story, sentence: Sentence) -> bool:
    """ "And at the top?", "and the external?"; not "after lunch?"."""
    named = {at for item in story.mentions("place", "part", "side") for at in range(*item.span)}
    return all(at in named or token in _WHERE for at, token in enumerate(sentence.tokens))
