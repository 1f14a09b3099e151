"""Words for an earlier injection that this one is like: "same run again", "as the first one", "the rest unchanged"."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise, takewhile

from extractor.model import Item, Status
from extractor.reconciling.marks import STOPS
from extractor.reconciling.story import Story

#: Which earlier run is meant.
FIRST = {"first", "original", "originally", "opening", "initial", "outset", "begin", "beginning", "start"}
#: No command to inject where they stand alone.
NEVER_ALONE = {"going", "push", "pushing", "injection"}
#: After "same", these are how often pictures are taken.
_FRAMES = {"frames", "images", "pictures", "frame rate"}
#: After these what an earlier run showed or was called may be said, as far as one of these words.
_WHICH = {"first", "last", "previous", "earlier", "second"}
_LIKE = {"like", "as", "same", "identical", "exactly"}
#: Before "last": an earlier one is meant.
_BEFORE_LAST = _LIKE | frozenset("settings numbers values figures parameters recipe of from repeat".split())
_HEADS = frozenset(
    """
    run runs picture pictures shot shots one ones series injection film time acquisition image images settings numbers
    figures parameters angiogram venogram and but so with of for in at
    """.split()
)
#: After "same" it is said of a run, where one is told.
_SAME_THEN = _HEADS | frozenset(
    """
    , . ? ! ... - by again as please volume rate speed flow amount frames frame thing way go on from go yes sir doctor
    everything all throughout
    """.split()
)
_EARLIER = FIRST | {
    "same",
    "identical",
    "above",
    "earlier",
    "before",
    "previous",
    "last",
    "again",
    "exactly",
    "unchanged",
}
#: After a run these say that another is as it was.
SAME = {"likewise", "identical", "unchanged", "identically"}
#: A run is called so, or goes through it, where nobody says "run".
_BY_MACHINE = frozenset("machine injector pump pigtail flush".split())
_CALLED = frozenset("check control final completion closing".split())
_BEFORE_CALLED = frozenset("and then now the a one so okay".split())
#: "Again, but thirty this time": so many different words, marks among them. Set by hand, no source.
_FEW = 7
#: One more, where runs are spoken of.
_ONCE_MORE = {"repeat", "again"}
#: Beside a setting: this one is another, the rest as it was.
_CHANGED = frozenset("up down less more lower higher reduce reduced increase increased stays change changed".split())
#: So many tokens before a figure its setting is named. Set by hand, no source.
_NEAR = 5
#: So much of what the run before had.
_SCALES = {"half": 0.5, "twice": 2.0, "double": 2.0}
_SCALED = {
    "volume": ("volume",), "amount": ("volume",), "contrast": ("volume",), "rate": ("rate",), "speed": ("rate",),
    "flow": ("rate",), "that": ("volume",),
}  # fmt: skip
#: What is not told of the settings, and that it stays.
_REST = {"rest", "else", "others"}
_UNCHANGED = frozenset(
    "leave leaves leaving alone same stays stay remains unchanged untouched before keep keeps".split()
)


@dataclass(slots=True)
class Reference:
    """What was said of an earlier run that this one is like: all words, those that tell which it was ("the first leg
    picture": leg), whether only how often pictures are taken is meant, and whether settings are named.
    """

    words: frozenset[str]
    of: frozenset[str] = frozenset()
    frames_only: bool = False
    of_settings: bool = False
    last: bool = False  # "as the last one", not "the last run, the same"
    factors: Mapping[str, float] = field(default_factory=dict)  # setting -> how much of the earlier one


def reference_to_earlier(story: Story) -> Reference | None:
    """The reference to an earlier run in this sentence, whether or not it tells of a run; None where there is none."""
    items, texts = story.sentence.items, story.sentence.texts
    settings = any("settings" in item.meanings and item.text != "total" for item in items)
    named = any(item.kind in {"drug", "finding"} or (item.kind == "device" and not item.where) for item in items)
    changed = story.topic == "run" and bool(texts & _CHANGED) and (settings or few_words(texts))
    if named or (story.says("inflate", "deflate", "pressure") and not (changed and settings)):
        return None
    said = (*story.sentence.tokens, ".") if "same" in texts else ()
    same = any(one == "same" and other in _SAME_THEN for one, other in pairwise(said))
    of = _of_which(story.sentence.tokens)
    running = story.topic == "run"
    factors = scaled(story.sentence.tokens)
    few = len(texts) <= _FEW and (story.says("again") or bool(texts & _ONCE_MORE))
    alike = (
        same
        or (running and (bool(texts & SAME) or few or bool(factors)))
        or changed
        or _rest_stays(texts)
        or story.says("as before")
        or (settings and texts & _EARLIER)
        or (of and texts & _LIKE)
    )
    if not alike:
        return None
    return Reference(texts, of, _same_frames(story), settings, as_last(story.sentence.tokens), factors)


def as_last(tokens: tuple[str, ...]) -> bool:
    """ "as the last one", "with the settings of the last run": not "last run, the same"."""
    return "last" in tokens and not _BEFORE_LAST.isdisjoint(tokens[: tokens.index("last")])


#: Of these alone, and of places, a sentence is made that only says that an injection is as an earlier one: what it is
#: called …
_CALLED_SO = frozenset(
    """
    injection injections contrast run picture pictures series angio angiogram angiography shot control image images
    film acquisition injector machine pump settings numbers values parameters portogram venogram cavogram aortogram
    fistulogram cholangiogram arteriogram cine
    """.split()
)
#: … of which these are also said of balloons or of other machines, …
_ALSO_OTHERS = frozenset("pump machine numbers values image images control shot film picture pictures contrast".split())
#: … and these of what is seen, …
_SEEN = frozenset(
    """
    picture pictures image images film films angio angiogram angiography control portogram venogram cavogram aortogram
    fistulogram cholangiogram arteriogram machine
    """.split()
)
#: … what says that it is alike, …
_ALIKE = frozenset("same equal identical identically unchanged likewise".split())
_ALIKE_PAIRS = {
    ("as", "before"), ("like", "before"), ("as", "first"), ("as", "last"), ("it", "stands"), ("it", "is"),
    ("it", "was"),
    ("as", "earlier"), ("as", "previously"), ("had", "before"), ("had", "first"), ("like", "last"), ("like", "first"),
}  # fmt: skip
#: … and the small words between.
_BETWEEN = frozenset(
    """
    , : ; - ... and so now okay ok then here there this that the a an on in at with by for of to from as like one last
    final first before earlier previous previously once more again repeat repeated repeating please give take do make
    us me we i it stands had what over side thank you good right left up go shoot fire
    """.split()
)
_TOLD_ENDS = STOPS - {"?", ";"}


def only_alike(story: Story) -> bool:
    """ "Contrast, same.", "Control with the same values.", "again, with the injector as it stands": whether a sentence
    says nothing but that an injection is as the one before.
    """
    sentence = story.sentence
    words = sentence.tokens[:-1] if sentence.tokens[-1:] and sentence.tokens[-1] in _TOLD_ENDS else sentence.tokens
    if sentence.question or story.history > 0 or Status.NEGATED in sentence.cues:
        return False
    named = _CALLED_SO & {*words}
    alike = _ALIKE & {*words} or ({"as", "last"} <= {*words}) or any(pair in _ALIKE_PAIRS for pair in pairwise(words))
    if (
        not named
        or not alike
        or (named <= _ALSO_OTHERS and story.topic not in {"run", "finding"} and not _heads(words))
    ):
        return False
    if {"had"} & {*words} and {"i", "we"} & {*words}:
        return False  # "I had the same numbers before"
    if named <= _SEEN and _ALIKE & {*words} <= {"identical", "unchanged", "identically"} and "with" not in words:
        return False  # "Identical images.", "Angiogram: unchanged.": that is what is seen
    spots = {token for item in sentence.items if item.kind in {"place", "side", "part"} for token in item.text.split()}
    devices = any(item.kind in {"device", "drug", "finding", "quantity", "pair"} for item in sentence.items)
    return not devices and {*words} <= _CALLED_SO | _ALIKE | _BETWEEN | spots


def _heads(words: Sequence[str]) -> bool:
    """ "Contrast, same.", "Picture, equal.": called first, and parted from what says that it is alike."""
    return (
        len(words) >= 2 and words[0] in _CALLED_SO - {"pump"} and words[1] in {",", ":", "same", "again", "like", "as"}
    )


def few_words(texts: frozenset[str]) -> bool:
    return len(texts) <= _FEW


def changed_setting(tokens: tuple[str, ...], item: Item) -> str:
    """ "rate down to four", "the volume is now fifteen": the setting a figure changes; empty where it is none."""
    before = tokens[max(0, item.span[0] - _NEAR) : item.span[0]]
    label = next((word for word in reversed(before) if word in _SCALED and word != "that"), "")
    changes = _CHANGED & {*before} or item.after == "this"
    return _SCALED[label][0] if label and changes else ""


def scaled(tokens: tuple[str, ...]) -> dict[str, float]:
    """ "half the volume", "double the rate", "half of that": the settings that are so much of what they were."""
    for at, token in enumerate(tokens):
        if token not in _SCALES:
            continue
        what = next((word for word in tokens[at + 1 : at + 4] if word not in {"the", "of", "a"}), "")
        if what in _SCALED:
            return dict.fromkeys(_SCALED[what], _SCALES[token])
    return {}


def _rest_stays(texts: frozenset[str]) -> bool:
    """ "the rest he leaves alone", "everything else unchanged": what is not told is as it was."""
    return bool(texts & _REST and texts & _UNCHANGED)


def _of_which(tokens: tuple[str, ...]) -> frozenset[str]:
    """The words between "first", "last" or "previous" and what they are said of: "the first left leg picture"."""
    for index, token in enumerate(tokens):
        if token in _WHICH:
            past = index + 1
            while past < len(tokens) and past - index <= 4 and tokens[past].isalpha() and tokens[past] not in _HEADS:
                past += 1
            headed = past < len(tokens) and tokens[past] in _HEADS
            return frozenset(tokens[index + 1 : past]) if headed else frozenset()
    return frozenset()


def refers(story: Story) -> Item | None:
    """The word that says that this run is as an earlier one, with a picture or a command to take it; None where none
    is.
    """
    items = story.sentence.items
    settings = next(
        (item for item in items if item.kind == "action" and "settings" in item.meanings and item.text != "total"), None
    )
    same = next(
        (item for item in items if item.kind == "action" and "again" in item.meanings and "same" in item.text), None
    )
    picture = next(
        (item for item in items if item.kind == "action" and item.meanings & {"run", "by hand", "by pump"}), None
    )
    commanded = next(
        (item for item in items if item.kind == "action" and "go" in item.meanings and item.text not in NEVER_ALONE),
        None,
    )
    pair = next((item for item in items if item.kind == "pair"), None)
    if settings is not None and story.sentence.texts & _EARLIER and (picture or commanded or pair):
        return picture or commanded or pair
    if settings is not None and (same or story.says("as before")) and _by_the_machine(story):
        return settings
    if story.says("as before") or _rest_stays(story.sentence.texts):
        return picture or commanded or pair
    if "did" in story.sentence.texts and "as" in story.sentence.texts and pair is not None:
        return pair
    if same is None or not _of_a_run(items, same, picture):
        return None
    if picture is not None and (commanded is not None or not _broken(items, same, picture)):
        return picture
    return commanded or pair


def _by_the_machine(story: Story) -> bool:
    """ "Check from the arch, same numbers as the first", "pigtail's back, the same settings": what a run is called, or
    what it goes through, beside the settings it has.
    """
    others = any(item.kind in {"drug", "finding", "quantity"} or (item.kind == "device" and item.role != "insert")
                 for item in story.sentence.items)  # fmt: skip
    led = next((token for token in story.sentence.tokens if token not in _BEFORE_CALLED), "")
    called = led in _CALLED or bool(story.sentence.texts & _BY_MACHINE)
    return called and not others and not story.sentence.question


def _of_a_run(items: list[Item], same: Item, picture: Item | None) -> bool:
    """ "same run", "run, the same"; not "the same balloon … on the pump", "the picture is much the same"."""
    following = items[items.index(same) + 1 :][:1]
    if "balloon" in same.text or (following and following[0].kind == "device"):
        return False
    ahead = takewhile(lambda item: item.kind != "mark", items[items.index(same) + 1 :])
    near = any("run" in item.meanings and item.span[0] - same.span[1] <= 2 for item in ahead)  # "same little run"
    if same.after.isalpha() and same.after not in _SAME_THEN and not near:  # "the same operation"
        return False
    if picture is None or items.index(picture) > items.index(same):
        return True
    marks = any(item.kind == "mark" for item in items[items.index(picture) : items.index(same)])
    return marks or same.span[0] - picture.span[1] <= 1


def _same_frames(story: Story) -> bool:
    """ "same images", "the same frame rate": only how often pictures are taken is as before."""
    same = [
        other.text in _FRAMES
        for one, other in pairwise(story.sentence.items)
        if "again" in one.meanings and "same" in one.text
    ]
    return bool(same) and all(same) and not story.says("as before")


def _broken(items: list[Item], one: Item, other: Item) -> bool:
    """Whether a pause or "but" stands between two items."""
    first, last = sorted((items.index(one), items.index(other)))
    return any(item.kind == "mark" and item.text in {"...", "but", "-"} for item in items[first:last])
