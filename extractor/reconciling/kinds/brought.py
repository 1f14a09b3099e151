"""Verbs that bring a device somewhere, read from the frame of the clause: "I bring the catheter up to the renal", "the
sheath was pushed into the iliac", "I enter the renal with the Cobra". The verb becomes an action.
"""

from collections.abc import Sequence

from extractor.model import Item, Sentence, Status
from extractor.reconciling.kinds.no_move import MODAL
from extractor.reconciling.marks import OUT_ENDS, STOPS
from extractor.reconciling.story import STORES

_TOLD = {"placed", "removed", "particle", "particle out", "exchange", "deploy"}
_PLACED, _REMOVED = frozenset({"placed"}), frozenset({"removed"})
#: What is done to a device: with where it goes it is brought there, with "out" or "away" it comes out.
_BRING = frozenset(
    """
    bring brings brought bringing push pushes pushed pushing get gets got getting take takes took taken lead leads led
    guide guides guided direct directs directed steer steers steered manoeuvre manoeuvred maneuver maneuvered deliver
    delivers delivered carry carries carried drive drives drove driven move moved moves slide slides slid run runs ran
    draw draws drew drawn pull pulls pulled work works worked advance advances advanced pass passes passed insert
    introduce position place put send sent feed fed
    """.split()
)
_PUT = frozenset("put place placed insert inserted introduce introduced position positioned".split())
_LAY = frozenset("put laid set lay".split())
_PULL = frozenset("pull pulls pulled pulling".split())
#: At the head of a clause these do it, or have it done; with one of ``_LATER_ON`` it is for later.
_DO = frozenset("take taking pull pulling get bring draw slide move lift ease".split())
_HEADS = frozenset(", and then so now okay ok right please well good just i'm we're".split())
_LATER_ON = frozenset("when if once until till after before unless tomorrow later tonight will would should".split())
#: What a device does itself.
_GO = frozenset("comes came goes went gone travels travelled moves slides slid runs ran".split())
_IS = frozenset("is was are were been be being".split())
_INTO = frozenset("into inside across through over past beyond to up down around round".split())
_OUT = frozenset("out away off".split())
#: These need nothing after them but what is reached.
_REACH = frozenset("reaches reached attains attained".split())
#: What is done with a device.
_ENGAGE = frozenset(
    """
    enter entered cannulate cannulated catheterise catheterised catheterize catheterized cross crossed select selected
    engage engaged hook hooked probe probed intubate intubated negotiate negotiated traverse traversed
    """.split()
)
#: What comes out does so itself, or it is said goodbye to; and what may stand between it and that.
_LEAVE = frozenset("leaves leave retires retired bye goodbye bye-bye".split())
_BEFORE_LEAVING = frozenset(", now then he she it they is was were also just".split())
#: All that may tell of a way.
_VERBS = _BRING | _PUT | _LAY | _GO | _REACH | _ENGAGE | _PULL | _DO | _LEAVE
_BY = frozenset({"with", "using", "by"})
_ONWARD = frozenset("up down over on across along".split())
_TO = frozenset({"to", "into", "onto"})
_ARTICLES = frozenset("the his her this that a an my our".split())
_SPINE = frozenset("l t l1 l2 l3 l4 l5 t10 t11 t12".split())
_IN_AND_OUT = frozenset("in and out".split())
_WE = frozenset("i we he she they you".split())
#: Between a subject and its verb.
_HAVE = frozenset("have has had 've 's now then also just first again slowly gently carefully easily".split())
_WISHES = MODAL | {"to", "let", "let's", "lets", "can't", "cannot", "not", "n't", "never", "want", "if", "might", "may"}
_THEN_ENDS = STOPS | {",", "and", "again"}
#: Behind what tells that it is out, nothing that says where else it is.
_OUT_ENDS = OUT_ENDS | {"also", "then", "as"}
#: "Gone", and one of these behind it: it is broken, lost, sold out or went somewhere else.
_SPOILT = frozenset(
    """
    kinked broken broke burst bent perforated through too down up order ordered back-order stock need needs where under
    subintimal far into
    """.split()
)
#: Said of what is always done so, was done elsewhere or is only a thing on a table.
_NO_CASE = frozenset(
    "rule standard usually usual normally always often trial guidelines time expired stock tray shelf box table".split()
)
_NOT_THERE = _NO_CASE | (_WISHES - {"to"}) | _LATER_ON | {"please", "kindly", "going", "plan", "planned", "next"}
#: So many tokens behind a verb stands where its object goes; set by hand, no source.
_FAR = 14
#: So many tokens behind a device that is pulled, one of these tells that it only moves, or what is seen meanwhile.
_GOES_ON = 7
_MOVED = frozenset(
    """
    push pushing advance watch watching stop stops centimetre centimetres millimetre millimetres centimeter centimeters
    ostium origin tip see seeing feel feeling bit little touch count forward turn until through to back
    """.split()
)
#: Before a device: what is gone is in it or of it, not the device.
_PARTS_OF = frozenset("in of on from around at inside into with through along".split())
#: A sentence that calls an order off is no longer, in tokens; set by hand, no source.
_CALLING_OFF = 8
#: And so many a device that is pulled, with no more said; set by hand, no source.
_CLOSE = 4


