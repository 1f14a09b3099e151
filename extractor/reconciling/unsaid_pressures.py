"""A bare figure of a balloon nobody said goes up: what around it tells that it is a pressure."""

from extractor.model import Item, Quantity, Sentence
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
#: Before a figure that stands alone.
_BEFORE_ALONE = {",", ".", ":", "...", "-", ";", "goes", "went", "again", "inside", "there", "same"}
#: Between it and its balloon.
_BETWEEN = {"mark", "side", "place", "part", "pronoun", "phrase"}
#: A sentence of no more different words, its mark among them, is a figure and little else. Set by hand, no source.
_ALONE = 3
#: What is less is rather a number of them, atm; set by hand, no source.
_LEAST = 4
#: With these a figure beside a balloon is a size, a number of them, or a choice.
_NO_PRESSURE = frozenset(
    """
    or pieces boxes shelf stock order ordered left have has need size sizes burst rated nominal limit label max maximum
    box leaflet
    """.split()
)
#: Seconds a balloon is held that are said without a unit, and so much higher at once no balloon is taken, atm: common
#: practice, no source.
_HOLDS, _NO_STEP = frozenset({20, 30, 40, 45, 60, 90, 120, 180}), 11


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
    if brief and lets_down(following):
        return True
    timed = len(said) == 1 and said[0].kind == "quantity" and said[0].figures["value"].unit in TIMES
    if brief and (timed or _held(story)) and lets_down(story.next_but_one):
        return True  # "Six. Thirty. Down."
    return brief and (stays or timed) and climbing(story, least=2)


def lets_down(sentence: Sentence | None) -> bool:
    """ "Down.", "And off.": nothing but that the balloon comes down."""
    said = [item for item in sentence.items if item.kind != "mark"] if sentence is not None else []
    off = len(said) == 1 and said[0].text == "off"  # "Thirty. Off."
    return len(said) == 1 and ("deflate" in said[0].meanings or off) and said[0].status not in NOT_DONE


def _held(story: Story) -> bool:
    """Whether the next sentence is a bare figure that is how long, after the one heard now: "Six. Thirty."."""
    said = [item for item in story.following.items if item.kind != "mark"] if story.following is not None else []
    now = [item.figures["value"].value for item in story.sentence.items if item.kind == "quantity"]
    bare = len(said) == 1 and said[0].kind == "quantity" and bool(now)
    return bare and is_bare_hold(said[0].figures["value"], max(now))


def is_bare_hold(quantity: Quantity, peak: float) -> bool:
    """Whether a bare figure behind a pressure is the seconds it was held: round, and too far for one step up."""
    return quantity.unit is None and quantity.value in _HOLDS and quantity.value >= max(2 * peak, peak + _NO_STEP)


def named_at(story: Story) -> bool:
    """ "the six at twelve", "right balloon, eight by forty, is at ten": named right before its pressure."""
    before = [other for _, other in zip(range(3), story.behind(), strict=False)]
    if len(before) < 2 or before[0].text not in _STANDS_AT:
        return False
    named = next((other for other in before[1:] if other.kind != "mark"), before[0])
    sized = before[0].text != "at" and "diameter" in named.figures
    return named.role == "inflation" and (named.definite or sized) and (sized or named is before[1])


def beside_its_balloon(story: Story, item: Item) -> bool:
    """ "Balloon six by forty, eight, ten seconds", "eight by forty inside, ten", "that six balloon again, twelve": a
    figure alone between marks right behind the balloon.
    """
    if item.before not in _BEFORE_ALONE or not _may_stand_alone(story, item):
        return False
    for other in story.behind():
        if other.kind == "device":
            named = other.role == "inflation" and "diameter" in other.figures and other.status not in NOT_DONE
            again = {"same", "again"} & story.sentence.texts
            return named and bool("length" in other.figures or "balloon" in other.text.split() or again)
        if other.kind not in _BETWEEN and not (other.kind == "action" and other.meanings & _ON_THE_WAY):
            return False
    return False


def after_its_balloon(story: Story, item: Item) -> bool:
    """ "Six by forty. Ten.": a figure and nothing else, and in the sentence before a balloon and nothing else."""
    active, last = story.active, story.drafts[-1] if story.drafts else None
    if active is None or last is None or last is not active.asked or last.number != story.number - 1:
        return False
    alone = all(other is item or other.kind == "mark" for other in story.sentence.items)
    just = last.breath == story.sentence.breath and last.named == last.words and "length" in last.values
    return alone and just and len(story.sentence.texts) <= _ALONE and _may_stand_alone(story, item)


def _may_stand_alone(story: Story, item: Item) -> bool:
    puts_right = any(other.corrects for other in story.sentence.items)
    asks = story.sentence.question or puts_right or _NO_PRESSURE & story.sentence.texts
    return not asks and item.figures["value"].value >= _LEAST


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


def lies_there(story: Story, item: Item) -> bool:
    """ "Across, fourteen, and it gives.": right behind the word that the balloon is where it should be."""
    before = story.before("mark")
    across = before is not None and before.text.endswith("across") and item.before in {",", "..."}
    return across and item.after in {"", ".", ",", "...", "and"} and item.figures["value"].value >= _LEAST
