"""Access told with no needle spoken of: "femoral, in", "the neck is stuck", "left groin puncture is good", "access,
right brachial", "we're in from the wrist", "needle's in the duct".

Only for the first way in of a case, or one on another side than those before: once something is in, the same words
speak of what goes through it.
"""

from collections.abc import Sequence

from extractor.model import SIDES, Item, Sentence, Status
from extractor.reconciling.marks import MARKS
from extractor.reconciling.story import Story
from extractor.reconciling.tense import LATER

#: Where one goes in; nothing else of the body is called so in a case.
_SITES = frozenset(
    """
    groin groins femoral femorals radial radials brachial brachials jugular jugulars popliteal basilic cephalic
    subclavian axillary ulnar wrist wrists neck elbow pedal saphenous
    """.split()
)
_PUNCTURES = frozenset("puncture punctures stick sticks access prick cannulation".split())
_HAVE = frozenset("have got took 've".split())
#: What was done to a site.
_ENTERED = frozenset("stuck punctured pricked cannulated entered accessed needled poked stung".split())
#: What a puncture is once it is made.
_MADE = frozenset(
    """
    done good made achieved clean fine easy smooth ok okay obtained gained quick nice great perfect successful lovely
    uneventful finished completed established secured antegrade retrograde
    """.split()
)
#: Which way it goes.
_WAYS = frozenset({"antegrade", "retrograde"})
#: What it is in, told of a needle.
_TARGETS = frozenset(
    """
    duct calyx collection abscess cavity fluid pus vein artery bladder gallbladder kidney pocket pelvis graft
    fistula bile urine ascites cyst segment liver lobe
    """.split()
)
#: Between a site or a puncture and what is told of it.
_LIGHT = frozenset(
    """
    , . ... - : 's is are was were has have been now the a and already also with under by using via ultrasound sound
    echo guidance micropuncture percutaneous percutaneously antegrade retrograde right left common superficial internal
    external side artery vein arteries veins both first second one go time try again really very nicely easily itself
    """.split()
)
#: Between a verb and its site.
_ARTICLES = frozenset("the a her his my this that in into right left common superficial internal external both".split())
_WAY_ENDS = MARKS | {"and", ""}
#: Behind "in" these tell only which way.
_FROM = frozenset("from on through via with now already both".split())
#: Before a site: it is where something else comes from or goes to.
_LEADING = frozenset("from through into to via of for at toward towards no not without over in inside my".split())
#: Right behind a puncture that is told: not "site", "hole", "was compressed".
_AFTER_PUNCTURE = _WAY_ENDS | frozenset("with under by of in at left right toward towards via on into".split())
_WE = {("we", "'re"), ("i", "'m"), ("we", "are"), ("i", "am"), ("we", "were"), ("we're",), ("i'm",)}
_IN = {"in", "inside"}
#: Where something is in without being of a way in: not so yet, or no more.
_NOT_NOW = frozenset("if when once until before after not n't never last next yesterday tomorrow ago".split()) | LATER
#: What speaks of the end of it, or of other people.
_OTHERWISE = frozenset(
    "compressed pressed closed ended removed bleeding bruise haematoma hematoma band swollen teaching students".split()
)
#: Needles that take something out.
_BIOPSY = frozenset("biopsy core cores coaxial fire fired".split())
#: Devices that may be named where one goes in.
_ON_THE_WAY = {"needle", "wire", "microwire"}
_UNTOLD = {Status.PAST, Status.QUOTED, Status.NEGATED, Status.CONSIDERED, Status.PLANNED}


def names_site(sentence: Sentence) -> bool:
    """ "Right groin.", "Radial, under ultrasound.": a sentence of nothing but where one goes in."""
    return bool(sentence.texts & _SITES) and sentence.texts <= _SITES | _LIGHT | _PUNCTURES and not sentence.question


def way_gained(story: Story, sentence: Sentence, *, named: bool) -> Item | None:
    """What tells that there is access now, as a mark at its words; None where nothing does. ``named``: the sentence
    before names a site and nothing else.
    """
    texts = sentence.texts
    told = texts & _SITES or texts & _PUNCTURES or texts & _IN or named
    if not told or sentence.question or sentence.cues & _UNTOLD or texts & (_NOT_NOW | _OTHERWISE):
        return None
    if story.history > 0 or story.planned == sentence.breath or story.summary or not _may_be(story, sentence):
        return None
    span = _alone(sentence) if named else None
    span = span or _span(sentence)
    if span is None or any(item.status in _UNTOLD and item.span[0] < span[1] for item in sentence.items):
        return None
    items = [item.words for item in sentence.items if span[0] <= item.span[0] < span[1]]
    words = (items[0][0], items[-1][1]) if items else sentence.words
    return Item("mark", words, " ".join(sentence.tokens[span[0] : span[1]]), span=(span[1] - 1, span[1]))