def name_moves(sentence: Sentence, following: Sentence | None = None) -> None:
    """Makes actions, in place, of verbs that bring a device of role insert somewhere and are none yet."""
    tokens = sentence.tokens
    devices = [item for item in sentence.items if _is_named(item)]
    for at in range(len(tokens)) if devices and not sentence.question and sentence.texts & _VERBS else ():
        if tokens[at] not in _VERBS or _WISHES & {*tokens[max(0, at - 3) : at]}:
            continue
        if tokens[at] in _DO and _is_called_off(following):
            continue
        meaning = _meaning(sentence, devices, at)
        said = next((item for item in sentence.items if item.span[0] <= at < item.span[1]), None)
        if meaning and said is None:
            verb = add_verb(sentence, at, meaning)
            if verb.text == "gone":
                verb.text = f"{verb.before} gone"  # of one thing alone, as "is out"
        elif meaning and said is not None and said.kind == "action" and not said.meanings & _TOLD:
            said.meanings = meaning
        if meaning and tokens[max(0, at - 2) : at] == ("could", "be") and "if" not in sentence.texts:
            _settle(sentence)
    if sentence.texts >= _IN_AND_OUT:
        _part_in_and_out(sentence)


def _is_called_off(following: Sentence | None) -> bool:
    """ "Pull the sheath." "Not yet, wait.": what was ordered is not done."""
    said = following.tokens[:2] if following is not None and len(following.tokens) <= _CALLING_OFF else ()
    return said[:1] in {("no",), ("wait",), ("stop",), ("leave",)} or said in {
        ("not", "yet"),
        ("hold", "on"),
        ("oh", "no"),
    }


def name_arrivals(sentence: Sentence) -> None:
    """ "Pigtail, five French, up to L2.", "the cobra over to the left internal": where a device has come to, with no
    verb; makes it an action, in place. Asked for or to be, it is not there.
    """
    if sentence.question or sentence.texts & _NOT_THERE:
        return
    for device in [item for item in sentence.items if _is_named(item)] if _TO & sentence.texts else ():
        if device.where or device.status is not None or device.cue or not device.figures.keys() - {"bare"}:
            continue  # "cobra to the left": it may be in already
        at = _past(sentence, device)
        while at < len(sentence.tokens) and sentence.tokens[at] in {",", "then", "now"}:
            at += 1
        first = at
        at += sentence.tokens[at : at + 1] != () and sentence.tokens[at] in _ONWARD
        if not {*sentence.tokens[at : at + 1]} & _TO or not _is_place(sentence, at + 1):
            continue
        if at == first and _is_side_alone(sentence, at + 1):
            continue  # "pigtail, five French, to the left": where somebody is to lay it
        said = next((item for item in sentence.items if item.span[0] <= at < item.span[1]), None)
        if said is None:
            add_verb(sentence, first, _PLACED)
        elif said.kind == "action" and not said.meanings & _TOLD:
            said.meanings = _PLACED


def _is_place(sentence: Sentence, at: int) -> bool:
    """Whether a place, a side or a vertebra is named at a token, or right behind an article there."""
    tokens = sentence.tokens
    at += tokens[at : at + 1] != () and tokens[at] in _ARTICLES
    if tokens[at : at + 1] == ():
        return False
    if tokens[at] in _SPINE:
        return True
    return any(item.kind in {"place", "part", "side"} and item.span[0] == at for item in sentence.items)


def _is_side_alone(sentence: Sentence, at: int) -> bool:
    """ "To the left", and no vessel named behind it."""
    tokens = sentence.tokens
    at += tokens[at : at + 1] != () and tokens[at] in _ARTICLES
    side = next((item for item in sentence.items if item.kind == "side" and item.span[0] == at), None)
    if side is None:
        return False
    return not any(item.kind in {"place", "part"} and item.span[0] >= at for item in sentence.items)


