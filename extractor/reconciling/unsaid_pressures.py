"""A bare figure of a balloon nobody said goes up: what around it tells that it is a pressure."""

from extractor.model import Item
from extractor.reconciling.bare_figures import climbing
from extractor.reconciling.story import NOT_DONE, Story
from extractor.units import TIMES

#: A sentence of these alone says that a balloon goes no higher.
_STAYS = frozenset("stop hold it there stay that leave here enough and okay good that's right".split())
#: Between a balloon and how far up it is.
_STANDS_AT = {"at", "is at", "'s at", "is on", "'s on", "is now at", "'s now at"}
#: Said of a balloon on its way up.
_ON_THE_WAY = frozenset({"inflate", "particle", "placed", "raise", "again", "as long", "pressure"})
_AT = {"at", "to"}


def comes_down_next(story: Story) -> bool:
    """ "Ten, twelve. Down.", "Four, six. Stop.": figures alone in their sentence; the next one lets the balloon down,
    or holds it where they go up.
    """
    following = story.following
    alone = all(
        other.kind in {"quantity", "mark", "part", "side", "place", "pair", "pronoun"}
        or (other.kind == "device" and other.role == "inflation")  # "post-dilate with a four by eight, sixteen. Down."
        or (other.kind == "device" and other.definite and not other.figures)  # "again, in the stent, sixteen"
        or (other.kind == "action" and other.meanings & _ON_THE_WAY)
        for other in story.sentence.items
    )
    if not alone or following is None or following.breath - story.sentence.breath > 1 or following.question:
        return False
    said = [other for other in following.items if other.kind != "mark"]
    brief = len(following.texts) <= 4
    stays = {token for token in following.tokens if token.isalpha()} <= _STAYS
    if brief and len(said) == 1 and "deflate" in said[0].meanings:
        return said[0].status not in NOT_DONE
    timed = len(said) == 1 and said[0].kind == "quantity" and said[0].figures["value"].unit in TIMES
    return brief and (stays or timed) and climbing(story, least=2)


def named_at(story: Story) -> bool:
    """ "the six at twelve", "right balloon, eight by forty, is at ten": named right before its pressure."""
    before = [other for _, other in zip(range(3), story.behind(), strict=False)]
    if len(before) < 2 or before[0].text not in _STANDS_AT:
        return False
    named = next((other for other in before[1:] if other.kind != "mark"), before[0])
    sized = before[0].text != "at" and "diameter" in named.figures
    return named.role == "inflation" and (named.definite or sized) and (sized or named is before[1])


def held_there(story: Story) -> bool:
    """ "Ten and stay.", "Ten, hold.", "Ten, and it's open.": it has come so far."""
    following = story.after("mark", "pronoun")
    return following is not None and following.kind == "action" and bool(following.meanings & {"hold", "deploy"})


def deployed_at(story: Story, item: Item) -> bool:
    """ "deployed at twelve": how far a stent on a balloon was taken to open it."""
    actions = [other for other in story.behind() if other.kind == "action"][:2]
    told = len(actions) == 2 and actions[0].text in _AT and "deploy" in actions[1].meanings
    active = story.active
    return told and active is not None and active.role == "stent" and active.mount != "self" and item.before in _AT


def then_at(story: Story, item: Item) -> bool:
    """ "… for thirty seconds, then eighteen at the peripheral edge": the next one, at a place no lexicon knows."""
    tokens, last = story.sentence.tokens, item.span[1]
    last += last < len(tokens) and tokens[last] == ","
    behind = [other.text for other in story.behind() if other.kind == "mark" and other.text != ","][:1]
    return behind == ["then"] and tokens[last : last + 2] in {("at", "the"), ("in", "the"), ("at", "its")}
