"""A balloon or a stent on its balloon goes up -> its event: the one asked for, or a new one, with the sizes known."""

from dataclasses import replace

from extractor.model import Item, Kind, Status
from extractor.reconciling.along_vessel import spots_before
from extractor.reconciling.kinds.told_done import just_dilated
from extractor.reconciling.story import Draft, Story, Thing
from extractor.reconciling.things import doubt_which, equal, values_of

_BALLOONS = {"inflation", "stent"}


def begin(story: Story, thing: Thing, item: Item, how: str, *, at_once: bool) -> Draft:
    """A balloon or stent goes up -> its event: the one asked for in this breath, or with the very words that had it go
    up (``at_once``), or a new one.
    """
    opened = just_opened(story, thing) or just_dilated(story, thing)
    if opened is not None:
        return opened
    first = thing.role == "stent" and thing.left > 0 and not _after_dilating(story)
    kind = Kind.STENT if first else Kind.INFLATION
    asked = thing.asked if thing.asked is not None and thing.asked.kind is kind else None
    if at_once and asked is not None:
        asked.breath = story.sentence.breath  # "Five by forty going up. / Twelve."
    draft = story.settle(asked, Status.DONE, item, f"{kind}/asked-and-inflated")
    if draft is None:
        said = {key: value for key, value in thing.values.items() if value.words[0] >= story.sentence.words[0]}
        values = {} if story.summary else values_of(thing) | said
        if _which(story, thing):
            values = {key: doubt_which(value) for key, value in values.items()}
        draft = story.add(
            kind, Status.DONE, item, f"{kind}/{how}", device="stent" if first else "balloon", values=values
        )
    thing.asked, thing.where, thing.done = None, "used", draft
    thing.left -= first
    return draft


def twin_of(story: Story, thing: Thing) -> Thing | None:
    """ "two of them … both up to nine": of two stents of one size asked for together, the other."""
    if thing.role != "stent" or thing.left < 2:
        return None
    thing.left -= 1
    twin = replace(thing, values=dict(thing.values), spots=set(), asked=None, done=None, left=1)
    story.things.append(twin)
    return twin


def _after_dilating(story: Story) -> bool:
    """ "deployed at eleven and post dilated at eighteen"."""
    return any(other.kind == "action" and "post" in other.text for other in story.behind())


def just_opened(story: Story, thing: Thing) -> Draft | None:
    """ "Deploy. Eight, ten, twelve": the stent that has just been told as deployed gets its pressure."""
    last = story.recent(Kind.STENT, 0 if thing.mount == "self" or story.says("again") else 1, Status.DONE)
    if thing.role != "stent" or thing.left > 0 or last is None or "pressure" in last.values:
        return None
    since = next(draft for draft in reversed(story.drafts) if draft is last or draft.status is not Status.QUOTED)
    return last if last is since else None  # what its box says may stand between


def _which(story: Story, thing: Thing) -> bool:
    """Whether it is open which balloon goes up: the last one spoken of was spoken of a while ago, and there are
    others; or it is a stent no balloon comes with.
    """
    if thing.spots & spots_before(story):
        return False
    if thing.role == "stent" and thing.mount == "self":
        return True
    if thing.role == "stent" and thing.done is not None and "pressure" not in thing.done.values:
        return any(other.role == "inflation" and other.where == "used" for other in story.things)
    sizes = {
        (value.value, key)
        for other in story.things
        if other.role in _BALLOONS and other.where != "refused"
        for key, value in other.values.items()
        if key == "diameter"
    }
    waiting = [
        other
        for other in story.things
        if other.role == thing.role and other.where == "asked" and other is not thing and differ(other, thing)
    ]
    return (story.number - thing.seen > 6 and len(sizes) > 1) or (bool(waiting) and story.number - thing.seen > 1)


def differ(one: Thing, other: Thing) -> bool:
    """Whether one balloon is known to be of another size than the other: of a pair of one size either may go up."""
    return any(key not in other.values or not equal(value, other.values[key]) for key, value in one.values.items())
