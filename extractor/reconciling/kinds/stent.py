"""Stents and grafts deployed by other means than a pressure: released, unsheathed, "that's it off"."""

from collections.abc import Sequence

from extractor.model import SIDES, Item, Kind, Sentence, Status
from extractor.reconciling.kinds.sized_refused import refuse_active
from extractor.reconciling.story import NOT_DONE, Hearing, Story, Thing
from extractor.reconciling.things import values_of

#: Of one more stent than is out.
_FURTHER = frozenset("second third fourth other next too also both".split())
#: How a word begins that opens a stent.
_LETS_GO = ("deploy", "releas", "unsheath")
#: What nothing but a stent or graft does.
_RELEASED = {"deploy", "deploys", "deploying", "deployed", "unsheathe", "unsheathing", "unsheathed"}
#: "Across. Open. Out.": a command, once it lies where it should; before that a box is opened.
_OPEN = frozenset("open it and now all as well too also then fully nicely in place okay good she".split())
#: How many sentences back it was said to lie there.
_LIES = 3
#: A short sentence of these alone tells what became of the stent that waits: who, how, …
_WHO = frozenset(
    """
    it he she this that stent the graft one i we now and so there 's is has been was 've have are goes already then okay
    good yes well nicely fully completely all just beautifully perfectly also here us
    """.split()
)
#: … and that it was let go: of nothing else that waits; or, once it lies where it should, of it too.
_FREED = frozenset(
    """
    implanted delivered laid liberated released deployed placed deployment implantation expanded unfolded landed
    uncovered
    """.split()
)
_FREED_THERE = frozenset("free off gone set out fire fires firing fired trigger triggered triggering goes".split())
#: … or, called by its name.
_CALLED, _FREED_NAMED = (
    frozenset("stent graft prosthesis limb".split()),
    frozenset({"in", "out", "open", "off", "free"}),
)
#: Said of one that is being let go: what comes next tells that it is.
_GOES = frozenset(
    """
    pull pulling pulled turn turning thumbwheel wheel landing withdraw withdrawing unsheath unsheathing crown opening
    flowering retract retracting releasing uncovering cover sheath coming letting
    """.split()
)
_OVER = frozenset("done finished complete completed over success successful".split())


class Stents(Hearing):
    """Hears words of release while a stent is the active device."""

    def __init__(self) -> None:
        self.lies = -9  # number of the last sentence that told that it lies where it should

    def begin(self, story: Story, sentence: Sentence) -> None:
        active = story.active
        waits = active is not None and active.role == "stent" and active.where == "asked"
        words = {text for text in sentence.texts if text.isalpha()}
        lies = story.number - self.lies <= _LIES
        if (
            waits
            and not sentence.question
            and ((lies and "open" in words and words <= _OPEN) or _freed(sentence, lies=lies))
        ):
            self.hear(story, Item("action", sentence.words, "open", meanings=frozenset({"deploy"})))
        goes = words & _GOES or any(item.meanings & {"placed", "particle"} for item in sentence.items)
        if waits and goes and not sentence.question:
            self.lies = story.number

    def hear(self, story: Story, item: Item) -> bool:
        if item.kind != "action":
            return False
        if item.text in _RELEASED and item.status not in NOT_DONE:
            _is_stent(story)
        active = _on_this_side(story) if "deploy" in item.meanings else None
        if active is None or active.role != "stent":
            return False
        if item.status is Status.NEGATED and active.where == "asked":
            return refuse_active(story, item) is not None
        if item.status in NOT_DONE or item.before == "be":
            return False  # "it is to be placed"
        if not active.values and _sized_next(story):
            return True
        story.active, story.topic = active, active.role
        done = story.recent(Kind.STENT, 0, Status.DONE)
        if active.left <= 0 and (following := _next(story, active)) is not None:
            active = story.active = following
        if active.left <= 0:
            if done is not None:
                done.reach(item.words)
            return True
        for thing in (*_with_it(story, active), active):
            together = thing.asked is not None and thing.asked.number == story.number and "count" in thing.asked.values
            thing.done = story.settle(thing.asked, Status.DONE, item, "stent/asked-and-deployed") or story.add(
                Kind.STENT, Status.DONE, item, "stent/deployed", device="stent", values=values_of(thing)
            )
            thing.asked, thing.where = None, "used"
            if together:
                thing.left = 0  # "two overlapping seven by sixty stents were deployed"
            else:
                thing.done.values.pop("count", None)
                thing.left -= 1
        return True


