"""What was asked for or thought of and then turned down by a short sentence that names nothing: "A second stent, six by
eighteen, to make it longer? I say no.", "A drug balloon, seven by sixty? Skip it."

Unlike a plain "no", which may only be of the size that was asked, such words are of the whole; they are the lexicon's.
"""

from extractor.model import Item, Sentence, Status
from extractor.reconciling.marks import STOPS

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


def _open(item: Item, sentence: Sentence) -> bool:
    """Whether it is only asked, asked for or thought of."""
    return item.status in {Status.PLANNED, Status.CONSIDERED} or (sentence.question and item.status is None)


def _turns_down(following: Sentence) -> bool:
    """Whether a sentence does nothing else: it ends with what turns down, or gives a reason."""
    name, past = following.refusal
    if not name or following.question or len(following.tokens) > _LONGEST or following.texts & _YET:
        return False
    if any(item.kind in _HAPPENS for item in following.items):
        return False
    behind = following.tokens[past:]
    while behind and behind[0] in _SAID_ALONG:
        behind = behind[1:]
    return not behind or behind[0] in _TOLD_ENDS or (behind[0] == "," and _ALL_THE_SAME.isdisjoint(behind))
