"""What a size with no noun is the size of, from what is known, named nearby and spoken of."""

from collections.abc import Sequence
from itertools import pairwise

from extractor.model import Item, Kind, Status
from extractor.reconciling.story import Story
from extractor.reconciling.things import find

ROLES = {"inflation": Kind.INFLATION, "stent": Kind.STENT, "embolise": Kind.EMBOLISE}
_KINDS = {kind: role for role, kind in ROLES.items()}
#: Embolics measured by volume rather than by size.
POURED = {"particles", "glue", "foam", "gelatin", "liquid embolic"}
NOUNS = {"inflation": "balloon", "stent": "stent"}
#: Where it stands what a balloon or stent measures.
LABELS = frozenset(
    "label box chart table leaflet wrapper packet card paper sticker booklet insert sleeve tag pouch diagram".split()
)
#: What two stents do, and what stands before it where it is a place.
_OVERLAPS, _THAT = {"overlap", "overlaps", "overlapping", "overlapped"}, {"the", "that", "this", "at", "for"}
#: Where a device is that was spoken of and not used yet.
WAITING = {"asked", "thought"}
_NOT_USED = {"thought", "refused"}
#: Before "it": a stent is to do so.
_LINING = {"line", "lining", "cover", "covering"}
#: Before "it": a balloon goes there.
_INSIDE = {"inside", "within"}
#: Before a stent that was there already: a balloon goes there …
_INTO_IT = frozenset("in into inside within through across".split())
#: … called so, or pointed at.
_THE = frozenset("the that this his her".split())
_OLD = frozenset("old existing previous earlier prior former indwelling original".split())
#: Said with a size: it is a stent's.
_OF_STENTS = frozenset("deploy deployed stented stenting premounted expandable expanding uncovered".split())
_OF_COILS = frozenset("coil coils detach detached coiled coiling embolised embolising plugged".split())
#: Somebody would have another size of what is spoken of.
_OFFERED = frozenset(
    """
    suggests suggesting suggested offers offering proposes proposing recommends recommending mouthing
    whispering whispers
    """.split()
)
#: Said of what was put in before this case and stays; not of what was taken to a pressure.
_LEFT_IN = frozenset("got gets received put placed implanted sits lies sitting lying old".split())
#: As wide and as long as this, mm, no balloon is, but grafts and their limbs are: common practice, no source.
_NO_BALLOON = (12, 100)
#: Balloons come in lengths of whole fives, but for the shortest; stents in all between too, mm: common practice, no
#: source.
_BALLOON_STEP, _SHORT_BALLOON = 5, 12
#: Where such a finding was told, a size is rather a balloon's.
_NARROW = {"stenosis", "occlusion", "thrombus", "recoil", "waist", "dissection"}
#: No coils are wider, mm, or longer, cm: common practice, no source.
_WIDEST_COIL, _LONGEST_COIL = 24, 60
#: As long, cm, coils often are.
_LONG_COIL = 14
#: Said with a size: it is a balloon's.
_DILATING = frozenset("atmospheres dilating dilate dilated dilation dilatation ballooned ballooning balloon".split())
#: Said with a size while a stent has just been opened: another stent, and not the balloon to open it further.
_ONE_MORE = frozenset("second third another overlap overlapping overlapped extra extend put cover stent stents".split())
#: What was done where a stent was put.
_STENTED = frozenset({"stented", "stenting", "restented"})
#: Where there is a stent already, these put one more with the size said, and no balloon.
_PUT = frozenset("put putting place placing cover covering line lining".split())


#: Between "post" or "pre" and the size of the balloon.
_AFTER_HEADING = frozenset(", : - ... with by a an the now then stent".split())
#: What a balloon does to a stent that is open.
_SMOOTHING = frozenset(
    """
    iron ironed ironing irons press pressed pressing presses flatten flattened flattening smooth smoothed smoothing seat
    seated seating tap tapped touch touched tack tacked remodel remodelled remodeled kiss kissed blow blown blew mould
    moulded molded squash squashed squashing appose apposed round rounded expanded stamp stamped massage massaged
    """.split()
)


