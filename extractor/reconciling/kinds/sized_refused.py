"""Which balloon, stent or embolic is turned down: "scrap that one", "so no six by ten", "no second stent"."""

from extractor.model import Item, Sentence, Status
from extractor.reconciling.size_roles import NOUNS, ROLES, WAITING, after_no
from extractor.reconciling.story import STORES, Draft, Story, Thing
from extractor.reconciling.things import equal, find, values_of

#: What an embolic stops.
_FLOWS = {"flow", "blood", "bleeding", "leak", "filling", "river", "stream", "everything"}
#: Said of a size that is not to be had.
_MISSING = frozenset("no not don't n't none without".split())
#: A size is read back within so many sentences: set by hand.
SAID_AGAIN = 2
#: Said of one more than there is, so many words before its size at most.
ONE_MORE = frozenset("another other further more next".split())
_UNUSED = STORES | {"closed", "shut", "unopened"}
IN_ORDER = ("first", "second", "third", "fourth")


def refused_already(story: Story, item: Item) -> bool:
    """ "Nine hundred micron? No, put the nine hundreds back.": of one just called off nothing more is told."""
    if not item.definite or not item.figures or not (item.status is Status.NEGATED or "back" in story.sentence.texts):
        return False
    return any(
        draft.status is Status.NEGATED and draft.kind is ROLES[item.role] and story.sentence.breath == draft.breath
        and all(key in draft.values and equal(draft.values[key], value) for key, value in item.figures.items())
        for draft in story.drafts[-2:]
    )  # fmt: skip


def instead_of(story: Story, draft: Draft) -> str:
    """ "No thirty-eight here, only fifty-eight": the size asked for that is said not to be there, before another."""
    for other in story.behind():
        if other.kind != "quantity" or not {*story.sentence.tokens[: other.span[0]]} & _MISSING:
            continue
        for key in ("length", "diameter"):
            if draft.values[key].value == other.figures["value"].value:
                return key
    return ""


def is_another(story: Story, item: Item, known: Thing) -> bool:
    """ "no second stent", "the bigger balloon we do not need": one more than was used, or of another kind."""
    if known.where in WAITING:
        return False
    said = {*story.sentence.tokens[max(0, item.span[0] - 2) : item.span[1]]}
    place = next((place for place, word in enumerate(IN_ORDER) if word in said), -1)
    used = sum(draft.kind is ROLES[item.role] and draft.status is Status.DONE for draft in story.lately())
    return bool(said & ONE_MORE) or place >= used or not item.qualifiers <= known.qualifiers


def thought_of(story: Story, item: Item) -> Draft | None:
    """ "could glue it, half a mil, but no glue today": an option raised in this breath, and now refused."""
    last = story.recent(ROLES[item.role], 0)
    return last if last is not None and last.status is Status.CONSIDERED and last.device == noun_of(item) else None


def is_refused(story: Story, item: Item) -> bool:
    """ "so no six by ten": a "no" right before a size that was asked for or thought of; with another size before it in
    the sentence the "no" puts that one right. "Six by ten, no, that is too long": a "no" right after a size, and why.
    """
    if _no_after(story, item):
        return True
    if not after_no(story, item) or "diameter" not in item.figures:
        return False
    if any(other.kind == "device" and other.figures for other in story.behind()):
        return False
    return find(story, item, lambda thing: thing.role == item.role and thing.where in WAITING) is not None


def _no_after(story: Story, item: Item) -> bool:
    following = [other for other in story.ahead() if other.kind != "mark" or other.text != ","]
    if not item.figures.keys() & {"diameter", "length"} or item.status not in {None, Status.PLANNED}:
        return False
    if any("corrected" in figure.flags for figure in item.figures.values()):
        return False  # "sixteen by one hundred, no, one twenty": put right already
    if len(following) < 2 or following[0].text not in {"no", "no ,", "nah", "no no"}:
        return False
    named = any(other.kind in {"device", "quantity"} for other in following[1:])
    return following[1].kind == "pronoun" and following[1].span[0] == following[0].span[1] and not named


def left_closed(sentence: Sentence, item: Item) -> bool:
    """ "leave the eight by fifty closed", "keep that one in its box": what is not opened is not used."""
    before, after = sentence.tokens[max(0, item.span[0] - 2) : item.span[0]], sentence.tokens[item.span[1] :][:4]
    return bool({"leave", "keep", "leaving", "keeping"} & {*before}) and bool(_UNUSED & {*after})


def _just_thought_of(story: Story) -> Thing | None:
    """ "I wanted to stent it, eight by sixty. Looking at it now, no, I won't": the option of a moment ago."""
    last = story.drafts[-1] if story.drafts else None
    if last is None or last.status is not Status.CONSIDERED or story.number - last.number > SAID_AGAIN:
        return None
    return next(
        (thing for thing in reversed(story.things) if thing.where == "thought" and thing.role == last.kind.value), None
    )


def refuse_active(story: Story, item: Item) -> Draft | None:
    """ "scrap that one", "no, we're not using it": what was just asked for or thought of is ruled out."""
    if "stopped" in item.text.split() and _FLOWS & story.sentence.texts:
        return None  # "two mils, and the flow stopped": what was given did so
    kinds = set(ROLES.values())
    for draft in reversed(story.drafts[-6:]):
        if draft.breath != story.sentence.breath or draft.kind not in kinds:
            continue
        told_here = (
            draft.status is Status.PAST and story.number - draft.number <= 1
        )  # "had been opened, but was not used"
        if draft.status in {Status.CONSIDERED, Status.PLANNED} or told_here:
            story.rule_out(draft, item, "called-off")
            for thing in story.things:
                same = told_here and draft.values and thing.values == draft.values and thing.role == draft.kind.value
                if thing.asked is draft or (same and thing.where == "asked"):
                    thing.where, thing.asked = "refused", None
            return draft
        return None
    thought = _just_thought_of(story)
    active = thought or story.active
    of_it = thought is not None or story.topic in ROLES
    if active is None or active.where not in WAITING or not of_it or "too" in item.text.split():
        return None  # "a bit too long": of how it lies, maybe
    active.where, active.asked = "refused", None
    return story.add(
        ROLES[active.role],
        Status.NEGATED,
        item,
        f"{active.role}/called-off",
        device=NOUNS.get(active.role, active.name or "coil"),
        values=values_of(active),
    )


def refuse_size(story: Story, item: Item) -> bool:
    """ "… three point five by twenty-four? We're not having a three five": the size alone, of what was just named."""
    draft, said = story.drafts[-1] if story.drafts else None, item.figures["value"]
    ago = story.sentence.breath - draft.breath if draft is not None else 9
    if item.status is not Status.NEGATED or draft is None or ago > 1 or said.unit:
        return False
    asked = draft.kind in ROLES.values() and draft.status in {Status.PLANNED, Status.CONSIDERED, Status.PAST}
    sizes = [value.value for key, value in draft.values.items() if key in {"diameter", "length"}]
    if not asked or not any(said.value in {size, 10 * size, 100 * size, 1000 * size} for size in sizes):
        return False
    return refuse_active(story, item) is not None


def noun_of(item: Item) -> str:
    return NOUNS.get(item.role, item.name or "coil")
