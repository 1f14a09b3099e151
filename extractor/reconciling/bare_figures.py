"""What a number without a unit can be where balloons are spoken of: a pressure, a second counted aloud, or something
else's. Each question looks at the sentence around it.
"""

from collections.abc import Iterable
from itertools import pairwise

from extractor.model import Item, Quantity, Status
from extractor.reconciling.story import Story
from extractor.units import BALLOON_PRESSURES, TIMES

#: What a bare number can be as a pressure: common practice, no source.
RANGE = {"atm": (1.0, 32.0), "bar": (1.0, 32.0), "[psi]": (33.0, 450.0), "kPa": (100.0, 3200.0)}
#: What may follow a bare figure that is a pressure or a time. Before any other word it counts something else.
_FREE = frozenset(
    """
    , . ... ? ! - ; : this that these only again also still more now then here there please kindly and but so for
    with on at in up it we i you is was 's 'll as us has does will hold holding held stop stay down where when while
    until before because sir doc doctor doctors boss everybody okay yes no easy gently slowly flat exactly enough ish
    thank thanks today should would seems gives gave did does each apiece both max tops bar
    without twice thrice inside already prof professor sister nurse chief mate love pet hon
    """.split()
) | {""}
#: Words before a bare figure that make it something else's.
TAKEN = frozenset(
    "strike scratch delete bed room theatre number note grade type stage another segment zone level".split()
)
#: Words of drugs and runs: bare figures said with them are theirs.
OTHER_ACTS = ("run", "by hand", "by pump", "measure", "act", "gradient", "press")
_OF_RUNS = {"give", "inject", "injecting", "shoot", "frames", "frame"}
#: What shows a pressure, and the word itself; and what may stand between that and the figure.
DIALS = frozenset("pressure gauge dial manometer needle meter inflator".split())
_SHOWS = frozenset(
    """
    is was of at on to now shows showing say says ? reads reading goes went stands comes rises the a 's it about up :
    here being already nearly exactly gives gave has
    """.split()
)
#: The steps of seconds counted aloud.
EVEN = {1, 5, 10}
#: Between "count" and how far.
_COUNTED_FOR = {"of", "to", "till", "until", "me", "us", "for", "up"}
_LONG_STEPS = {15.0, 20.0, 30.0}  # "thirty, sixty, ninety"


def pressure_unit(story: Story, quantity: Quantity) -> str:
    """The unit a bare pressure is in: the one last said, where the number can be one; none where it can be none."""
    for unit in (story.pressure_unit, "atm"):
        least, most = RANGE[unit]
        if least <= quantity.value <= most:
            return unit
    return ""


def as_pressure(story: Story, quantity: Quantity) -> Quantity:
    """A pressure in the unit said with it, else in the one it is likely in, flagged as assumed."""
    return quantity.in_unit(pressure_unit(story, quantity) or "atm")


def says_up(item: Item) -> bool:
    """Whether a word says that a balloon goes up."""
    return (
        "inflate" in item.meanings or ("particle" in item.meanings and "up" in item.text.split()) or item.text == "up"
    )


def told_by(story: Story) -> frozenset[str]:
    """What the action right before a figure says: raise, inflate, hold, again, or nothing."""
    if called_pressure(story):
        return frozenset({"raise"})
    before = story.before("mark", "phrase")
    if before is None or before.kind != "action":
        return frozenset()
    active, following = story.active, story.after()
    free = following is None or following.kind in {"mark", "quantity"}
    if before.text == "go" and free and active is not None and active.role == "inflation" and story.topic != "run":
        return frozenset({"raise"})  # "Go eight.", with a balloon at hand
    return before.meanings


def called_pressure(story: Story) -> bool:
    """ "the pressure is sixteen", "manometer shows twenty-two", "with a pressure of ten", "ten on the gauge", "ten is
    reached".
    """
    tokens, item = story.sentence.tokens, story.sentence.items[story.index]
    behind, at = tokens[item.span[1] : item.span[1] + 3], item.span[0] - 1
    if "reached" in behind[:2] or (behind[:1] in {("on",), ("of",)} and behind[-1] in DIALS):
        return True
    while at >= 0 and tokens[at] in _SHOWS:
        at -= 1
    return at >= 0 and tokens[at] in DIALS