def role_of(story: Story, item: Item) -> str:
    """A size with no noun: what it is the size of, from what is known, named nearby, and spoken of."""
    if "diameter" not in item.figures:
        return ""
    if (item.where == "with" and _dilated_with(story)) or _heads_dilation(story, item) or _opens_further(story, item):
        return "inflation"
    if (said := _said_next(story.sentence.tokens[item.span[1] :])) is not None:
        return said
    waiting = WAITING if item.status is Status.NEGATED or after_no(story, item) else {"asked"}
    named = {other.role for other in story.sentence.items if other.kind == "device"}
    for role in ("inflation", "stent", "embolise"):
        one = find(story, item, lambda thing, role=role: thing.role == role and thing.where in waiting)  # type: ignore[misc]
        if one is not None and (role in named or item.figures.keys() <= one.values.keys() or not named & set(ROLES)):
            return role  # "kissing balloons, fourteen by forty" are no plug of fourteen that waits
    if (thought := _thought_of(story, item)) is not None:
        return thought
    lined = (what for verb, what in pairwise(story.sentence.tokens) if verb in _LINING)
    if {"it", "that", "this", "them"} & set(lined):
        return "stent"  # "do we line it, seven by forty?"
    if _then_opened(story) and story.spoken_role == "stent":
        return "stent"
    if _goes_inside(story, item):
        return "inflation"
    if item.status is Status.PAST and (done := _done_to_it(story)):
        return done
    nouns = [  # but "for the two limbs, a twelve by forty" has none
        other
        for other in story.sentence.items
        if other.kind == "device"
        and other.role in ROLES
        and other.where not in {"before", "after", "through"}
        and not (other.role == "embolise" and other.definite and not other.figures and not _met(story, other))
        and not (is_plural(other) and "for" in story.sentence.tokens[max(0, other.span[0] - 3) : other.span[0]])
    ]
    if len({noun.role for noun in nouns}) > 1:  # "… with a balloon; two stents, a six by forty and a six by eighty"
        nouns = [other for other in nouns if other.span[1] <= item.span[0]][-1:] or nouns
    if nouns and not (nouns[0].role == "stent" and (_dilates(story, nouns[0]) or _ballooned(story))):
        return nouns[0].role
    return _by_talk(story, item)


def _thought_of(story: Story, item: Item) -> str | None:
    """ "A covered stent perhaps, nine by fifty. … So nine by fifty.": the very size thought of or refused before, of
    one kind only.
    """
    wanted = [item.figures.get(key) for key in ("diameter", "length")]
    roles = set()
    for thing in story.things:
        known = [thing.values.get(key) for key in ("diameter", "length")]
        pairs = zip(wanted, known, strict=True)
        if thing.role in ROLES and all(one and other and one.value == other.value for one, other in pairs):
            roles.add(thing.role if thing.where in _NOT_USED else "")
    return roles.pop() if len(roles) == 1 and roles != {""} else None


def _said_next(tokens: Sequence[str]) -> str | None:
    """ "ten by forty balloon goes up", and "seven by twenty-seven on a balloon", which is a stent that comes on one."""
    said = [token for token in tokens[:4] if token not in {",", "a", "the", "its", "it's", "own"}]
    if tokens[:1] == ("balloon",):
        return "inflation"
    return "stent" if said[:2] == ["on", "balloon"] else None


