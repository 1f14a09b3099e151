"""What is said of an injection beside its settings: that it starts, what goes in, and what it is to show."""

from collections.abc import Iterable
from itertools import pairwise

from extractor.model import Item, Kind, Quantity, Sentence
from extractor.reconciling.kinds.run_alike import NEVER_ALONE
from extractor.reconciling.kinds.run_words import AFTER_VOLUME, LOOSE_PICTURES
from extractor.reconciling.marks import MARKS
from extractor.reconciling.size_roles import POURED
from extractor.reconciling.story import Draft, Story

#: Words that go with an injection and with little else.
SPOKEN = {"inject", "injecting", "breath", "breathe", "frames", "frame", "pump", "injector", "puff"}
#: Contrast that goes in at once by hand, at most, mL: common practice, no source.
MOST_PUFF_ML = 30
#: In a sentence about contrast: it speaks of all that was used.
SUMS = {"used", "total", "far", "left", "remaining", "sum", "altogether", "overall", "now", "record", "form"}
#: So many breaths, or sentences, settings wait for the word that starts the injection. Set by hand, no source.
SOON = 3
#: What may stand before a picture that is only named: "and one more little check shot".
_LEADING = frozenset(
    """
    and so now then okay ok right good well a an one another quick little small tiny short brief gentle final last check
    control test post more just hand lateral oblique frontal steep selective superselective subtracted completion
    rotational magnified repeat new fresh here first let's let us i we me take make do get have give it my our further
    """.split()
)
#: What may follow a picture that is only named.
_AFTER_PICTURE = MARKS | frozenset(
    "through from via with of in into on down at again here there now and please".split()
)
#: "Picture again.", "Run now.": it is taken.
_PICTURE_ANEW = frozenset("again now please".split())
#: "The control shows": what follows tells what is seen on a picture taken now.
_SHOWS = frozenset("shows demonstrates confirms reveals proves looks is".split())
#: These are of another time or another machine, or of talk about pictures.
OTHER_PICTURES = frozenset(
    """
    ct mr mri echo ultrasound duplex doppler yesterday monday tuesday wednesday thursday friday saturday sunday week
    month year screen monitor outside old said same that thinking thought would could might runs
    """.split()
)
#: With one of these a picture's name tells of no picture taken now.
_NOT_SHOWN = (OTHER_PICTURES | SUMS) - {"now"}
_ARTICLES = {"a", "an", "one", "and", "so", "now", "then", "here", "i", "we", "my", "our", "okay", "right"}
_LOOKED = frozenset("again it if whether how where there here first please now properly what this that".split())
_LOOKS = frozenset("look see check prove confirm show test".split())


def to_look(sentence: Sentence) -> bool:
    """ "Two mils to look.", "three mils to check the outflow"; not "to look at the label", "to prove my point"."""
    for at, pair in enumerate(pairwise(sentence.tokens)):
        if pair[0] != "to" or pair[1] not in _LOOKS:
            continue
        behind = sentence.tokens[at + 2 : at + 3]
        seen = any(item.kind in {"place", "part", "side", "finding"} and item.span[0] >= at for item in sentence.items)
        return seen or not behind or not behind[0].isalpha() or behind[0] in _LOOKED
    return False


def fills_by_volume(story: Story) -> bool:
    """Whether what is in hand goes in by volume itself: a drug, or an embolic that is poured."""
    if story.topic == "embolise":
        last = next((draft for draft in reversed(story.drafts) if draft.kind is Kind.EMBOLISE), None)
        names = {story.active.name if story.active is not None else None, last.device if last is not None else None}
        return names == {None} or not names.isdisjoint(POURED)
    return story.topic == "drug"


def called_for(sentence: Sentence | None) -> bool:
    """Whether a sentence is the command that starts an injection, and nothing else."""
    said = [item for item in sentence.items if item.kind != "mark"] if sentence is not None else []
    return len(said) == 1 and said[0].kind == "action" and "go" in said[0].meanings


def agrees(draft: Draft, key: str, value: Quantity) -> bool:
    return key not in draft.values or draft.values[key].value == value.value


def pictures_called(story: Story) -> set[str]:
    """What the runs of this sentence are called, where the name says of what: fistulogram, portography."""
    names = [item.text.removesuffix("s") for item in story.mentions("action") if "run" in item.meanings]
    return {name[: -len(end)] for name in names for end in ("gram", "graphy") if name.endswith(end)}


def was_performed(items: list[Item]) -> Item | None:
    """ "a venogram was then performed": the picture that was taken, with no settings told."""
    said = [item for item in items if item.kind not in {"place", "side", "part"} and item.text != "then"]
    for picture, verb in pairwise(said):
        if "run" in picture.meanings and "go" not in picture.meanings and "performed" in verb.meanings:
            return picture if picture.status is None and verb.status is None else None
    return None


def same_as_told(item: Item, history: Iterable[Draft]) -> bool:
    """ "the neck again, the same seven": a volume an earlier run had."""
    value = item.figures["value"].value
    volumes = (each.values["volume"].value for each in history if "volume" in each.values)
    return item.before == "same" and value in volumes