def _alone(sentence: Sentence) -> tuple[int, int] | None:
    """ "In.", "Stuck.", "Is in, good": right behind the sentence that names a site."""
    at = _past_light(sentence.tokens, 0)
    told = sentence.tokens[at : at + 1]
    return (0, at + 1) if {*told} & (_IN | _ENTERED) and _ends(sentence.tokens, at + 1) else None


def _may_be(story: Story, sentence: Sentence) -> bool:
    """Whether there is no access yet, or another side is named."""
    gained = [way for way in story.ways if way.status is Status.DONE]
    sides = {item.name for item in sentence.items if item.kind == "side"} & SIDES
    if gained:
        return bool(sides) and all(way.side for way in gained) and not sides & {way.side for way in gained}
    return not any(thing.role == "insert" and thing.where in {"in", "out"} for thing in story.things)


def _span(sentence: Sentence) -> tuple[int, int] | None:
    tokens = sentence.tokens
    named = [item for item in sentence.items if item.kind in {"device", "drug", "quantity"}]
    for at, text in enumerate(tokens):
        before = _before(tokens, at)
        subject = not any(_clause(tokens, at) <= item.span[0] < at for item in named)
        if text in _SITES and before not in _LEADING:
            last = _past_light(tokens, at + 1)
            after = tokens[last] if last < len(tokens) else ""
            if (after in _ENTERED or (after in {"done", "taken"} and _ends(tokens, last + 1))) and subject:
                return at, last + 1
            sheaths = text.endswith("s") and any(
                item.span[0] > at for item in named
            )  # "groins are in, six French each"
            if after in _IN and subject and not sheaths and _ends(tokens, last + 1):
                return at, last + 1
        if text in _ENTERED and before != "it" and (_leads_to_site(tokens, at + 1) or (not at and _ends(tokens, 1))):
            return at, at + 1
        if text in _HAVE and subject and tokens[at - 1 : at] in {("i",), ("we",)} and _leads_to_site(tokens, at + 1):
            return at, at + 1
        if text in _PUNCTURES and (made := _made(tokens, at)):
            return made
        if (
            text == "needle"
            and not any(item.kind == "drug" for item in named)
            and (there := _needle_there(sentence, at))
        ):
            return there
        if text in _IN and (tokens[max(0, at - 2) : at] in _WE or tokens[at - 1 : at] in _WE):
            free = not named or named[0].span[0] > at
            if free and (_ends(tokens, at + 1) or tokens[at + 1] in _FROM):
                return at, at + 1
    return None


def _before(tokens: Sequence[str], at: int) -> str:
    """The word before a site, but for which one it is: "from the right groin"."""
    at -= 1
    while at >= 0 and tokens[at] in _ARTICLES - _LEADING:
        at -= 1
    return tokens[at] if at >= 0 else ""


def _clause(tokens: Sequence[str], at: int) -> int:
    """The first token of what stands before a token with no full stop between."""
    return next((n + 1 for n in range(at - 1, -1, -1) if tokens[n] in {".", "!", "?", ";"}), 0)


def _past_light(tokens: Sequence[str], at: int) -> int:
    while at < len(tokens) and tokens[at] in _LIGHT:
        at += 1
    return at


def _ends(tokens: Sequence[str], at: int) -> bool:
    return at >= len(tokens) or tokens[at] in _WAY_ENDS


def _leads_to_site(tokens: Sequence[str], at: int) -> bool:
    while at < len(tokens) and tokens[at] in _ARTICLES:
        at += 1
    return at < len(tokens) and tokens[at] in _SITES


def _made(tokens: Sequence[str], at: int) -> tuple[int, int] | None:
    """A puncture that is told as made, or only named with where it is."""
    before, after = tokens[at - 1 : at] if at else (), tokens[at + 1] if at + 1 < len(tokens) else ""
    if before and before[0] in _LEADING:
        return None
    last = _past_light(tokens, at + 1)
    while last < len(tokens) and tokens[last] in _SITES:
        last = _past_light(tokens, last + 1)
    behind = tokens[last] if last < len(tokens) else ""
    there = behind in _IN and _ends(tokens, last + 1)
    if behind in _MADE or there or _WAYS & {*tokens[at + 1 : last]}:
        return at, min(last + 1, len(tokens))
    placed = bool(before) and before[0] in _SITES | _WAYS
    if placed and after in _AFTER_PUNCTURE:
        return at - 1, at + 1
    if tokens[at] != "access":
        return None
    return (at, last) if _SITES & {*tokens[at + 1 : last]} or _leads_to_site(tokens, last + 1) else None


def _needle_there(sentence: Sentence, at: int) -> tuple[int, int] | None:
    """ "Needle's in", "the needle is in the calyx"; of none that takes something out."""
    tokens = sentence.tokens
    if _BIOPSY & sentence.texts:
        return None
    last = at + 1
    while last < len(tokens) and tokens[last] in {"'s", "is", ",", "...", "now", "already", "was"}:
        last += 1
    if last >= len(tokens) or tokens[last] not in _IN | {"through"}:
        return None
    if _ends(tokens, last + 1):
        return at, last + 1
    return (at, last + 1) if _TARGETS & {*tokens[last + 1 : last + 6]} else None
