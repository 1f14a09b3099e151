"""Lengths that are no size: how far something lies from something else, or moves: "one centimetre higher", "pull back
half a centimetre".
"""

from collections.abc import Sequence

from extractor.reading.parts import DEFINITE
from extractor.reading.quantities import FILLERS, Figure
from extractor.reading.tokens import PUNCTUATION, Token

_COPULAS = {"is", "'s", "was", "are", "were", "had", "has"}
#: Shorter than any stent, mm: "one centimetre in the old graft" is how far it reaches. Common practice, no source.
_NEAR = 12
#: After one of these, at most so many words on, a length is how large something is, wherever it lies.
_MEASURED, _MEASURED_NEAR = {"measured", "measures", "measuring"}, 10
#: Nothing is said to lie farther from what it is aimed at, mm: "forty-five centimetre over the wire" is a sheath's.
#: Common practice, no source.
_FAR_APART = 120

#: Before a figure that is below zero.
_BELOW_ZERO = frozenset("at to of is was until on , .".split())

#: Right after a length these tell how far something lies or moves, not how long or wide it is.
_APART = frozenset(
    """
    forward forwards back backward backwards above below beneath beyond behind before after past off away proximally
    distally cranially caudally up down into over under inside within from towards toward in protruding sticking hanging
    """.split()
)
#: So do these, with nothing that they would describe after them: "one lower", not "the lower balloon".
_APART_ALONE = frozenset(
    """
    higher lower deeper further farther closer nearer proximal distal cranial caudal medial lateral short shy outside
    """.split()
)
_NOT_DESCRIBED = (
    PUNCTUATION | FILLERS | set(" to of than and in on from now again then please with for this".split(" "))
)
_ON, _WAYS = {"further", "farther", "more"}, {"out", "up", "down", "along", "distal", "proximal", "back"}
#: Right before one they do.
_APART_OF = {"overlap", "overlaps", "overlapping", "overlapped", "margin", "distance", "clearance", "gap"}
#: Words that move a thing by the length said after them.
_SHIFTS = frozenset(
    """
    pull pulled pulling draw drawn drawing withdraw withdrawn withdrew withdrawing retract retracted push pushed pushing
    advance advanced advancing move moved moving shift shifted slide slid back come came gone jumped dropped lower raise
    """.split()
)
#: So many words before "distance of" tell what is so long, or moved so far. Set by hand, no source.
_LED = 7
#: What a figure counts that is no size of what stands before it.
_DAYS = frozenset("day days week weeks month months".split())
#: Between such a word and the length: it is another thing's.
_NO_SHIFT = PUNCTUATION | {"of", "a", "an", "with", "and", "to", "then", "for"}


def lies_apart(tokens: Sequence[Token], figure: Figure) -> bool:
    """Whether a length is how far something lies or moves: "one centimetre higher", "overlap of two millimetres", "pull
    back half a centimetre". "Four centimetres in length", "of four centimetres above the knee" are sizes.
    """
    index = figure.first - 1
    before = tokens[index].text if index >= 0 else ""
    if before == "minus" and tokens[max(0, index - 1)].text in _BELOW_ZERO and figure.shape == "one":
        return True  # "nights at minus fifteen": nothing here is told below zero
    if figure.shape == "one" and figure.parts[0].unit is None:
        return any(token.text in _DAYS for token in tokens[figure.last : figure.last + 1])
    if figure.shape != "one" or figure.parts[0].unit not in {"mm", "cm"}:
        return False
    after = [token.text for token in tokens[figure.last : figure.last + 2]] + ["", ""]
    if after[0] in {"per", "a"} and after[1] == "second":
        return True  # how fast blood flows
    between = after[0] == "from" and "to" in {token.text for token in tokens[figure.last :]}  # two landmarks
    between = between or "between" in {token.text for token in tokens[: figure.first]}
    led = [token.text for token in tokens[max(0, index - _LED) : max(0, index)]]
    extends = {"over", "along"} & {*led[-3:]} and not _SHIFTS & {*led}
    if before in {"of", "by"} and index and tokens[index - 1].text in _APART_OF | _SHIFTS and not between:
        return not extends  # "occluded over a distance of nine centimetres" is how long it is
    if before in _APART_OF or after[0] in {"overlap", "margin"} or (after[0] == "of" and after[1] in _APART_OF):
        return True
    length = figure.parts[0].value * (10 if figure.parts[0].unit == "cm" else 1)
    measured = any(token.text in _MEASURED for token in tokens[max(0, figure.first - _MEASURED_NEAR) : figure.first])
    if length > _FAR_APART or measured:
        return False  # "measured nine millimetres below the lesion and eight above it"
    if after[0] in PUNCTUATION | {"", "and", "please", "then"}:
        while index > figure.first - 6 and index >= 0 and tokens[index].text not in _NO_SHIFT:
            if tokens[index].text in _SHIFTS:
                return True
            index -= 1
        return False
    told = (
        after[0] in _APART
        or (after[0] == "to" and after[1] in {"the", "her", "his"})
        or (after[0] in _APART_ALONE and after[1] in _NOT_DESCRIBED | (_WAYS if after[0] in _ON else set()))
    )
    if before in {"of", "over", "along"} or not told:
        return False
    if after[0] == "in":  # "the vein is five millimetres in the arm": how wide it is
        told = before in _COPULAS and tokens[index - 1].text not in {"it", "that", "this", "tip", "end"}
        return after[1] in DEFINITE and length <= _NEAR and not told
    return not (after[0] == "from" and {"to", "until", "till"} & {token.text for token in tokens[figure.last :]})
