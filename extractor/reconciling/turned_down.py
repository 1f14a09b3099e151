"""What was asked for or thought of and then turned down by a short sentence that names nothing: "A second stent, six by
eighteen, to make it longer? I say no.", "A drug balloon, seven by sixty? Skip it."

Unlike a plain "no", which may only be of the size that was asked, such words are of the whole.
"""

from collections.abc import Sequence

from extractor.model import Item, Sentence, Status

#: What such a sentence begins with, once "well", "oh" and the like are left out.
_TURNS_DOWN = tuple(
    tuple(words.split())
    for words in """
    not in this|not in a|not in her|not in him|not for this|not for him|
    not for her|not with this|not with her|not with him|not worth|not necessary|not needed|not required|not indicated|
    not at this|not on this|no need|no point|no call for|no sir|no thank you|no thanks|no use|no reason|i say no|
    we say no|i said no|then no|so no|still no|skip it|skip that|skip this|skip .|skip ,|let 's skip|we skip|i skip|
    we'll skip|we 'll skip|i 'll skip|leave well alone|leave it alone|leave it out|leave that out|leave it closed|
    never mind|don't bother|do not bother|wouldn't bother|i wouldn't bother|forget it|forget that one|i 'd sooner not|
    i 'd rather not|we 'd rather not|rather not|sooner not|better not|best not|didn't have to|did not have to|
    didn't need|did not need|didn't .|didn't ,|i didn't|we didn't|drop the idea|i drop|we drop|drop it|overkill|
    absolutely not|certainly not|definitely not|of course not|i won't|we won't|i shan't|we shan't|i 'll not be|
    we 'll not be|i leave it|we leave it|we 'll leave it|i 'll leave it|let 's not|let 's leave|i think not|
    i don't think so|i refuse|i decline|we decline|maybe not|perhaps not|
    no , leave|no , that 'll do|no , that will do|no , we leave|no , i leave|no , not|
    no , no need|nah , leave|nah , not|
    i never have|we never have|i never do|i never would|i have no wish|i 'm not going to|we 're not going to|
    i am not going to|we are not going to|that 's too much|it 's too much|that is too much|too much|too risky|
    too dangerous|why would|i 'm content|we 're content|i am content|i 'm happy without
    """.replace("\n", " ").split("|")
)
#: … and what puts off what was not for another time anyway.
_NOT_NOW = tuple(
    tuple(words.split())
    for words in "not today|not tonight|not now|not this time|another day|some other day|too late|no time".split("|")
)
_ANOTHER_TIME = frozenset(
    """
    if unless perhaps maybe might may next week month year tomorrow later then should
    monday tuesday wednesday thursday friday saturday sunday
    """.split()
)
#: What may stand before that.
_FIRST = frozenset("well oh ah eh hm hmm och och ach actually look right okay ok ha sorry , ... - honestly but".split())
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


def _turns_down(following: Sentence, openings: Sequence[tuple[str, ...]]) -> bool:
    if following.question or len(following.tokens) > _LONGEST or following.texts & _YET:
        return False
    if any(item.kind in _HAPPENS for item in following.items):
        return False
    tokens = list(following.tokens)
    while tokens and tokens[0] in _FIRST:
        del tokens[0]
    said = tuple(tokens)
    return any(said[: len(words)] == words for words in openings)
