"""A lesion nobody names, told by how long it is: "the SFA's shut, fifteen centimetres of it", "seventy percent, two
centimetres long". It becomes the finding it is, so that its length is no measure of a healthy vessel.
"""

from itertools import pairwise

from extractor.model import Item, Sentence, Status
from extractor.reconciling.story import Hearing, Story

#: Said of a vessel: nothing passes.
_CLOSED = frozenset("closed shut blocked".split())
_NOUNS = frozenset("closure block blockage".split())
#: … and little does.
_TIGHT = frozenset("tight tighter tightest narrow narrowest hanging thread pinched severe critical lesion".split())
#: What can be so, where no lexicon has its name.
_VESSELS = frozenset(
    "artery arteries vein veins vessel graft fistula duct ureter tibial stent circumflex popliteal".split()
)
#: Findings that are seen beside a lesion, and have no such length.
_BESIDE = {"collaterals", "calcification", "run-off"}
#: The least share of a stenosis that is told with its length, percent, and how near the word the vessel stands.
_LEAST, _NEAR = 20, 4
#: Words of other things that are closed.
_OF_OTHERS = frozenset(
    """
    puncture hole stitch suture plug device groin skin pressing pressed valve box forceps clamp scar incision wound
    door doors corridor lid drawer battery screen
    """.split()
)


class LesionsTold(Hearing):
    """Puts, before findings are heard, the finding into a sentence that tells only its share or that nothing passes."""

    def begin(self, story: Story, sentence: Sentence) -> None:
        lengths = [item for item in sentence.items if _is_length(item)]
        if len(lengths) != 1:
            return
        others = any(
            item.kind in {"device", "drug", "pair"} or (item.kind == "finding" and item.name not in _BESIDE)
            for item in sentence.items
        )
        if others or sentence.texts & _OF_OTHERS or sentence.question or sentence.cues & {Status.NEGATED}:
            return
        (length,) = lengths
        shares = [item for item in sentence.items if _is_share(item)]
        long = _says_long(sentence, length)
        if long and not shares and (share := _bare_share(sentence, length)) is not None:
            share.figures["value"] = share.figures["value"].flagged("unit-assumed", unit="%")
            shares = [share]
        if len(shares) == 1 and long:
            _put(sentence, "stenosis", shares[0], shares[0].span[0])
        elif not shares and (at := _closed_at(sentence)) is not None:
            _put(sentence, "occlusion", length, at)


def _is_length(item: Item) -> bool:
    return item.kind == "quantity" and item.figures["value"].unit in {"mm", "cm"}


def _is_share(item: Item) -> bool:
    figure = item.figures.get("value")
    return item.kind == "quantity" and figure is not None and figure.unit == "%" and _LEAST <= figure.value < 100


def _bare_share(sentence: Sentence, length: Item) -> Item | None:
    """ "The SMA is tight, call it ninety, fifteen millimetres long.": of what is narrow."""
    rest = [item for item in sentence.items if item.kind == "quantity" and item is not length]
    if len(rest) != 1 or not sentence.texts & _TIGHT or not _vessels(sentence):
        return None
    figure = rest[0].figures["value"]
    fits = figure.unit is None and not figure.value % 5 and _LEAST <= figure.value < 100
    return rest[0] if fits else None


def _says_long(sentence: Sentence, length: Item) -> bool:
    """ "two centimetres long", "twenty-eight millimetres in length", "a length of two centimetres", "seven deep"."""
    around = sentence.tokens[max(0, length.span[0] - 2) : length.span[0]], sentence.tokens[length.span[1] :][:2]
    return length.role == "long" or any({"long", "length", "deep"} & {*words} for words in around)


def _vessels(sentence: Sentence) -> set[int]:
    """The tokens right behind each vessel that is named."""
    named = {at + 1 for at, token in enumerate(sentence.tokens) if token in _VESSELS}
    return named | {item.span[1] for item in sentence.items if item.kind == "place"}


def _closed_at(sentence: Sentence) -> int | None:
    """The token that says that a vessel lets nothing pass: behind the vessel, or before "of" and it."""
    vessels = _vessels(sentence)
    for at, (token, following) in enumerate(pairwise(sentence.tokens)):
        if token in _CLOSED and any(end <= at <= end + _NEAR for end in vessels):
            return at
        if token in _NOUNS and following in {"of", "in"} and vessels:
            return at
    return None


def _put(sentence: Sentence, name: str, told_by: Item, at: int) -> None:
    """The finding stands where it is told; what else the word was taken for gives way."""
    said = next((item for item in sentence.items if item.span[0] <= at < item.span[1] and item is not told_by), None)
    before = [item for item in sentence.items if item.span[1] <= at]
    words = said.words if said is not None else (before[-1].words if before else told_by.words)
    finding = Item("finding", words, name, name=name, status=told_by.status, cue=told_by.cue, span=(at, at + 1))
    index = sum(item.span[0] < at for item in sentence.items)
    if said is not None and said.kind == "action":
        index = sentence.items.index(said)
        sentence.items[index] = finding
    else:
        sentence.items.insert(index, finding)
