"""Sets the status of what is said from the talk around it: cues, direction, reach and terminators, held as data.

After ConText (Harkema et al. 2009, PMC2757457): each cue speaks ahead, back or both ways, as far as the next mention,
the clause or the sentence; a nearer cue beats a farther one, and a cue that reaches only a mention beats wider ones.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from extractor.lexicon import Cue
from extractor.model import Item, Status

#: Kinds of item a status can lie on.
_MENTIONS = {"device", "drug", "finding", "action", "quantity", "pair"}
_NAMED = {"device", "drug", "finding"}
#: Marks and words that end a clause.
_ENDS = frozenset(
    """
    , ; : ... - but so because and then which while although though however
    """.split()
)
#: Marks that end the reach of a cue that speaks for a sentence.
_TURNS = {"but", "so", "however", "although", "though", "because", "...", "-"}
#: Words that join a row of things, and those that may stand before its first where nothing else is told of it.
_JOINS = {"and", "or", "nor"}
_QUALIFIES = {"", "edge", "residual", "new", "distal", "further", "other", "significant", "acute", "fresh", "major"}
#: Who does something else: a no said before them is no longer heard.
_SUBJECTS = {"i", "we", "he", "she", "they", "you"}
#: What a condition begins with; so many tokens behind it a no is part of it. Set by hand, no source.
_IFS, _IN_CONDITION = {"if", "unless", "should"}, 3
#: What tells that a thing was used, at the end of a report: "stent deployed", "heparin is in"; not "to be given".
_REPORTED = frozenset(
    "given placed deployed inflated dilated detached implanted inserted injected released put".split()
)
_IS_IN, _NOT_YET = {("is", "in"), ("'s", "in"), ("are", "in"), ("went", "in")}, {"be", "being", "to", "get", "have"}
#: What such a report may hang on: "should it leak, a coil placed".
_SUPPOSES = frozenset("if unless should assuming suppose would 'd case".split())
#: Where two cues speak for one mention.
_WEIGHT = {Status.NEGATED: 3, Status.CONSIDERED: 2, Status.QUOTED: 4, Status.PAST: 5, Status.PLANNED: 1}


@dataclass(slots=True)
class CueAt:
    """A cue and the items it stands between: after ``items[index - 1]``, before ``items[index]``."""

    cue: Cue
    index: int
    text: str
    token: int


def set_status(items: Sequence[Item], cues: Sequence[CueAt]) -> list[CueAt]:
    """Items of one sentence and its cues -> the status of each mention, in place. Returns the refusals that name
    nothing.
    """
    refusals: list[CueAt] = []
    conditions = [at.token for at in cues if at.cue.status is Status.CONSIDERED and at.text.split()[0] in _IFS]
    strength: dict[int, tuple[int, int]] = {}
    for at in sorted(cues, key=lambda at: at.cue.weak):
        if at.cue.status is Status.NEGATED and any(0 < at.token - token <= _IN_CONDITION for token in conditions):
            continue  # "if I can't get across it'll have to be a drain"
        reached = _reached(items, at)
        if (
            at.cue.status is Status.NEGATED
            and at.cue.look != "ahead"
            and "finding" not in at.cue.only
            and not any(items[p].kind in _NAMED for p, _ in reached)
        ):
            refusals.append(at)
        for position, distance in reached:
            item = items[position]
            if item.kind == "action" and at.cue.status is Status.PLANNED:
                continue
            if at.cue.weak and item.status in {Status.PLANNED, Status.CONSIDERED}:
                continue
            narrow = 10 if at.cue.reach == "mention" else 0
            rank = (narrow + _WEIGHT[at.cue.status], -distance)
            if position not in strength or rank > strength[position]:
                strength[position] = rank
                item.status, item.cue = at.cue.status, at.text
    return refusals


def _reached(items: Sequence[Item], at: CueAt) -> list[tuple[int, int]]:
    """Positions of the mentions a cue speaks for, with their distance."""
    found: list[tuple[int, int]] = []
    if at.cue.look in {"ahead", "both"}:
        found += _walk(items, range(at.index, len(items)), at.cue.reach, at.cue.status is Status.NEGATED)
    if at.cue.look in {"back", "both"}:
        found += _walk(items, range(at.index - 1, -1, -1), at.cue.reach)
    if at.cue.status in {Status.NEGATED, Status.CONSIDERED} and not _SUPPOSES & {*at.text.split()}:
        found = [(p, distance) for p, distance in found if p < at.index or not _reports(items, at.index, p)]
    return [(p, distance) for p, distance in found if not at.cue.only or items[p].kind in at.cue.only]


def _reports(items: Sequence[Item], begin: int, position: int) -> bool:
    """Whether a mention stands in a clause of its own that reports: "there is no point in waiting, heparin is in"."""
    first = next((at + 1 for at in range(position, begin - 1, -1) if _parts(items[at])), begin)
    if first == begin:
        return False  # the cue's own clause: "and no protamine was given"
    last = next((at for at in range(position, len(items)) if _parts(items[at])), len(items))
    clause = items[first:last]
    if not clause or clause[0].text in _JOINS or not any(item.kind in {"device", "drug", "pair"} for item in clause):
        return False
    said = [(item, tuple(item.text.split())) for item in clause if item.kind == "action"]
    return any(
        (words[-1] in _REPORTED or words in _IS_IN) and not _NOT_YET & {item.before, *words} for item, words in said
    )


def reported(texts: Sequence[str]) -> bool:
    """Whether words tell that something was given or placed: "five thousand given", not "to be given"."""
    return bool(_REPORTED & {*texts}) and not (_NOT_YET | {"not", "never", "will", "'ll"}) & {*texts}


def _parts(item: Item) -> bool:
    return item.kind == "mark" and item.text in _ENDS


def _walk(items: Sequence[Item], positions: range, reach: str, denies: bool = False) -> list[tuple[int, int]]:
    found: list[tuple[int, int]] = []
    mentioned = False
    subject = False  # going back: "sixteen atmospheres, and the waist is gone" says nothing of the pressure
    for distance, position in enumerate(positions):
        item = items[position]
        if denies and distance and item.kind == "pronoun" and item.text in _SUBJECTS:
            break  # "if I can't get through we puncture"
        if item.kind == "mark":
            if reach == "sentence":
                told = positions.step < 0 and mentioned and position > 0 and items[position - 1].kind == "action"
                parted = item.text == "and" and (told or subject)  # "two was given and the full five I refused"
                ends = item.text in _TURNS or (parted and not _joint(items, position))
            else:
                listed = reach == "mention" and mentioned and _listed(items, position, positions.step)
                shared = mentioned and positions.step < 0 and _shared(items, position)
                ends = item.text in _ENDS and not listed and not shared
            if ends:
                break
            continue
        if item.kind not in _MENTIONS:
            continue
        if reach == "mention" and item.kind in {"action", "quantity"}:
            if mentioned:
                break
            found.append((position, distance))
            continue
        if reach == "mention" and mentioned and items[position - 1].text not in {"or", "nor", ","}:
            break
        found.append((position, distance))
        mentioned = True
        subject = subject or (positions.step < 0 and (item.kind == "drug" or (item.definite and item.kind in _NAMED)))
    return found


def _joint(items: Sequence[Item], position: int) -> bool:
    """Whether an "and" joins two things that share what is said of them: "heparin and protamine were withheld"."""
    return position > 0 and items[position - 1].kind == items[position + 1].kind


def _shared(items: Sequence[Item], position: int) -> bool:
    """Whether this mark joins findings that share what is said behind them: "dissection and embolus, none"; not "there
    is spasm and embolus was not seen".
    """
    first = last = position
    while first and _in_row(items[first - 1], items[first]):
        first -= 1
    while last + 1 < len(items) and _in_row(items[last], items[last + 1]):
        last += 1
    told = next((at for at in range(first, last) if items[at].kind == "finding"), last)
    if items[told].where not in _QUALIFIES:  # "there is spasm, clot and embolus were not seen": from the comma on
        told = next((at for at in range(told, last) if items[at].text == ","), last) + 1
    row = items[told : last + 1]
    named = sum(item.kind == "finding" for item in row)
    return position > told and named >= 2 and (named > 2 or any(item.text in _JOINS for item in row))


def _in_row(one: Item, other: Item) -> bool:
    """Whether one stands right before the other in a row of findings and the marks that join them; an article may
    stand before a finding.
    """
    finding, mark = (one, other) if one.kind == "finding" else (other, one)
    joins = mark.kind == "mark" and mark.text in _JOINS | {","}
    return finding.kind == "finding" and joins and other.span[0] - one.span[1] <= (finding is other)


def _listed(items: Sequence[Item], position: int, step: int) -> bool:
    """Whether this is a comma in a list that ends in "or": "no dissection, extravasation or spasm"."""
    if items[position].text != ",":
        return False
    kind = items[position - step].kind
    for item in items[position + step :: step]:
        if item.text in {"or", "nor"}:
            return True
        if item.kind not in {kind, "place", "side", "part"} and item.text != ",":
            return False
    return False