def _part_in_and_out(sentence: Sentence) -> None:
    """ "Eight in and out", "twelve dilator over it, in and straight out": two actions of the device before them."""
    tokens = sentence.tokens
    for at in range(1, len(tokens) - 2):
        out = next((n for n in (at + 2, at + 3) if tokens[n : n + 1] == ("out",)), 0)
        if tokens[at : at + 2] != ("in", "and") or not out or not {*tokens[out + 1 : out + 2]} <= _THEN_ENDS:
            continue
        if not any(one.kind == "device" and one.role in {"", "insert"} for one in sentence.items if one.span[1] <= at):
            continue
        for place, meaning in ((at, _PLACED), (out, _REMOVED)):
            if not any(other.span[0] <= place < other.span[1] for other in sentence.items):
                add_verb(sentence, place, meaning)
        coming = next(n for n, other in enumerate(sentence.items) if other.span[1] > out)  # "comes out" is one action
        words, begins = sentence.items[coming].words, sentence.items[coming].span[0]
        sentence.items.insert(coming, Item("pronoun", words, "it", name="it", span=(begins, begins)))


def _settle(sentence: Sentence) -> None:
    """ "The catheter could be advanced into the branch": it was."""
    for item in sentence.items:
        if item.status is Status.CONSIDERED and item.cue.startswith("could"):
            item.status, item.cue = None, ""


def _is_named(item: Item) -> bool:
    inserted = item.kind == "device" and item.role in {"", "insert"}
    return inserted and bool(item.name or item.figures.keys() & {"gauge", "wire_diameter"})


def _meaning(sentence: Sentence, devices: Sequence[Item], at: int) -> frozenset[str]:
    """What a verb tells of the device that is its object or its subject."""
    tokens, verb = sentence.tokens, sentence.tokens[at]
    before = [item for item in devices if item.span[1] <= at and not _parted(tokens, item.span[1], at)]
    behind = [item for item in devices if at < item.span[0] <= at + _FAR and not _parted(tokens, at, item.span[0])]
    by = [item for item in (*before, *behind) if item.where in _BY or tokens[item.span[0] - 1] in _BY]
    if verb in _ENGAGE:
        return _PLACED if by and _has_subject(tokens, at) else frozenset()
    subject = bool(before) and before[-1].where in {"", "for"}
    if verb in _REACH:
        return _PLACED if subject and tokens[at + 1 : at + 2] == ("the",) else frozenset()
    if subject and verb == "goes" and tokens[at + 1 : at + 2] in {(".",), (",",)} and before[-1].name != "needle":
        return _PLACED  # "the sheath of six French goes."
    if subject and _is_gone(tokens, at, before[-1].span[0], _past(sentence, before[-1])):
        return _REMOVED
    if subject and _is_pulled_by(tokens, at, before[-1].span[0], _past(sentence, before[-1])):
        return _REMOVED
    if verb in _DO and behind and behind[0].where == "" and _is_done_now(sentence, at):
        past = _past(sentence, behind[0])
        ended = not {*tokens[past : past + 1]} - _OUT_ENDS
        stays = _MOVED & {*tokens[past : past + _GOES_ON]}
        if verb in _PULL and ended and not stays and behind[0].span[0] - at <= _CLOSE:
            return _REMOVED  # "Pull the wire.", "pulling my eighteen"
        return _way(tokens, past) & _REMOVED if not ended else frozenset()  # "take the stiff wire away"
    if verb in _LAY - _BRING:
        return _PLACED if subject and _is_laid(tokens, at) else frozenset()
    if subject and verb in _LAY and _is_laid(tokens, at):
        return _PLACED
    if subject and (verb in _GO or tokens[at - 1] in _IS or (at > 1 and tokens[at - 2] in _IS)):
        return _way(tokens, at + 1)
    if verb in _PULL and behind and behind[0].where == "" and _has_subject(tokens, at):
        past = _past(sentence, behind[0])
        return _REMOVED if tokens[past : past + 1] in {(",",), (".",), ("and",), (), ("now",)} else _way(tokens, past)
    if verb in _PUT and behind and behind[0].where == "" and (_has_subject(tokens, at) or _goes_on(tokens, at)):
        return _PLACED
    if verb in _BRING and behind and behind[0].where == "" and _has_subject(tokens, at):
        return _way(tokens, _past(sentence, behind[0]))
    return frozenset()