def _by_talk(story: Story, item: Item) -> str:
    """What a size with no noun near it is the size of, by the words around it and what was spoken of last."""
    words = story.sentence.texts
    around = any(
        other.kind == "device" and other.where in {"before", "after", "through"} for other in story.sentence.items
    )
    last = story.drafts[-1] if story.drafts else None
    another = story.sentence.first == "or" and last is not None and story.number - last.number == 1
    if another and last is not None and last.status is Status.CONSIDERED and last.kind in _KINDS:
        return _KINDS[last.kind]  # "A covered stent perhaps, nine by fifty. Or ten by fifty."
    coiling = story.active is not None and story.active.role == "embolise" and story.active.name not in POURED
    if (
        coiling
        and "stent" not in words
        and "length" in item.figures
        and story.sentence.breath - story.spoken_breath <= 2
    ):
        return "embolise"
    stented = any(thing.role == "stent" and thing.where == "used" for thing in story.things)
    if words & _OF_STENTS or ("stent" in words and not around) or (stented and _puts(item, words)):
        return "stent"
    if words & _OF_COILS:
        return "embolise"
    if overlapping := _by_overlap(story):
        return overlapping
    if item.status is Status.PAST and "length" in item.figures and words & _LEFT_IN and not _dilating(story):
        return "stent"  # "the right coronary got a three by eighteen in twenty twelve"
    if words & _OFFERED and story.active is not None and story.active.role in NOUNS:
        return story.active.role
    if _as_wide_and_long(item, _NO_BALLOON) or _of_no_balloon(item):
        return "stent"
    if _dilating(story):
        return "inflation"
    known = find(story, item, lambda thing: thing.role in ROLES and thing.where == "used")
    aside = story.spoken_breath == story.sentence.breath and not item.definite  # "or shall we take fourteen by forty?"
    if known is not None and "length" in item.figures and not (aside and story.spoken_role in {"inflation", "stent"}):
        return known.role
    if (
        story.spoken_role == "stent"
        and story.active is not None
        and story.active.role == "stent"
        and story.active.where == "used"
    ):
        part = story.graft_breath == story.sentence.breath  # "right limb… sixteen by ninety"
        return "stent" if part or words & _ONE_MORE else "inflation"
    if story.spoken_role in ROLES and story.sentence.breath - story.spoken_breath <= (
        8 if story.spoken_role == "embolise" else 1
    ):
        return story.spoken_role
    known_roles = {thing.role for thing in story.things if thing.role in ROLES and thing.name not in POURED}
    if known_roles == {"embolise"}:
        return "embolise"  # a case of coils
    return "embolise" if _through_a_micro(story, item, known_roles) else "inflation"


def _by_overlap(story: Story) -> str:
    """ "Then a six by sixty, one centimetre overlap": a stent does, beside another; a balloon goes up in it."""
    if not any(thing.role == "stent" and thing.where in {"used", *WAITING} for thing in story.things):
        return ""
    said = (*story.sentence.tokens, *(story.following.tokens if story.following is not None else ()))
    at = next((at for at, token in enumerate(said) if token in _OVERLAPS), None)
    if at is None:
        return ""
    return "inflation" if said[max(0, at - 1)] in _THAT or story.says("inflate") else "stent"


def _through_a_micro(story: Story, item: Item, known: set[str]) -> bool:
    """ "Beyond the neck: three by six.": a microcatheter is in and neither balloon nor stent was spoken of: a coil."""
    wide, long = item.figures.get("diameter"), item.figures.get("length")
    if known & {"inflation", "stent"} or wide is None or long is None or item.status is Status.PAST:
        return False
    if any(draft.finding in _NARROW for draft in story.lately()) or story.says("inflate"):
        return False  # a vein that is narrow, with a micro set somewhere before
    placed = any(thing.name == "microcatheter" and thing.where == "in" for thing in story.things)
    return placed and long.unit in {None, "cm"} and wide.value <= _WIDEST_COIL and long.value <= _LONGEST_COIL


def _goes_inside(story: Story, item: Item) -> bool:
    """ "and a five by forty up inside it", "five by forty inside the stent", "in the old stent, a six by twenty": into
    one that is open already, or was there before this case.
    """
    said = story.sentence.tokens[item.span[1] : item.span[1] + 5]
    if any(where in _INSIDE and what == "it" for where, what in pairwise(said)):
        return True
    stents = [thing for thing in story.things if thing.role == "stent"]
    opened = any(thing.where == "used" for thing in stents)
    inside = {("inside", "the"), ("within", "the"), ("in", "the"), ("into", "the")} & {*pairwise(said)}
    if inside and opened and {"stent", "graft"} & {*said}:
        return True
    waits = any(thing.where == "asked" for thing in stents)
    return any(
        other.kind == "device" and other.role == "stent" and not other.figures and _old_place(story, other, waits)
        for other in story.sentence.items
    )


def _old_place(story: Story, stent: Item, waits: bool) -> bool:
    """Whether a stent is named as where something goes: "in the old stent", "within last year's stent"; "in the stent"
    where none waits to be placed.
    """
    tokens = story.sentence.tokens
    first = next((at for at in range(stent.span[0], max(-1, stent.span[0] - 5), -1) if tokens[at] in _INTO_IT), None)
    between = tokens[first + 1 : stent.span[1]] if first is not None else ()
    known = bool(_OLD & {*between}) or (not waits and bool(_THE & {*between[:1]}))
    return known and not {"a", "an", ",", "."} & {*between}


