"""What was asked for or thought of and then turned down by a short sentence that names nothing: "A second stent, six by
eighteen, to make it longer? I say no.", "A drug balloon, seven by sixty? Skip it."

Unlike a plain "no", which may only be of the size that was asked, such words are of the whole.
"""

import re

from extractor.model import Item, Sentence, Status
from extractor.reconciling.marks import STOPS

#: What such a sentence begins with, once "well", "oh" and the like are left out; it ends with that, or gives a reason.
_TURNS_DOWN = re.compile(
    r"""(?:
    (?:(?:no|nah),[ ])?not[ ](?:worth(?:[ ](?:it|the[ ](?:risk|trouble|bother)))?|necessary|needed|required|indicated|
      that[ ]one|doing[ ](?:it|that)|(?:in|for|with|on)[ ](?:him|her|them|it)|
      (?:in|for|with|on|at)[ ](?:(?:this|that|a|an|such|the)[ ])(?:\w+[ ]){0,3}?(?:patient|lady|man|gentleman|one|case|
        vessel|vein|artery|woman|girl|boy|chap|bloke|fellow|fella|leg|arm|kidney|liver|child|baby|age|stage|size))
    |no[ ](?:need|point|call|use|reason)(?:[ ](?:for|in|of)[ ](?:it|that|this|one|them))?
    |no[ ](?:sir|thank[ ]you|thanks)|(?:i[ ]say|we[ ]say|i[ ]said|then|so|still)[ ]no
    |(?:let[ ]'s|we|i|we[ ]'ll|i[ ]'ll)[ ]skip(?:[ ](?:it|that|this|that[ ]one))?|skip(?:[ ](?:it|that|this))?
    |(?:no,[ ])?leave[ ](?:well[ ]alone|it[ ]alone|it[ ]out|that[ ]out|it[ ]closed|it[ ]be)
    |no,[ ]leave(?:[ ]it|[ ]that)?
    |(?:no,[ ])?(?:i|we|we[ ]'ll|i[ ]'ll|let[ ]'s)[ ]leave
      [ ](?:it|that)(?:[ ](?:alone|out|at[ ]that|be|so|as[ ]it[ ]is))?
    |never[ ]mind(?:[ ](?:that|it))?|(?:don't|do[ ]not|wouldn't|i[ ]wouldn't)[ ]bother|forget[ ](?:it|that[ ]one)
    |(?:i[ ]'d[ ]|we[ ]'d[ ])?(?:sooner|rather)[ ]not|(?:better|best|maybe|perhaps)[ ]not|let[ ]'s[ ]not|i[ ]think[ ]not
    |(?:didn't|did[ ]not)(?:[ ]have[ ]to|[ ]need(?:[ ](?:it|to))?)?|(?:i|we)[ ]didn't(?:[ ]need(?:[ ](?:it|to))?)?
    |(?:i[ ]|we[ ])?drop[ ](?:the[ ]idea|it|that)|overkill|(?:absolutely|certainly|definitely|of[ ]course)[ ]not
    |(?:i|we)[ ](?:won't|shan't|refuse|decline)|i[ ]don't[ ]think[ ]so|no,[ ]that[ ]'ll[ ]do|no,[ ]that[ ]will[ ]do
    |(?:i|we)[ ](?:never[ ](?:have|do|would)|have[ ]no[ ]wish)|(?:i[ ]'m|we[ ]'re|i[ ]am)[ ]not[ ]going[ ]to
    |(?:that[ ]'s[ ]|it[ ]'s[ ]|that[ ]is[ ])?too[ ](?:much|risky|dangerous)|why[ ]would[ ](?:i|we)
    |i[ ]'m[ ]happy[ ]without(?:[ ]it)?
    )(?!\w)""",
    re.VERBOSE,
)
#: … and what puts off what was not for another time anyway.
_NOT_NOW = re.compile("not today|not tonight|not now|not this time|another day|some other day")
#: What may stand behind either, up to its end or the reason.
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
#: What may stand before that.
_FIRST = frozenset("well oh ah eh hm hmm och och ach actually look right okay ok ha sorry , ... - honestly but".split())
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
    if not _turns_down(following, _TURNS_DOWN) and not (
        _turns_down(following, _NOT_NOW) and not sentence.texts & _ANOTHER_TIME
    ):
        return
    for item in sentence.items:
        if item.kind in {"device", "drug"} and _open(item, sentence):
            item.status, item.cue = Status.NEGATED, following.first


def _open(item: Item, sentence: Sentence) -> bool:
    """Whether it is only asked, asked for or thought of."""
    return item.status in {Status.PLANNED, Status.CONSIDERED} or (sentence.question and item.status is None)


def _turns_down(following: Sentence, opening: re.Pattern[str]) -> bool:
    if following.question or len(following.tokens) > _LONGEST or following.texts & _YET:
        return False
    if any(item.kind in _HAPPENS for item in following.items):
        return False
    tokens = list(following.tokens)
    while tokens and tokens[0] in _FIRST:
        del tokens[0]
    said = opening.match(" ".join(tokens).replace(" ,", ","))
    if said is None:
        return False
    behind = said.string[said.end() :].replace(",", " ,").split()
    while behind and behind[0] in _SAID_ALONG:
        del behind[0]
    return not behind or behind[0] in _TOLD_ENDS or (behind[0] == "," and _ALL_THE_SAME.isdisjoint(behind))