def stands_free(story: Story, item: Item) -> bool:
    """Whether a bare figure counts nothing that is said with it: no unit, no thing, no clock time."""
    following = next((other for other in story.ahead() if other.text not in {"and", "or"}), None)
    figure = following.figures.get("value") if following is not None and following.kind == "quantity" else None
    apart = following.span[0] - item.span[1] if following is not None else 0
    if figure is not None and figure.unit in TIMES and apart in {1, 2} and item.after != "of":
        return item.before not in TAKEN  # "ten over thirty seconds", "at ten, kept for a minute"
    if following is not None and figure is not None and apart <= 1:
        shared = figure.unit not in {None, *BALLOON_PRESSURES, *TIMES}  # "ten and ten mils"
        return not shared and (item.after in _FREE or following.span[0] == item.span[1]) and item.before not in TAKEN
    tokens, last = story.sentence.tokens, item.span[1]
    alike = tokens[last : last + 2] == ("same", "as")  # "forty-five, same as before"
    return (item.after in _FREE or alike) and item.before not in TAKEN | {"the", "those", "these"}


def may_be_pressure(quantity: Quantity, status: Status | None) -> bool:
    """Whether a number can be a pressure by how it was said: no wire size, no time, nothing finer than a half."""
    return (
        quantity.form not in {"leading-zero", "year", "clock", "article"}
        and status not in {Status.QUOTED, Status.PAST}
        and not quantity.value % 0.5  # gauges are read to the half at most: common practice, no source
    )


def runs_past_atm(story: Story) -> bool:
    """ "thirty, sixty, eighty-eight": whatever is counted, it is not atmospheres. In "eighteen this time, and a full
    ninety" the second figure is another thing.
    """
    items, first, last = story.sentence.items, story.index, story.index + 1
    while first and items[first - 1].kind in {"quantity", "mark"}:
        first -= 1
    while last < len(items) and items[last].kind in {"quantity", "mark"}:
        last += 1
    return any(RANGE["atm"][1] < value <= 500 for value in _bare(items[first:last]))


def counts_seconds(story: Story, item: Item, *, up: bool) -> bool:
    """ "eighteen, nineteen, twenty seconds", "ten, twenty, thirty": counted on evenly, as no balloon is raised."""
    run = [item.figures["value"].value]
    behind = _bare(story.behind())
    said = _bare(story.sentence.items)
    apart = {high - low for low, high in pairwise(said)}
    if len(said) > 2 and len(apart) == 1 and apart <= _LONG_STEPS and story.pressure_unit in {"atm", "bar"}:
        return True
    for other in story.ahead():
        if other.kind not in {"quantity", "mark", "pronoun"} or "value" not in other.figures | {"value": None}:
            break
        if other.kind == "quantity":
            figure = other.figures["value"]
            if figure.unit not in {None, "s"} or figure.value - run[-1] not in EVEN:
                break
            run.append(figure.value)
            if figure.unit == "s":
                steady = len(run) > 2 or not behind or run[0] - behind[0] == run[1] - run[0]
                return steady and (up or len(run) > 2)  # not the last of "six, eight, ten, twenty seconds"
    while behind and run[0] - behind[0] in EVEN:
        run.insert(0, behind.pop(0))
    steps = {high - low for low, high in pairwise(run)}
    held = any("hold" in other.meanings for other in story.behind())  # "hold, hold... nineteen, twenty, sir"
    if len(run) < 3 - held or len(steps) != 1:
        return False
    if len(run) == 2:
        return steps == {1.0} and run[0] > 16
    return steps == {10.0} or (steps == {5.0} and run[-1] > 20) or (steps == {1.0} and (run[-1] > 16 or run[0] == 1))


def counts_in(story: Story, item: Item) -> bool:
    """ "On three. One, two, three, and up.": counted so that all begin together."""
    following = story.following.first if story.following is not None else ""
    if item.before == "on" and item.text == "three" and following == "one":
        return True
    figures = [other for other in story.sentence.items if other.kind == "quantity"][:3]
    ones = [other.figures["value"].value for other in figures] == [1.0, 2.0, 3.0]
    begins = ones and not story.sentence.items.index(figures[0]) and item in figures
    return begins and any(says_up(other) or "go" in other.meanings for other in story.sentence.items)