def as_well(story: Story, item: Item, history: Iterable[Draft]) -> bool:
    """ "Right leg, twelve as well.", "left, eight too": a volume an earlier run had, of another place or side."""
    behind = story.sentence.tokens[item.span[1] : item.span[1] + 2]
    also = (
        behind == ("as", "well") and story.sentence.tokens[item.span[1] + 2 : item.span[1] + 3] != ("as",)
    ) or behind[:1] in (("too",), ("also",))
    elsewhere = any(other.kind in {"place", "side"} and other.span < item.span for other in story.sentence.items)
    volumes = (each.values["volume"].value for each in history if "volume" in each.values)
    clear = story.topic in {"run", "finding"} and not story.mentions("device", "drug", "pair")
    return also and elsewhere and clear and item.figures["value"].value in volumes


def _contrast(item: Item) -> bool:
    return item.kind == "action" and "contrast" in item.meanings


def of_contrast(story: Story, quantity: Quantity) -> bool:
    """ "two mils of contrast": a puff, where it is no sum and no balloon is filled with it."""
    before, after = story.before(), story.after()
    diluted = before is not None and before.text == "in"  # "an ampoule in eight mils of contrast"
    if after is None or not _contrast(after) or diluted or quantity.value > MOST_PUFF_ML:
        return False
    return not (story.sentence.texts & SUMS or story.says("inflate", "totals", "screening", "kerma", "dap"))


def by_hand_after(story: Story) -> bool:
    """ "ten by hand", "five mils, em, by hand"."""
    for other in story.ahead():
        if other.kind == "action" and "by hand" in other.meanings:
            return True
        if other.kind not in {"mark", "phrase"}:
            return False
    return False


def pours(story: Story) -> bool:
    """Whether "inject" is said of the embolic that was just called for, and nothing of a picture."""
    poured = story.active is not None and story.active.name in POURED and story.active.where != "refused"
    return poured and story.topic == "embolise" and not story.sentence.texts & SPOKEN - {"inject", "injecting"}


def injects(story: Story, item: Item, before: Item | None) -> bool:
    """ "I inject three through the microcatheter": a bare volume right behind the verb."""
    verb = before is not None and before.span[1] == item.span[0] and before.text.startswith("inject")
    small = item.figures["value"].value <= MOST_PUFF_ML and item.after in AFTER_VOLUME
    return verb and small and story.topic not in {"embolise", "drug"} and not story.mentions("drug", "pair")


def picture_named(story: Story) -> Item | None:
    """ "Check shot. Open.", "Cholangiogram, both sides fill.", "The control shows it open.": a picture told by its
    name alone, at the head of its sentence.
    """
    sentence = story.sentence
    if sentence.question or sentence.texts & _NOT_SHOWN or story.history > 0:
        return None
    passed = {"mark", "pronoun", "place", "side", "part"}
    item = next(
        (
            item
            for item in sentence.items
            if item.kind not in passed and item.text != "one" and "again" not in item.meanings
        ),
        None,
    )
    if item is None or item.kind != "action" or "run" not in item.meanings or item.text in {"film", "shoot"}:
        return None
    if item.used and "injected" in item.text:
        return None  # a drug was
    if item.status is not None and item.cue != "please":
        return None
    spots = {place for other in sentence.items for place in other.text.split() if other.kind in {"place", "side"}}
    leading = set(sentence.tokens[: item.span[0]]) - MARKS
    following = sentence.tokens[item.span[1] :][:1] or (".",)
    if leading <= {"the", "this"} | _LEADING and following[0] in _SHOWS - {"is"}:
        return item
    by_hand = next((other for other in sentence.items if other.span[0] == item.span[1]), None)
    if by_hand is not None and "by hand" in by_hand.meanings:
        following = sentence.tokens[by_hand.span[1] :][:1] or (".",)  # "Venogram by hand: it's open."
    if not leading <= _LEADING | spots or following[0] not in _AFTER_PICTURE:
        return None
    if item.text == "squirt" and leading & {"good", "nice", "strong", "little", "bright"}:
        return None  # of blood
    bare = item.text in LOOSE_PICTURES and leading <= _ARTICLES
    said = [token for token in sentence.tokens[item.span[1] :] if token not in _PICTURE_ANEW][:1] or ["."]
    return None if bare and said[0] not in {".", "!", "...", ",", ":"} else item


def commanded(story: Story, item: Item) -> bool:
    """ "… run." standing alone is a command; "a run" is a thing."""
    if item.text == "go":
        return True
    items = story.sentence.items
    before = items[story.index - 1] if story.index else None
    after = items[story.index + 1] if story.index + 1 < len(items) else None
    return (before is None or (before.kind == "mark" and before.span[1] == item.span[0])) and (
        after is None or after.kind == "mark"
    )


def then_seen(story: Story, draft: Draft) -> bool:
    """ "Ten for five. Flap's sealed.": whether a finding follows settings that may be anything, and no balloon is
    in hand.
    """
    balloon = story.active is not None and story.active.role in {"inflation", "stent"}
    seen = any(
        each.kind is Kind.FINDING and each.breath == draft.breath and each.words > draft.words
        for each in story.drafts[-SOON:]
    )
    return seen and not balloon and draft.values.keys() >= {"volume", "rate"}


def before_go(story: Story, straight: bool = False) -> bool:
    """Whether the command follows in this sentence; ``straight``: with nothing named, no figure between."""
    for item in story.ahead():
        if item.kind == "action" and "go" in item.meanings and item.text not in NEVER_ALONE:
            return item.text != "run" or straight
        if (
            straight
            and item.kind in {"device", "drug", "finding", "quantity", "pair", "action"}
            and not _contrast(item)
        ):
            return False
    return False
