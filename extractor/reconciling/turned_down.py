"""What was asked for or thought of and then turned down by a short sentence that names nothing: "A second stent, six by
eighteen, to make it longer? I say no.", "A drug balloon, seven by sixty? Skip it."

Unlike a plain "no", which may only be of the size that was asked, such words are of the whole; they are the lexicon's.
"""

from extractor.model import Item, Sentence, Status
from extractor.reconciling.marks import STOPS
from extractor.reconciling.questions import RULED_OUT, is_no, is_yes

#: What says only that it is not now.
_NOT_NOW = "not now"
#: What may stand behind it, up to its end or the reason.
_SAID_ALONG = frozenset(
    "thanks thank you doctor sir boss then now here today tonight lah really at all after either".split()
)
#: In a reason these tell that it is done all the same, or of something else.
_ALL_THE_SAME = frozenset(
    """
    but though given give gives go gone goes going got get done in already here hand take taken took put use used have
    has had say said again running fine okay alright right just only wait sorry joking kidding yes other instead next
    """.split()
)
_ANOTHER_TIME = frozenset(
    """
    if unless perhaps maybe might may next week month year tomorrow later then should
    monday tuesday wednesday thursday friday saturday sunday
    """.split()
)
#: It ends so.
_TOLD_ENDS = STOPS - {"?"}
#: No longer in tokens, or it tells more than that. Set by hand, no source.
_LONGEST = 16
#: Then it is only put off.
_YET = frozenset("yet until till first before unless".split())
_HAPPENS = {"device", "drug", "finding", "quantity", "pair"}
#: Question, answer and no come within so many breaths; an answer that asks back says no more words. Set by hand.
_TO_AND_FRO, _ECHO = 2, 3
_THEN_NO = {("then", "no"), ("so", "no"), ("no", "then")}
_ONLY_NO = frozenset("no nope nah naw none never not then so thanks thank you enough too that one it leave , .".split())
#: With one of these the answer tells that it is so already.
_DONE = frozenset("in up down out given gave done placed deployed open opened released already yes yeah".split())


def turn_down(sentence: Sentence, following: Sentence | None) -> None:
    """Rules out, in place, what a sentence asks for or thinks of, where the next one turns it down."""
    if following is None or following.breath - sentence.breath > 1:
        return
    if not _turns_down(following):
        return
    if following.refusal[0] == _NOT_NOW and sentence.texts & _ANOTHER_TIME:
        return
    for item in sentence.items:
        if item.kind in {"device", "drug"} and _open(item, sentence):
            item.status, item.cue = Status.NEGATED, following.first


def turn_down_answered(sentence: Sentence, answer: Sentence | None, last: Sentence | None) -> None:
    """ "A fourth? "Got a three by six." No.", "Atropine, if he's slow? "Seventy now." Then no.": what was asked, or
    offered for it, is ruled out in place where who asked says no once he has heard the answer.
    """
    if not sentence.question or answer is None or last is None or last.breath - sentence.breath > _TO_AND_FRO:
        return
    if answer.question and (len(answer.texts) > _ECHO or not any(item.kind == "quantity" for item in answer.items)):
        return  # "Any pain?" "No.": that is another question
    then = last.tokens[:2] in _THEN_NO and not _happens(last)
    only_no = is_no(last) and last.texts <= _ONLY_NO
    if not (then or only_no) or is_no(answer) or is_yes(answer) or not answer.texts.isdisjoint(_DONE):
        return
    for item in (*sentence.items, *answer.items):
        asked = item.kind == "device" and item.role in RULED_OUT | {""}
        if (asked or (item.kind == "drug" and then)) and item.status in {None, Status.PLANNED, Status.CONSIDERED}:
            item.status, item.cue = Status.NEGATED, last.first


def _open(item: Item, sentence: Sentence) -> bool:
    """Whether it is only asked, asked for or thought of."""
    return item.status in {Status.PLANNED, Status.CONSIDERED} or (sentence.question and item.status is None)


def _happens(sentence: Sentence) -> bool:
    return any(item.kind in _HAPPENS for item in sentence.items)


def _turns_down(following: Sentence) -> bool:
    """Whether a sentence does nothing else: it ends with what turns down, or gives a reason."""
    name, past = following.refusal
    if not name or following.question or len(following.tokens) > _LONGEST or following.texts & _YET:
        return False
    if _happens(following):
        return False
    behind = following.tokens[past:]
    while behind and behind[0] in _SAID_ALONG:
        behind = behind[1:]
    return not behind or behind[0] in _TOLD_ENDS or (behind[0] == "," and _ALL_THE_SAME.isdisjoint(behind))
