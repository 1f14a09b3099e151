"""Where the operator is with a device, it is: "we are in the hepatic vein with the ten French sheath", "I've got into
the mesenteric with a cobra", "I'm with the micro at the sac"; "sheath, seven, done", "micro, two four, there".
"""

from extractor.model import Item, Sentence
from extractor.reconciling.kinds.brought import add_verb
from extractor.reconciling.kinds.no_move import NOT_YET
from extractor.reconciling.marks import STOPS

_PLACED = frozenset({"placed"})
_WE, _BE = {"i", "we"}, {"am", "'m", "are", "'re", "have", "'ve", "had", "'d", "got", "went"}
#: Where one is; after "through" and the like one has finished with it.
_THERE = frozenset("in at up over inside into across down beyond past near crossed arriving arrived standing".split())
_FINISHED = frozenset(
    """
    through done finished happy busy stuck trouble lab room theatre store stock office agreement loss budget touch date
    line contact charge love before training luck odds ward
    """.split()
)
#: Right behind a device: somebody who is "here with the six French sheath rep".
_PEOPLE = frozenset("rep reps man woman people company guy lady salesman box boxes story question".split())
_NOT = NOT_YET | {"like"}
#: So many tokens before a device stands "with"; and so many behind it and its sizes, where it is. Set by hand.
_NEAR, _FAR = 3, 5
#: Where one can be, beside the vessels: no more of these is known by name.
_PLACES = frozenset(
    """
    origin ostium sac neck lesion target aneurysm branch vessel vein artery stenosis occlusion crossed fistula graft
    duct tract cavity collection pelvis kidney branches mesenteric renal hepatic splenic celiac coeliac iliac femoral
    popliteal tibial peroneal brachial carotid subclavian cephalic jugular portal gastric lingual uterine bronchial cava
    """.split()
)
_WAYS_IN = {"wire", "microwire", "needle"}
#: Said last, of what was named before: it is in.
_DONE = {"there", "done"}
_PLAIN = {"device", "mark", "side", "place", "part"}


def name_where_with(sentence: Sentence) -> None:
    """Makes an action, in place, of the word that tells that a device named here is where the operator is."""
    if sentence.question:
        return
    for item in [one for one in sentence.items if one.kind == "device" and one.role in {"", "insert"}]:
        if item.name in _WAYS_IN:
            continue  # "we're in the aorta with the wire" tells of the way in
        following = sentence.tokens[item.span[1] : item.span[1] + 1]
        if {*following} & _PEOPLE or "before" in sentence.texts or item.text.endswith("s"):
            continue  # "I've been in there with a cobra before", "we are over with the catheters"
        at = _with(sentence, item)
        if at is not None and _is_there(sentence, item, at):
            add_verb(sentence, at, _PLACED)
            item.where = ""
            return
    _name_done(sentence)


def _with(sentence: Sentence, item: Item) -> int | None:
    first = item.span[0]
    return next((at for at in range(first - 1, max(-1, first - _NEAR - 1), -1) if sentence.tokens[at] == "with"), None)


def _is_there(sentence: Sentence, item: Item, at: int) -> bool:
    """Whether "I am" or the like, and where, stand before "with", or where stands behind the device."""
    tokens = sentence.tokens
    subject = next((n for n in range(at - 1, -1, -1) if tokens[n] in _WE), None)
    if subject is None or not {*tokens[subject + 1 : subject + 2]} & _BE:
        return False
    said = {*tokens[subject:at]}
    if said & (_NOT | STOPS | _FINISHED):
        return False
    somewhere = any(other.kind == "place" for other in sentence.items) or bool(_PLACES & sentence.texts)
    if not somewhere:
        return False  # "I'm over the moon with the cobra"
    behind = tokens[item.span[1] : item.span[1] + _FAR]
    return bool(said & _THERE) or (at - subject <= _NEAR and bool({*behind} & _THERE))


def _name_done(sentence: Sentence) -> None:
    """ "Sheath, seven, done.": nothing else is told in the sentence."""
    tokens, items = sentence.tokens, sentence.items
    at = next((n for n in range(len(tokens) - 1, 0, -1) if tokens[n] in _DONE), None)
    if at is None or tokens[at - 1] != "," or not {*tokens[at + 1 : at + 2]} <= STOPS | {","} or sentence.cues:
        return
    named = [item for item in items if item.kind == "device" and item.span[1] <= at]
    plain = all(item.kind in _PLAIN or item.span[0] >= at for item in items)
    if len(named) == 1 and plain and named[0].role in {"", "insert"} and not named[0].where:
        done = [item for item in items if item.span[0] <= at < item.span[1]]
        sentence.items = [item for item in items if item not in done]
        add_verb(sentence, at, _PLACED)
