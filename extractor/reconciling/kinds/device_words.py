"""What the words beside a device tell of it: that it is only named, is wished for, or goes along."""

from extractor.model import Item, Kind, Status
from extractor.reconciling.kinds.no_move import NOT_NOW, PAST_TENSE, WISHING
from extractor.reconciling.kinds.said_of import ALONG
from extractor.reconciling.kinds.several import is_one_more
from extractor.reconciling.kinds.told_after import CALLS
from extractor.reconciling.story import Story, Thing
from extractor.reconciling.things import find

#: After "exchange" and one of these comes what goes in.
IN_ITS_PLACE = (" for", " to", " with", " against", " on", " onto", " from")
#: These make even "comes out" a plan.
TO_BE = "is to be"
LATER = {
    TO_BE, "tomorrow", "tonight", "comes out in", "come out in", "comes out tomorrow", "can come out", "this evening",
}  # fmt: skip
#: Behind a device: what became of it is what became of the one before it.
_TOO = {("likewise",), ("too",), ("also",), ("follows",), ("follow",), ("following",), ("followed",)}
_AFTER_IT = {
    (before, it) for before in ("after", "with", "behind", "beside") for it in ("it", "them", "that", "him", "her")
} | {("as", "well")}  # fmt: skip
#: "We exchange the nephrostomy": what for is told later.
_ANNOUNCED = {"change", "replace", "exchange", "swap", "switch"}
_LATER_ON = frozenset("then subsequently later finally thereafter afterwards".split())
#: Words between a subject and what became of it.
_BETWEEN = frozenset(
    """
    , which and was were is has been had then subsequently later finally thereafter afterwards also now itself gently
    slowly carefully uneventfully completely
    """.split()
)
#: So many sentences back, over questions, a size said alone is of what was told; set by hand, no source.
LAST_TOLD = 6
#: So does one named not far after one of these.
WAYS_TO = {"over", "through", "via", "inside"}


def is_only_named(story: Story, item: Item) -> bool:
    """ "Right groin, seven French sheath.", not "what'll we have, a ten French", "the eight French hole", "stent. Seven
    French": whether a device is named where nothing is said of it but what and where it is.
    """
    if story.sentence.question or story.sentence.texts & (CALLS | NOT_NOW):
        return False
    if item.name and not item.headless:
        return True
    sized = story.spoken_role in {"stent", "inflation", "embolise"} and story.sentence.breath - story.spoken_breath <= 1
    return not sized and not any(other.kind == "device" for other in story.behind())


def is_wished(story: Story, action: Item) -> bool:
    """ "we'll swap the oh one eight for it", "let's exchange the sheath": not so yet."""
    before = story.sentence.tokens[max(0, action.span[0] - 2) : action.span[0]]
    said = action.text.split()
    if said[0] in {"i", "we"} and said[1] in _ANNOUNCED and said[-1] in {"the", "this", "my", "our"}:
        return True  # "now we change the sheaths": what for is told later
    return bool(WISHING & {*before}) and not action.text.split()[0].endswith("ed")


def is_of(action: Item, item: Item) -> bool:
    """ "We make exchange on a stiff wire": whether the word before a device is the end of what became of it."""
    return "exchange" in action.meanings and action.text.endswith(item.where) and action.text.endswith(IN_ITS_PLACE)


def called_for_over(story: Story, action: Item) -> bool:
    """ "right guide, six French, over a J wire, give me please": the way there, of what is asked for."""
    tokens, following = story.sentence.tokens, story.after()
    way = action.text in {"over", "through"} and following is not None and following.kind == "device"
    return way and Status.PLANNED in story.sentence.cues and bool({*tokens[-4:]} & {"please", "kindly"})


def goes_on_to_tell(story: Story, action: Item, *, named: bool) -> bool:
    """ "through the support catheter, which was then removed", "was reintroduced, and was subsequently withdrawn": no
    other subject since. With no device ``named`` but as where something went, only "which" speaks of it.
    """
    at = action.span[0]
    while at and story.sentence.tokens[at - 1] in _BETWEEN:
        at -= 1
    said = {*story.sentence.tokens[at : action.span[0]]}
    return "which" in said or (named and "and" in said and bool(said & (PAST_TENSE | _LATER_ON)))


