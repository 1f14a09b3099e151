""" "We've placed a six by ten coil", "closed with two coils, five by ten", "two coils were then deposited": embolics
that the verb tells to be in.
"""

from collections.abc import Sequence
from itertools import pairwise

from extractor.model import Sentence, Status
from extractor.reconciling.size_roles import POURED
from extractor.reconciling.story import STORES, Hearing, Story, Thing

#: What was done to an embolic that is in.
_DONE = frozenset(
    """
    placed deployed implanted inserted positioned released detached delivered deposited laid left popped parked dropped
    packed put used pushed given injected instilled administered infused gave poured needed took did
    """.split()
)
#: What was done to a vessel with one.
_TREATED = frozenset(
    """
    sacrificed secured shut treated excluded coiled plugged embolised embolized occluded closed filled packed sealed
    coiling embolisation embolization occlusion sclerosed sclerosing sclerotherapy
    """.split()
)
_WITH = {"with", "using", "by"}
#: These are written like the present or like a side: told as done only with a helping verb.
_ALIKE = {"put", "left"}
_HELPING = {"have", "has", "'ve", "was", "were", "had", "been", "'s", "are", "is"}
_WHO = {"i", "we", "he", "she", "they", "it", "you"}
_AUXILIARY = {"was", "were", "been", "have", "has", "had", "'ve"}
#: What a vessel or a patient did to one.
_RECEIVED = {"got", "received"}
#: Behind it in the passive, besides: how much it took.
_TOOK = _DONE | {"enough", "sufficient", "required", "necessary"}
#: What was performed or went well.
_DEED = {"deployment", "placement", "detachment", "release", "embolisation", "embolization", "coiling", "injection"}
_WELL = {"successful", "uneventful", "uncomplicated", "successfully"}
#: What may stand between the helping verb or who did it and the verb, so many words at most.
_BETWEEN = 4
#: With one of these it is not in yet.
_NOT_IN = STORES | frozenset("opened want need ready waiting please next will 'll would if when nearly almost".split())
#: Being given now, with one of these before it; and what one says of it while doing it.
_GIVING = {"giving", "injecting", "instilling", "infusing", "lacing", "pushing", "spraying"}
_IS_DOING = {"am", "are", "'m", "'re", "is"}
_INJECTS = {"inject", "instil", "instill", "infuse", "lace", "leave", "spray", "fill"}
#: Before "goes": what is named behind it is in.
_HITHER = {"there", "in", "off", "away"}
#: Behind "went": it is in.
_INTO = {"in", "into", "down", "through", "to", "up"}
#: Behind "I give": what was asked for goes in.
_IT = {"it", "this", "that", "them", "both"}
#: What is told with one of these is not so yet.
_WHEN = {"when", "if", "once", "after", "before", "will", "until"}
#: Said of what is done at times, or was at another time.
ANOTHER_TIME = frozenset(
    "often usually always generally typically sometimes normally last previously earlier ago once visit".split()
)


class ToldByVerb(Hearing):
    """Hears, after all the others, what the verb tells to be in that stands before it or far behind."""

    def end(self, story: Story, sentence: Sentence) -> None:
        if not any(item.role == "embolise" for item in sentence.items):
            return
        for thing in [thing for thing in story.things if thing.asked is not None and thing.role == "embolise"]:
            self._told(story, sentence, thing)

    @staticmethod
    def _told(story: Story, sentence: Sentence, thing: Thing) -> None:
        asked = thing.asked
        if asked is None or (thing.name in POURED and not asked.values.keys() & {"volume", "count"}):
            return
        if asked.number != story.number or asked.status is not Status.PLANNED or thing.where != "asked":
            return
        named = (item for item in sentence.items if item.kind == "device" and item.role == thing.role)
        item = next((item for item in named if asked.words[0] <= item.words[0] < asked.words[1]), None)
        if item is None or item.status is not None:
            return
        poured = thing.name in POURED and (being_given(sentence) or _into_a_tract(sentence))
        if not (poured or told_before(sentence, item.span[1]) or told_after(sentence, item.span[1])):
            return
        story.settle(asked, Status.DONE, item, f"{thing.role}/told-by-verb")
        thing.asked, thing.done, thing.where, thing.left = None, asked, "used", 0


def _into_a_tract(sentence: Sentence) -> bool:
    """ "Two millilitres gelatine in the tract", "I use foam, eight mils": what is poured goes in as it is told."""
    uses = any(who in {"i", "we"} and does == "use" for who, does in pairwise(sentence.tokens))
    tract = bool({"tract", "track"} & sentence.texts)
    return (uses or tract) and Status.PLANNED not in sentence.cues and not sentence.texts & _NOT_IN