def to_count(story: Story, item: Item) -> bool:
    """ "ten counts", "hold for a count of thirty", "until I count thirty"."""
    said = story.sentence.tokens[max(0, item.span[0] - 2) : item.span[0]]
    counted = said[-1:] == ("count",) or (said[:1] == ("count",) and said[-1] in _COUNTED_FOR)
    return item.after in {"count", "counts"} or counted


def counted_on(story: Story, item: Item) -> bool:
    """ "hold... nineteen, twenty": the next figure is one more."""
    following = story.after("mark")
    if following is None or following.kind != "quantity":
        return False
    figure = following.figures["value"]
    return figure.unit is None and figure.value - item.figures["value"].value == 1


def climbing(story: Story, least: int = 3) -> bool:
    """Numbers going up, "two, four, six, eight": a balloon being inflated."""
    run = [value for value in _bare(story.sentence.items) if value <= RANGE["atm"][1]]
    run = [value for position, value in enumerate(run) if position == 0 or value != run[position - 1]]
    if len(run) > least and run[-1] < run[-2]:
        run = run[:-1]  # "fourteen, sixteen, sixteen and a half, no, stay sixteen"
    return (
        not any(value % 0.5 for value in run)  # no dial is read so finely
        and all(low < high for low, high in pairwise(run))
        and len(run) >= least
        and (len(run) < 3 or least < 3 or run[1] - run[0] >= 1.5)
    )


def _bare(items: Iterable[Item]) -> list[float]:
    """The numbers without a unit, one after another."""
    return [
        item.figures["value"].value
        for item in items
        if item.kind == "quantity" and item.figures["value"].unit is None and item.after in _FREE
    ]


def then_down(story: Story) -> bool:
    """ "sixteen by forty. Twelve up top, down": a figure said of a balloon just named, and down."""
    said = [other for other in story.ahead() if other.kind in {"action", "quantity", "device", "drug"}][:2]
    return any(other.kind == "action" and "deflate" in other.meanings for other in said)


def closes(story: Story) -> bool:
    """ "ten seconds, and close the balloon": a time, and the balloon comes down by name."""
    return any(
        other.kind == "action" and "deflate" in other.meanings and "particle" not in other.meanings
        for other in story.ahead()
    )


def then_timed(story: Story) -> bool:
    """ "went to sixteen, for ten seconds", "twelve, same time": a figure, and how long."""
    following = next((other for other in story.ahead() if not _says_how_it_gave(other)), None)
    if following is not None and "as long" in following.meanings:
        return True
    return following is not None and following.kind == "quantity" and following.figures["value"].unit in TIMES


def _says_how_it_gave(item: Item) -> bool:
    """ "fourteen, no waist, one minute", "sixteen and it's fully open, ninety seconds"."""
    return item.kind in {"mark", "pronoun"} or item.name == "waist" or item.meanings == {"deploy"}


def other_talk(story: Story, *, up: bool = False) -> bool:
    """Whether a figure is said of a drug, a run or another device: named nearer than any word of going up."""
    waits = story.active is not None and story.active.where == "asked" and story.topic == story.active.role
    handed = waits or any(item.kind == "device" and item.role in {"inflation", "stent"} for item in story.behind())
    if story.sentence.texts & (_OF_RUNS - {"give"} if handed or up else _OF_RUNS) or story.says(*OTHER_ACTS):
        return True
    for item in story.behind():
        if item.kind == "action" and says_up(item):
            return False
        if _is_other(item):
            return True
    for item in story.ahead():
        if item.kind == "mark" and item.text != ",":
            return False
        if _is_other(item):
            return True
    return False


def _is_other(item: Item) -> bool:
    return item.kind == "drug" or (item.kind == "device" and item.role == "insert")


def of_dilators(story: Story) -> bool:
    """ "dilated with twelve, then with fourteen French"."""
    following = story.after("mark")
    return following is not None and following.kind == "device" and "gauge" in following.figures