def _then_opened(story: Story) -> bool:
    """ "a six by sixty went in instead, opened well, and …": said of the size heard now, before another is named."""
    for other in story.ahead():
        if other.kind in {"device", "quantity"}:
            return False
        if "deploy" in other.meanings and other.text.startswith(("open", "deploy")):
            return True
    return False


def _ballooned(story: Story) -> bool:
    """ "the graft was ballooned last year, five by eighty": what was done to what is named is what the size is of."""
    for other in story.behind():
        if other.kind == "device" and (other.figures or not other.definite):
            return False
        if other.kind == "action" and "inflate" in other.meanings:
            return True
    return False


def _done_to_it(story: Story) -> str:
    """ "the left was stented, nine by forty, and the right was ballooned, five by sixty": what was done tells what each
    size is of; a device named in between has it.
    """
    for other in story.behind():
        if other.kind == "device" and other.role in ROLES:
            return ""
        if other.kind == "action" and "inflate" in other.meanings:
            return "inflation"
        if other.kind == "action" and other.text in _STENTED:
            return "stent"
    return ""


def _puts(item: Item, words: frozenset[str]) -> bool:
    """ "we could put two point five by eight there": one more stent is thought of, where there is one already."""
    return item.status in {Status.CONSIDERED, Status.NEGATED} and bool(words & _PUT)


def _met(story: Story, item: Item) -> bool:
    """Whether the case has spoken of such a device before: "we rake the plug" may be of a clot."""
    return find(story, item, lambda thing: thing.role == item.role) is not None


def _as_wide_and_long(item: Item, least: tuple[float, float]) -> bool:
    wide, long = item.figures.get("diameter"), item.figures.get("length")
    return wide is not None and long is not None and wide.value >= least[0] and long.value >= least[1]


def _of_no_balloon(item: Item) -> bool:
    """ "eight by fifty-seven", "six by eighteen": a length that no balloon has, but the one a stent comes on."""
    long = item.figures.get("length")
    return (
        long is not None
        and long.unit in {None, "mm"}
        and long.value > _SHORT_BALLOON
        and long.value % _BALLOON_STEP > 0
    )


def _dilating(story: Story) -> bool:
    """Whether the sentence is of a dilation: a word of it, or how far something was taken."""
    raised = any(item.kind == "quantity" and item.before in {"to", "at"} for item in story.ahead())
    return story.says("inflate") or bool(story.sentence.texts & _DILATING) or (raised and story.says("raise"))


def _dilated_with(story: Story) -> bool:
    """ "post-dilate that with a six by forty", whatever else the sentence names."""
    for other in story.behind():
        known = other.kind == "device" and other.definite and not other.figures  # "we dilate the stent with a …"
        if other.kind == "mark" or (other.kind == "device" and not known):
            return False
        if other.kind == "action" and "inflate" in other.meanings:
            return True
    return False


def _heads_dilation(story: Story, item: Item) -> bool:
    """ "Post, six by forty, ten.", "Pre with a four by twenty": before or after the stent, and so the balloon's."""
    before = [token for token in story.sentence.tokens[: item.span[0]] if token not in _AFTER_HEADING]
    return before[-1:] in (["post"], ["pre"])


def _opens_further(story: Story, item: Item) -> bool:
    """ "iron it with a six by forty", "pressed to the wall with the eight by forty": a stent that is open already."""
    before = story.sentence.tokens[max(0, item.span[0] - 2) : item.span[0]]
    if not ({*before} & {"with", "by"} or item.where in {"with", "by"}):
        return False
    said = {*story.sentence.tokens[: item.span[0]]}
    opened = any(thing.role == "stent" and thing.where == "used" for thing in story.things)
    return opened and bool(said & _SMOOTHING)


def _dilates(story: Story, noun: Item) -> bool:
    """Whether a size said with a stent is of the balloon that goes into it: "post the stent with a six by forty"."""
    stents = [thing for thing in story.things if thing.role == "stent" and thing.where in {"asked", "used"}]
    open_already = bool(stents) and all(thing.where == "used" for thing in stents)
    return noun.definite and open_already and not story.sentence.texts & _ONE_MORE


def after_no(story: Story, item: Item) -> bool:
    before = story.before()
    return before is not None and before.text == "no" and before.span[1] == item.span[0]


def is_plural(item: Item) -> bool:
    return item.text.split(",")[0].strip().endswith("s")
