"""What a figure of an injection is, by the words around it: "eight in all", "frames up to four", "Run, twenty"."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from extractor.model import Item, Quantity, Sentence
from extractor.reconciling.story import Story

#: What a bare number may be as a setting: common practice, no source.
BARE = (1.0, 60.0)
#: Before "at": a setting stays.
_LEAVES = {"leave", "keep", "stay", "stays", "hold", "remain", "remains", "leaving", "keeping"}
#: So many pictures a second at most, where no word for the second is said.
_MOST_PICTURES, PICTURES = 8, frozenset("pictures pics images exposures shots films".split())
#: Between "a second" and what there are so many of.
_OF_THE = {"on", "of", "for", "in", "the", "these"}
_CALLED = {
    "frames": "frame_rate", "frame rate": "frame_rate", "rate": "rate", "speed": "rate", "flow": "rate",
    "flow rate": "rate", "volume": "volume", "amount": "volume", "total": "volume",
}  # fmt: skip
#: Words said of much else that head a volume as well: "Shot, four."
_HEADS = {"run", "runs", "injection", "shot", "control", "completion", "images"}
#: What may follow a bare number that is a volume.
AFTER_VOLUME = {
    "", ".", ",", "...", "!", "?", "-", "again", "then", "please", "now", "only", "and", "at", "from", "through",
    "into", "down", "via", "gently", "slowly", "softly", "here",
}  # fmt: skip
#: … and what else may follow a setting.
_SETTINGS_AFTER = frozenset("for this each also dye contrast of by is it as with on in to more total".split())
#: Before a bare number: it is no volume.
_NO_VOLUME_AFTER = {"at", "number", "segment", "level", "l", "the", "that", "with", "than", "until"}
#: These words are said of much else: a picture only with a word before that makes it one, or standing alone.
LOOSE_PICTURES = {
    "picture",
    "pictures",
    "control",
    "completion",
    "images",
    "series",
    "shot",
    "spin",
    "run",
    "runs",
    "injection",
    "injections",
}


def alone(item: Item) -> bool:
    """Whether a bare number stands by itself: nothing right after or before it makes it a figure of something else."""
    return item.after in AFTER_VOLUME and item.before not in _NO_VOLUME_AFTER


def counts_things(item: Item) -> bool:
    """ "But one branch is shut", "no, one small clot": how many there are of what is named behind it, no setting."""
    one = item.figures["value"].value == 1 and item.figures["value"].unit is None
    return one and item.after.isalpha() and item.after not in AFTER_VOLUME | _SETTINGS_AFTER


def with_hand(story: Story, item: Item) -> bool:
    """ "a picture by hand with seven"."""
    before = story.before()
    return item.before == "with" and before is not None and "by hand" in before.meanings


def as_pictures(sentence: Sentence) -> None:
    """ "Twelve a second, thirty total, three pictures.": behind how fast contrast flows a few pictures are so many a
    second. "Two a second on the pictures" is of them.
    """
    figures = [item for item in sentence.items if item.kind == "quantity"]
    flows = any(item.figures["value"].unit in {"/s", "mL/s"} for item in figures)
    flows = flows or any(item.kind == "pair" for item in sentence.items)
    for item in figures if flows else ():
        quantity = item.figures["value"]
        behind = sentence.tokens[item.span[1] : item.span[1] + 3]
        named = next((place for place, text in enumerate(behind) if text not in _OF_THE), 0)
        if quantity.unit == "/s" and named and behind[named] in PICTURES | {"frames"}:
            item.figures["value"] = replace(quantity, heard=" ".join((quantity.heard, *behind[: named + 1])))
        few = quantity.unit is None and 0 < quantity.value <= _MOST_PICTURES
        if few and sentence.tokens[item.span[1] : item.span[1] + 1] and sentence.tokens[item.span[1]] in PICTURES:
            heard = f"{quantity.heard} {sentence.tokens[item.span[1]]}"
            item.figures["value"] = quantity.flagged("unit-assumed", unit="/s", heard=heard)


def before_frames(story: Story, item: Item) -> dict[str, Item]:
    """ "six, three frames, go", "twenty, ten, four frames": the bare figures right before how often pictures are taken,
    volume first.
    """
    row: list[Item] = [item]
    for other in story.ahead():
        if other.kind == "quantity":
            row.append(other)
        elif other.kind != "mark" or other.text != ",":
            break
    *bare, frames = row
    figures = [other.figures["value"] for other in bare]
    if not 1 <= len(bare) <= 2 or not frames.figures["value"].of_pictures or not alone(item):
        return {}
    low, high = BARE
    plain = all(figure.unit is None and figure.form != "leading-zero" for figure in figures)
    fit = plain and low <= figures[-1].value <= figures[0].value <= high
    return dict(zip(("volume", "rate"), bare, strict=False)) if fit else {}


def in_all(story: Story, item: Item) -> bool:
    """ "thirty in total", "eight in all": a bare figure said to be all that goes in."""
    figure = item.figures.get("value")
    after = story.sentence.tokens[item.span[1] : item.span[1] + 2]
    bare = item.kind == "quantity" and figure is not None and figure.unit is None
    return bare and (after in {("in", "all"), ("in", "total"), ("all", "told")} or after[:1] == ("altogether",))


def headed(story: Story, item: Item) -> bool:
    """ "Run on the right, twenty this time": the first figure after the picture at the head of a sentence, with nothing
    but where it is of between.
    """
    passed = {"mark", "side", "place", "part"}
    before = [other for other in story.behind() if other.kind not in passed and "again" not in other.meanings]
    ends = item.after in {"", ",", ".", "...", "on", "this"} and item.before in {",", "...", ":", "", "of", "with"}
    by_hand = len(before) == 2 and "by hand" in before[0].meanings
    picture = before[-1:] if len(before) == 1 or by_hand else []
    picture = [other for other in picture if is_picture(other) or other.text in _HEADS]
    return bool(picture) and all(other.status is None for other in picture) and ends


def called(items: Iterable[Item]) -> str:
    """The setting called by its name nearest before a figure: "frames the same fifteen"."""
    for item in items:
        if item.kind == "action" and "settings" in item.meanings:
            return _CALLED.get(item.text, "")
        if not (item.kind == "action" and "again" in item.meanings) and item.text not in {"?", ","}:
            return ""
    return ""


def left_as_it_is(story: Story, item: Item) -> str:
    """ "don't touch the frames, leave it at four", "frames up to four": the setting named before the figure."""
    said = story.sentence.tokens[max(0, item.span[0] - 3) : item.span[0]]
    if said[-1:] == ("at",) and _LEAVES & set(said):
        among = list(story.behind())
    elif said[-1:] == ("to",):
        among = story.clause()
    else:
        return ""
    named = (_CALLED.get(other.text, "") for other in among if "settings" in other.meanings)
    return next((label for label in named if label), "")


def is_picture(item: Item) -> bool:
    """Whether this is the name of a picture, not a word that also says much else: "aortogram", "the oblique run"."""
    return item.names_picture and (item.text not in LOOSE_PICTURES or item.text in {"run", "runs", "picture"})


def put_right(story: Story) -> bool:
    """Whether a word that puts right stands between this figure and the one before it."""
    for other in story.behind():
        if other.corrects:
            return True
        if other.kind in {"quantity", "pair"}:
            return False
    return False


def fixed_already(story: Story, value: Quantity | None) -> bool:
    """Whether the word that puts right stands before a value that was put right by it: "at four, hang on, at five"."""
    fixing = next((other for other in story.behind() if other.corrects), None)
    return value is not None and fixing is not None and fixing.words[1] <= value.words[1]


def after_at(story: Story) -> bool:
    before = story.before()
    return before is not None and before.kind == "action" and before.text == "at"


def just_held(story: Story) -> bool:
    before = story.before()
    return before is not None and before.kind == "action" and "hold" in before.meanings


def joined_by_and(story: Story) -> bool:
    """Whether "and" or a comma stands between this figure and the one before it, with only places besides."""
    joined = False
    for other in story.behind():
        if other.kind == "quantity":
            return joined and other.figures["value"].unit == "mL"
        if other.kind == "mark":
            joined = joined or other.text == "and"
        elif other.kind not in {"place", "side", "part"} and not (other.kind == "action" and "raise" in other.meanings):
            return False
    return False


def in_ratio(told: Sequence[Quantity]) -> bool:
    """ "From the aorta, fifteen for thirty.": a rate, and the volume of some seconds; "ten at four" may be anything."""
    if len(told) < 2 or told[1].words > told[0].words:
        return False
    return told[0].value > told[1].value and not told[0].value % told[1].value


#: Between a word for contrast and how much of it, these change nothing.
_BESIDE_CONTRAST = frozenset(
    """
    , : ... - only just in please slowly gently here also now a the right left of down up it into through via some my
    your our his her its this that first second third other new old upper lower one no more than about say maybe around
    tube drain drains sheath catheter micro microcatheter cavity port limb lumen arm side hole collection needle
    """.split()
)
#: With these a volume of contrast is all that was used, or it fills something.
_NO_INJECTION = frozenset(
    """
    used total far left remaining sum altogether overall record form told all minutes minute fluoro screening dose gray
    balloon inflator syringe saline half mixture mixed diluted limit limits allowed maximum max under below creatinine
    """.split()
)
#: Contrast that goes in at once, at most, mL: common practice, no source.
_MOST_AT_ONCE = 30


def with_contrast(story: Story, item: Item) -> bool:
    """ "Contrast, four mils.", "dye ten", "five of contrast": a volume right beside the word for contrast."""
    sentence, figure = story.sentence, item.figures["value"]
    if not 1 <= figure.value <= _MOST_AT_ONCE or sentence.question or not _NO_INJECTION.isdisjoint(sentence.texts):
        return False
    if item.status is not None or story.mentions("drug", "pair") or (figure.unit is None and not _ends_here(item)):
        return False
    if item.before == "in" or any(other.figures for other in story.mentions("device")):
        return False  # "an ampoule in eight mils of contrast", "an eighteen French and ten of contrast, please"
    for other in sentence.items:
        named = other.kind == "action" and ("contrast" in other.meanings or other.text == "contrast through")
        if named and other.status is None:
            first, last = min(other.span, item.span), max(other.span, item.span)
            if set(sentence.tokens[first[1] : last[0]]) <= _BESIDE_CONTRAST:
                return True
    return False


def _ends_here(item: Item) -> bool:
    """Whether a bare figure counts nothing that follows it."""
    return item.after in AFTER_VOLUME | {"each", "also", "dye", "contrast", "of", ":", ";", "by"}


def hand_headed(story: Story, item: Item) -> bool:
    """ "Hand, five. Peroneal only.", "Hand eight again.": by hand, at the head of its sentence."""
    sentence = story.sentence
    first = next((other for other in sentence.items if other.kind not in {"mark", "place", "side", "part"}), None)
    by_hand = first is not None and first.text == "hand" and "by hand" in first.meanings and first.status is None
    between = sentence.tokens[first.span[1] : item.span[0]] if first is not None else ()
    return (
        by_hand and set(between) <= {",", ":"} and item.after in AFTER_VOLUME and not story.mentions("drug", "device")
    )


#: Behind a bare volume: it is all that goes in, or of contrast.
_TOGETHER = {"total", "altogether", "together", "overall", "in", "of"}


def told_with_rate(story: Story, item: Item, pictures: bool = False) -> Item | None:
    """ "Picture: six a second, twelve.", "twenty mils, ten a second": the volume right beside a rate, of which it is
    some seconds.
    """
    rate = item.figures["value"].value
    if story.mentions("drug", "pair"):
        return None
    for other, first, last in ((story.after("mark"), 0, 1), (story.before("mark"), 1, 0)):
        if other is None or other.kind != "quantity" or other.used or other.status is not None:
            continue
        spans = (item.span, other.span)
        between = story.sentence.tokens[spans[first][1] : spans[last][0]]
        volume = other.figures["value"]
        seconds = volume.value / rate
        light = {"quantity", "mark", "place", "side", "part"}
        only = all(each.kind in light or "as before" in each.meanings for each in story.sentence.items)
        whole = volume.unit == "mL" or not seconds % 0.5 or (alone(other) and (only or pictures))
        if set(between) <= {",", ":", "...", "and"} and volume.unit in {None, "mL"} and 1 < seconds <= 10 and whole:
            return other if volume.unit or alone(other) or other.after in _TOGETHER else None
    return None