def told_before(sentence: Sentence, at: int) -> bool:
    """Whether the words before this token tell that what is named there has gone in."""
    if _is_not_so(sentence):
        return False
    said = sentence.tokens[:at]
    if any(first in _HITHER and then in {"goes", "go", "went"} for first, then in pairwise(said)):
        return True  # "there goes the coil"
    performed = any("performed" in item.meanings and item.status is None for item in sentence.items)
    return (
        any(
            _is_told(said, place)
            or (word in _TREATED and _with_it(said, place) and (performed or _helped(said, place)))
            for place, word in enumerate(said)
        )
        or _deed(said, performed)
        or said[-2:] in {("that", "was"), ("this", "was")}
    )


def _is_not_so(sentence: Sentence) -> bool:
    """Whether a sentence asks, denies, or tells of what is to come or was at another time."""
    return sentence.question or bool(sentence.texts & (_NOT_IN | ANOTHER_TIME)) or Status.NEGATED in sentence.cues


def _deed(said: Sequence[str], performed: bool) -> bool:
    """ "Deployment of a six by twenty coil was performed", "successful deployment of …"."""
    named = any(deed in _DEED and of in {"of", "with"} for deed, of in pairwise(said))
    return named and (performed or bool(_WELL & {*said}))


def _is_told(said: Sequence[str], place: int) -> bool:
    """Whether the verb at a place is told of somebody, or heads its sentence, and what follows it is its object."""
    word = said[place]
    if word not in _DONE | _RECEIVED or any(between in {".", "...", "but"} for between in said[place + 1 :]):
        return False
    led = {*said[max(0, place - _BETWEEN) : place]}
    if led & {"to", "not", "be", "'ll", "will"}:
        return False
    if word in _RECEIVED:
        return bool(place) and not led & (_WHO - {"he", "she"} | _HELPING)  # "the trunk got a plug"
    return bool(led & _HELPING) or (word not in _ALIKE and (bool(led & _WHO) or not place))


def told_after(sentence: Sentence, past: int) -> bool:
    """ "two coils of two by six were then deposited": the verb behind it, in the passive."""
    said = sentence.tokens[past:]
    if _is_not_so(sentence):
        return False
    lies = any(verb in {"lie", "lies", "sit", "sits"} for verb in said) and "now" in sentence.texts
    went = lies or any(verb in {"went", "gone"} and where in _INTO for verb, where in pairwise(said))
    if went or ("stasis" in said and Status.PLANNED not in sentence.cues):
        return True
    return any(
        word in _TOOK and _AUXILIARY & {*said[max(0, at - _BETWEEN) : at]} and not {*said[:at]} & {"and", "but", "..."}
        for at, word in enumerate(said)
    )


def _helped(said: Sequence[str], place: int) -> bool:
    led = {*said[max(0, place - _BETWEEN) : place]}
    return not place or bool(led & (_HELPING | _WHO if said[place].endswith("ed") else _HELPING))


def _with_it(said: Sequence[str], place: int) -> bool:
    return bool({*said[place + 1 :]} & _WITH)


def being_given(sentence: Sentence) -> bool:
    """ "I'm giving now heparin, five thousand", "we instil alteplase": who tells what is done just now."""
    said = sentence.tokens
    if sentence.question or sentence.texts & _WHEN:
        return False
    doing = any(verb in _GIVING and _IS_DOING & {*said[max(0, at - 3) : at]} for at, verb in enumerate(said))
    here = any(first == "here" and then in {"go", "goes", "comes", "come"} for first, then in pairwise(said))
    injects = any(who in {"i", "we"} and does in _INJECTS for who, does in pairwise(said))
    return doing or here or injects or gives_it(said) or _as_we_speak(said)


def _as_we_speak(said: Sequence[str]) -> bool:
    """ "The anaesthetist gives five thousand as we speak." """
    return "gives" in said and ("as", "we", "speak") in zip(said, said[1:], said[2:], strict=False)


def gives_it(said: Sequence[str]) -> bool:
    """ "I give it myself, through the guide": what was just asked for."""
    return ("give" in said or "push" in said) and any(
        who in {"i", "we"} and does in {"give", "push"} and what in _IT
        for who, does, what in zip(said, said[1:], said[2:], strict=False)
    )