def _is_gone(tokens: Sequence[str], at: int, first: int, past: int) -> bool:
    """ "The pigtail's gone.", "sheath pulled, band on", "sheath, pulled": nothing between what it is and that."""
    behind = tokens[at + 1 : at + 3]
    if {*behind[:1]} - _OUT_ENDS or (behind[:1] in {("too",), ("now",)} and {*behind[1:]} - _OUT_ENDS):
        return False
    if {*tokens[max(0, first - 2) : first]} & _PARTS_OF:
        return False  # "the kink in the sheath's gone"
    if behind[:1] in {(",",), ("and",)} and {*tokens[at + 2 : at + 8]} & _SPOILT:
        return False
    if tokens[at] == "gone":
        return at == past or (tokens[at - 1] in {"'s", "is", "are"} and at - 1 <= past)
    if tokens[at] in _LEAVE:
        return {*tokens[past:at]} <= _BEFORE_LEAVING
    return tokens[at] == "pulled" and {*tokens[past:at]} <= {",", "now", "then"}


def _is_pulled_by(tokens: Sequence[str], at: int, first: int, past: int) -> bool:
    """ "So the fourteen, I pull.", "the stiff wire I take away": what is pulled before who pulls it; not "you hold the
    sheath, I pull".
    """
    first -= first > 0 and tokens[first - 1] in _ARTICLES
    if first and tokens[first - 1] not in _HEADS | STOPS:
        return False
    if not at or tokens[at - 1] not in {"i", "we"} or not {*tokens[past : at - 1]} <= {",", "now", "then"}:
        return False
    behind = at + 2 if tokens[at + 1 : at + 2] in {("it",), ("that",)} else at + 1
    ended = not {*tokens[behind : behind + 1]} - _OUT_ENDS
    if tokens[at] in _PULL and ended:
        return True
    return tokens[at] in _BRING and tokens[behind : behind + 1] != () and _way(tokens, behind) == _REMOVED


def _is_done_now(sentence: Sentence, at: int) -> bool:
    """Whether a verb heads its clause, and at no other time: not "pull the sheath when he is warm"."""
    headed = not at or sentence.tokens[at - 1] in _HEADS | STOPS
    return headed and not sentence.texts & _LATER_ON


def _is_laid(tokens: Sequence[str], at: int) -> bool:
    """ "The sheath is put", "sheath seven French I put": what was put before it is named behind it, or nothing."""
    if tokens[at - 1] in _IS:
        stored = {*tokens[at + 1 : at + 5]} & STORES  # "is put in the bin"
        return not stored and not {*tokens[at + 1 : at + 2]} & (_OUT | {"back", "on", "aside", "up", "by", "down"})
    return tokens[at - 1] in {"i", "we"} and {*tokens[at + 1 : at + 2]} <= STOPS | {",", "it", "now"}


def _past(sentence: Sentence, item: Item) -> int:
    """The token after a mention and the sizes said behind it."""
    told = max((figure.words[1] for figure in item.figures.values()), default=0) - item.words[0]
    return max(item.span[1], item.span[0] + told)


def _way(tokens: Sequence[str], at: int) -> frozenset[str]:
    """Where it goes, by the words at a place."""
    while at < len(tokens) and (tokens[at] in _HAVE or tokens[at] in {",", "back"}):
        at += 1
    word = tokens[at] if at < len(tokens) else ""
    following = tokens[at + 1] if at + 1 < len(tokens) else ""
    if word in _OUT:
        aside = (
            {"from", "the", "its", "my", "that", "this", "a", "her", "his", "our"} if word in {"off", "away"} else set()
        )
        return _REMOVED if following not in {"of", "to", "through"} | aside else frozenset()
    return _PLACED if word in _INTO else frozenset()


def _parted(tokens: Sequence[str], first: int, last: int) -> bool:
    return bool(STOPS & {*tokens[first:last]})


def _goes_on(tokens: Sequence[str], at: int) -> bool:
    """ "I take the six out and put an eight": one subject for both."""
    return tokens[at - 1] == "and" and bool({"i", "we"} & {*tokens[: at - 1]})


def _has_subject(tokens: Sequence[str], at: int) -> bool:
    """ "I bring", "we have now crossed", "was entered": told, not asked for."""
    at -= 1
    while at >= 0 and tokens[at] in _HAVE:
        at -= 1
    return at >= 0 and tokens[at] in _WE | _IS


def add_verb(sentence: Sentence, at: int, meanings: frozenset[str]) -> Item:
    """A token that is no item yet becomes an action, in place, with the words beside it as its evidence."""
    place = next((n for n, item in enumerate(sentence.items) if item.span[0] > at), len(sentence.items))
    past = sentence.items[place - 1].words[1] if place else sentence.words[0]
    word = min(past, sentence.words[1] - 1)
    verb = Item("action", (word, word + 1), sentence.tokens[at], meanings=meanings, span=(at, at + 1))
    verb.before = sentence.tokens[at - 1] if at else ""
    verb.after = sentence.tokens[at + 1] if at + 1 < len(sentence.tokens) else ""
    sentence.items.insert(place, verb)
    return verb
