"""Shares in percent that tell nothing of how narrow a vessel is: of people, of an organ, of oxygen, how strong a
solution is, how much larger one thing is than another.
"""

from extractor.model import Item, Status
from extractor.reconciling.story import Story

#: In the sentence of such a share, wherever.
_OTHERS = frozenset(
    """
    patient patients people persons cases case study studies trial paper registry audit literature published guideline
    patency success failure failures mortality risk chance chances odds survival
    liver spleen splenic parenchyma parenchymal kidney remnant lobe lung tumour tumor volume sponge
    larger bigger smaller wider oversize oversized oversizing upsize over above
    oxygen saturation saturations sats sat sating air oximeter haematocrit hematocrit heart
    foam sclerosant solution ethanol alcohol dextrose glucose lidocaine lignocaine bupivacaine chlorhexidine mixture
    dilution diluted concentration density
    releasing deploying unsheathing unfolding opening halfway
    incision wound scar door doors lid drawer box boxes
    battery exam test vote votes price discount budget tax overtime humidity loss
    """.split()
)
#: What is told of so much time is of people, unless it is what an examination showed then.
_TIMES = frozenset("month months year years week weeks quarter".split())
#: So many words may stand between "over" and a length: "over the first", "over a distance of". Set by hand.
_NEAR = 4
#: Right before it.
_BEFORE = frozenset("by versus".split())
#: "Sixty percent of the lumen": how narrow it is all the same.
_LUMEN = frozenset("lumen diameter vessel artery vein calibre caliber area stenosis narrowing".split())
#: What may follow a share that tells how narrow a vessel is; any other word is what it is a share of.
_FREE = frozenset(
    """
    and but so at in on for from with without to over across along just right below under beyond behind before after
    near past where if when while that which is was it he she they i we you there here now again still yet then as
    than or left remaining residue residual remains remain stays stayed rest easy easily sure exactly about almost
    maybe perhaps probably nearly minimum by sits per most tops only ish today both each tight narrow narrowed shut
    closed blocked pinched squashed squeezed compressed reduced gone lost taken stenosed stenotic lesion compression
    reduction pinch squash kink squeeze plaque place spot bit part blockage obstruction diameter area lumen luminal
    focal short long distal distally proximal proximally ostial mid eccentric concentric calcified sir madam doctor
    doc professor boss chief mate everybody folks please
    """.split()
)


def of_other_things(story: Story, item: Item, asked: frozenset[str]) -> bool:
    """Whether a share in percent is of something else than the lumen of a vessel; ``asked``: the words of the question
    that it may answer.
    """
    sentence = story.sentence
    if item.before in _BEFORE or story.mentions("drug"):
        return True
    following = next(story.ahead(), None)
    beside = following is not None and following.span[0] == item.span[1] and following.kind not in {"device", "action"}
    if item.after == "of" and not sentence.texts & _LUMEN:
        return True
    if item.status is not Status.PAST and not _TIMES.isdisjoint(sentence.texts):
        return True
    named = item.after.isalpha() and not beside and item.after not in _FREE | {"of"}
    others = _OTHERS & sentence.texts - ({"over"} if _over_a_length(story) else set())
    return named or bool(others) or not _OTHERS.isdisjoint(asked)


def _over_a_length(story: Story) -> bool:
    """ "Eighty percent over two centimetres", "over the first fifteen millimetres": how long it is narrow."""
    tokens = story.sentence.tokens
    return any(
        "over" in tokens[max(0, other.span[0] - _NEAR) : other.span[0]] and other.figures["value"].unit in {"mm", "cm"}
        for other in story.mentions("quantity")
    )