def _with_it(story: Story, active: Thing) -> list[Thing]:
    """ "Both deployed.", "All three are open.": those that wait beside the one spoken of, in the order asked for."""
    waiting = [
        thing for thing in story.things if thing.role == "stent" and thing.where == "asked" and thing is not active
    ]
    if "both" in story.sentence.texts:
        return waiting[-1:] if active.left == 1 else []
    return waiting if "all" in story.sentence.texts and active.left == 1 else []


def _freed(sentence: Sentence, *, lies: bool) -> bool:
    """ "It is implanted.", "Stent's out."; of one that lies where it should also "it's free", "off". What follows a
    comma may say how well.
    """
    figures = any(item.kind in {"quantity", "pair"} or item.figures for item in sentence.items)
    end = sentence.tokens.index(",") if "," in sentence.tokens and not figures else len(sentence.tokens)
    clauses = (sentence.tokens[:end], sentence.tokens)
    return any(_lets_go(clause, lies=lies) for clause in clauses)


def _lets_go(clause: Sequence[str], *, lies: bool) -> bool:
    tokens = [token for token in clause if token.isalpha()]
    called = next((at for at, token in enumerate(tokens) if token in _CALLED), len(tokens))
    words, after = {*tokens}, {*tokens[called:]}
    words -= {"and"} if {"place", "open"} <= words else set()
    named = after & _FREED_NAMED  # "stent's in", not "in stent"
    told = words & _FREED or named or (lies and words & _FREED_THERE)
    over = _WHO | _FREED | _OVER | (_FREED_THERE if lies or words & _FREED else frozenset()) | named
    return bool(told) and words <= over


def _is_stent(story: Story) -> None:
    """ "three by twenty-four… in place, deploying": what was taken for a balloon, told by its size alone, is one."""
    active = story.active
    if story.mentions("device") or any(thing.role == "stent" and thing.where == "asked" for thing in story.things):
        return  # "filter deployed"
    if active is None or active.role != "inflation" or active.name or active.where != "asked" or active.asked is None:
        return
    active.role, active.asked.kind, active.asked.device = "stent", Kind.STENT, "stent"


def _sized_next(story: Story) -> bool:
    """ "two stents were deployed, on the right a nine by forty": it is their sizes that tell them."""
    bare = True  # nothing else comes between that a size could be of
    for other in story.ahead():
        sized = other.kind == "device" and "diameter" in other.figures
        if sized and (other.role == "stent" or (bare and not other.role)):
            return True
        bare = bare and not (other.kind == "device" or "inflate" in other.meanings)
    return False


def _on_this_side(story: Story) -> Thing | None:
    """The stent spoken of: the active one, or where another side or end is named, the one waiting for that or for no
    side.
    """
    active = story.active
    waiting = [thing for thing in story.things if thing.role == "stent" and thing.where == "asked"]
    sides = {item.name for item in story.sentence.items if item.kind == "side"}
    if waiting and active is not None and active.role == "inflation" and active.where == "used" and _says_deploy(story):
        active = waiting[-1]  # "three five by twenty balloon, up, down. Deploy the stent"
    if active is None or active.role != "stent" or not waiting:
        return active
    if len(sides) == 1 and active.spots & SIDES - sides:
        there = [thing for thing in waiting if thing.spots & sides]
        return (there or [thing for thing in waiting if not thing.spots & SIDES] or [active])[-1]
    ends = {item.name for item in story.sentence.items if item.kind == "part"}
    there = [thing for thing in waiting if thing.spots & ends]
    return there[0] if len(there) == 1 else active


def _next(story: Story, active: Thing) -> Thing | None:
    """ "second one is also deployed": the next of those that wait, where the one spoken of is out already."""
    waiting = [thing for thing in story.things if thing.role == "stent" and thing.where == "asked"]
    told = any(draft.kind is Kind.STENT and draft.breath == story.sentence.breath for draft in story.drafts[-3:])
    return waiting[0] if waiting and story.sentence.texts & _FURTHER and not told else None


def _says_deploy(story: Story) -> bool:
    return story.sentence.items[story.index].text.startswith(_LETS_GO)