def follows_it(story: Story, item: Item, told: Item) -> bool:
    """ "the catheter is out, and the short sheath after it": what became of the one before it."""
    after = story.sentence.tokens[item.span[1] : item.span[1] + 2]
    same = after in _AFTER_IT or (after[:1] in _TOO and not (after[0] == "also" and item.figures))
    return (not item.where and same) or is_one_more(story, item, told)


def follows_out(story: Story, action: Item, named: Item) -> bool:
    """ "The micro is out, and the cobra follows": something that is in goes where the one before it went."""
    return "follow" in action.text and not named.figures and find(story, named, is_in) is not None


def next_out(story: Story, item: Item) -> bool:
    """ "the wire was removed, then the guide", "followed by the sheath": one more comes out, and nothing else is told
    of it.
    """
    tokens = story.sentence.tokens
    before = tokens[max(0, item.span[0] - 3) : item.span[0]]
    follows = "then" in before or ("followed" in tokens and before[-2:-1] == ("by",)) or before[-1:] == ("by",)
    ends = item.span[1] >= len(tokens) or tokens[item.span[1]] in {",", ".", "...", "and", ";"}
    here = item.status is None and find(story, item, is_in) is not None
    return follows and ends and here and (item.definite or "by" in before)


def is_in(thing: Thing) -> bool:
    return thing.where == "in" and thing.role == "insert"


def is_labelled(story: Story, thing: Thing) -> bool:
    """ "The label says six French, ninety": what was read out just now goes in next."""
    told = thing.told is not None and thing.told.status is Status.QUOTED and thing.told.kind is Kind.INSERT
    return told and thing.where == "refused" and story.number - thing.seen <= LAST_TOLD


def is_asked(thing: Thing) -> bool:
    return thing.where == "asked" and thing.role == "insert"


def named_before(story: Story, item: Item) -> bool:
    return any(thing.nickname == item.nickname and thing.where in {"asked", "in", "out"} for thing in story.things)


def means_wire(story: Story) -> bool:
    """Whether the speaker calls a wire "the guide", as many do."""
    wires = any("called guide" in thing.qualifiers for thing in story.things)
    return wires and not any(thing.name == "guide catheter" for thing in story.things)


def for_another_way(story: Story) -> bool:
    """ "Could we go in on the left? Four French sheath, oh one eight.": what a way in that is thought of would take."""
    thought = story.recent(Kind.ACCESS, 0)
    asked = thought is not None and thought.status is Status.CONSIDERED and thought.number == story.number - 1
    return asked and not story.mentions("action") and "please" not in story.sentence.texts


def subject_of(pronoun: Item, action: Item) -> bool:
    """ "it's in", "in it goes"; not "we were out for that"."""
    return pronoun.span[1] <= action.span[0] or pronoun.span[0] == action.span[1]


def way_to(story: Story, item: Item) -> str:
    """ "over main wire", "through Katya's sheath", "through the right sheath": where something goes, by a word farther
    before.
    """
    items = story.sentence.items
    at = items.index(item)
    at -= at > 1 and items[at - 1].kind == "side"
    before = items[at - 1] if at else item
    word = before.text.split()[-1] if before.kind == "action" else ""
    return word if word in WAYS_TO and item.span[0] - before.span[1] <= 2 else ""


def goes_along(story: Story, action: Item, item: Item) -> bool:
    """Whether a device is named after what happened, only as the way there."""
    after = item.kind == "device" and item.span[0] >= action.span[1]
    return after and bool(item.where in ALONG or way_to(story, item))


def inserted(story: Story, item: Item) -> bool:
    return item.role == "insert" or (item.role == "" and "gauge" in item.figures)


def fresh(item: Item) -> bool:
    """Said as where something goes, but with a size or a name of its own: "over a stiff oh three five wire"."""
    return bool(item.figures or item.nickname) and not item.definite and item.where in ALONG


def status_of(item: Item | None, action: Item) -> Status:
    for source in (action, item):
        if (
            source is not None
            and source.status is not None
            and (source.status is not Status.PLANNED or source.cue in LATER)
        ):
            return source.status
    return Status.DONE
