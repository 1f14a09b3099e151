"""Talk that goes on: who tells of another visit, of what one would do, of a rule or of a plan goes on telling of it in
the sentences that follow, until something happens now.

"Three weeks ago they put a six by forty stent. They took it to twelve." The second sentence has no word for the time;
it is of the same visit. Sentences of another patient tell nothing of this case at all. What opens such talk is mostly a
cue of ``lexicons/talk.toml``; how far it goes on is told here.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from extractor.model import Item, Sentence, Status

#: Kinds of item that tell of something.
_TELLING = {"device", "drug", "finding", "action", "quantity", "pair"}
_NAMED = {"device", "drug", "finding", "pair"}
#: So many sentences, and breaths, after the last one of its kind such talk is over. Set by hand, no source.
_GOES_ON, _BREATHS = 3, 2
#: These speak of now.
_NOW = frozenset("now today please let let's".split())
_TURNS_TO_NOW = {"okay", "ok", "right", "here's", "next", "so"}
#: Behind who speaks: what goes on now, or is about to.
_PRESENT = frozenset(
    "'m 'll 've 're am are have will shall go take put give use place inflate deploy open start come leave want need "
    "see measure get close press keep change".split()
)
_SPEAKERS = {"i", "we"}
#: Verbs that tell what is over.
_OVER = frozenset(
    "took put used gave went got had did was were left stuck tried held saw found came ended brought chose blew let "
    "went kept made sent stood broke burst said told wrote".split()
)
_SHORT = 4
_STILL_SO = {"is", "'s", "are", "has", "have", "'ve", "a", "the"}
_NOT_OVER = {"hundred", "need", "speed", "feed", "bleed", "indeed", "bed", "red", "reed", "seed"}
#: Who does it, where it is nobody here.
_OTHERS = {"they", "somebody", "someone", "nobody"}
_COLLEAGUES = frozenset("colleague colleagues team surgeon surgeons doctor doctors hospital department ward".split())
#: What they did, or had done, with a thing.
_DID = frozenset(
    "put took placed used gave left inflated dilated stented deployed implanted ballooned coiled embolised glued "
    "closed pressed punctured tried injected plugged went".split()
)
_AUXILIARY = frozenset("had have 'd 've already even also then just only first".split())
#: Where none of this case happens, and what stands before it.
_PLACES = frozenset(
    "ward casualty ambulance bay clinic hospital centre center admission resus helicopter upstairs downstairs icu itu "
    "care abroad elsewhere".split()
)
_AT_PLACE = frozenset("in at on from by were was gave given had".split())
_TO_COME = frozenset("will 'll shall would 'd tonight tomorrow later to if".split())
#: What comes behind one of these is another matter.
_TURNS = {"so", "but", "now", "today", "therefore"}
#: A sentence that begins so goes on with the one before it.
_JOINS = {"and", "then", "also", "plus", "after", "afterwards", "later", "which", "with", "to", "up", "at", "for"}
#: What asks, and what makes it a question of what one would do.
_ASKS = {"what", "which", "how", "where", "would"}
_WOULD = {"would", "'d"}
#: "I take a six" may go on with what one would do.
_OPTIONS = {"take", "go", "use", "put", "give", "inflate", "deploy", "start"}
#: A lesson, and who does what is taught.
_TEACHES = frozenset(
    "suppose imagine assume teaching lecture lectures taught teach student students fellow fellows trainee asks asked "
    "tell course class".split()
)
_ANYBODY = {"you", "one", "we", "i"}
#: … and no wish.
_WISH = {"like", "want", "say", "call", "be", "rather"}
#: So many tokens are the beginning of a sentence.
_BEGINNING = 4
_GOING_ON = {"is", "'s", "are", "comes", "goes", "sits", "lies"}


@dataclass(slots=True)
class _Frame:
    """What is told of: its status (None: of another patient), and where it was last told of."""

    status: Status | None
    number: int
    breath: int
    first: int  # the first word of it
    asks: bool = False  # the next sentence answers
    heading: bool = False  # a meeting: all of it is of another day


class Frames:
    """Sentences of a case in order -> the status of what goes on with the talk before it, in place."""

    def __init__(self) -> None:
        self._open: _Frame | None = None
        self.begins: int | None = None  # the first word of what the sentence heard last goes on with

    def hear(self, sentence: Sentence, number: int) -> None:
        """The next sentence, and its number in the case."""
        frame, self.begins = self._open, None
        if frame is not None and (
            number - frame.number > _GOES_ON or sentence.breath - frame.breath > _BREATHS or _happens(sentence, frame)
        ):
            frame = self._open = None
        if frame is not None and _goes_on(sentence, frame, number):
            _set(_before_turn(sentence), frame.status)
            self.begins = frame.first
            frame.number, frame.breath, frame.asks = number, sentence.breath, sentence.question
        else:
            first, last = _elsewhere(sentence) or _others_did(sentence)
            _set([item for item in sentence.items if first <= item.span[0] < last], Status.PAST)
        opened = _opened(sentence, number)
        if opened is not None and opened.status is None:
            _set(sentence.items, None)
        if opened is not None and not (self.begins is not None and frame and frame.status is opened.status):
            self._open = opened


def _opened(sentence: Sentence, number: int) -> _Frame | None:
    """What a sentence opens, where it opens anything."""
    phrases = {item.name for item in sentence.items if item.kind == "phrase"}
    if "another patient" in phrases:
        return _Frame(None, number, sentence.breath, sentence.words[0])
    if "meeting" in phrases:
        return _Frame(Status.PAST, number, sentence.breath, sentence.words[0], heading=True)
    if sentence.question:
        if Status.PAST in sentence.cues or _asks_others(sentence.tokens):
            return _Frame(Status.PAST, number, sentence.breath, sentence.words[0], asks=True)
        if _asks_what_one_would(sentence.tokens):
            return _Frame(Status.CONSIDERED, number, sentence.breath, sentence.words[0], asks=True)
        return None
    taught = Status.QUOTED in sentence.cues and bool(sentence.texts & _TEACHES)
    if taught and not any(item.kind in _NAMED for item in sentence.items):
        return _Frame(Status.QUOTED, number, sentence.breath, sentence.words[0], heading=True)
    for status in (Status.PAST, Status.CONSIDERED, Status.QUOTED):
        if any(item.status is status and item.kind in {"device", "drug", "pair"} for item in sentence.items):
            return _Frame(status, number, sentence.breath, sentence.words[0])
    return None


def _others_did(sentence: Sentence) -> tuple[int, int]:
    """ "They put a six by forty stent in.", "The colleague had already used two": the tokens that tell what was done by
    somebody who is not here.
    """
    tokens = sentence.tokens
    if sentence.question or Status.QUOTED in sentence.cues:
        return 0, 0
    for at, who in enumerate(tokens):
        verb = next((token for token in tokens[at + 1 : at + 5] if token not in _AUXILIARY), "")
        had = bool({"had", "'d"} & {*tokens[at + 1 : at + 3]})
        if verb in _DID and (who in _OTHERS or (had and who in _COLLEAGUES)):
            turns = [index for index, token in enumerate(tokens) if token in _TURNS]
            first = max((index for index in turns if index < at), default=0)
            return first, min((index for index in turns if index > at), default=len(tokens))
    return 0, 0


def _elsewhere(sentence: Sentence) -> tuple[int, int] | None:
    """ "The nurse gave fifty of fentanyl in the holding bay", "she arrived from intensive care with a four French
    sheath": what was done at another place.
    """
    tokens = sentence.tokens
    if sentence.question or not _over(tokens) or _TO_COME & {*tokens}:
        return None
    for at, token in enumerate(tokens):
        if token in _PLACES and _AT_PLACE & {*tokens[max(0, at - 4) : at]}:
            return 0, min((i for i, text in enumerate(tokens) if text in _TURNS and i > at), default=len(tokens))
    return None


def _asks_others(tokens: Sequence[str]) -> bool:
    """ "What did they do last time?" """
    return "they" in tokens and bool({"did", "had"} & {*tokens})


def _asks_what_one_would(tokens: Sequence[str]) -> bool:
    """ "So what would you use here?", "and your balloon would be?", no "what would you like?" """
    return bool(_ASKS & {*tokens} and _WOULD & {*tokens}) and not _WISH & {*tokens}


def _happens(sentence: Sentence, frame: _Frame) -> bool:
    """Whether a sentence tells of now."""
    tokens = sentence.tokens
    if (
        sentence.texts & _NOW
        or sentence.first in _TURNS_TO_NOW
        or (frame.status is not Status.PLANNED and Status.PLANNED in sentence.cues)
    ):
        return True
    for one, other in pairwise(tokens):
        if one in _SPEAKERS and other in _PRESENT and not (frame.status is None and other in _OVER):
            return frame.status not in {Status.CONSIDERED, Status.QUOTED} or other not in _OPTIONS
    return any(_is_now(sentence, item) for item in sentence.items)


def _is_now(sentence: Sentence, item: Item) -> bool:
    """ "balloon's across", "inflating", "inflate", "going up", "deflate": a report or a command of now."""
    if item.kind != "action" or item.status is not None:
        return False
    if item.text.split()[0] in _GOING_ON and item.meanings & {
        "placed",
        "particle",
        "particle out",
        "deploy",
        "inflate",
    }:
        return True
    told = item.meanings & {"inflate", "deflate", "deploy", "detach", "run", "go", "puncture"}
    if not told or "to" in item.text.split() or _over(item.text.split()):
        return False
    return not _over(sentence.tokens) and (item.text.endswith("ing") or item.span[0] == 0)


def _goes_on(sentence: Sentence, frame: _Frame, number: int) -> bool:
    """Whether a sentence that tells nothing of now goes on with the talk before it."""
    tokens = sentence.tokens
    answers = frame.asks and number - frame.number == 1
    same = sentence.breath == frame.breath
    if frame.status is Status.CONSIDERED:
        would = _would(tokens) and (same or number - frame.number == 1)
        return answers or would or (same and sentence.first in _JOINS)
    if frame.status is Status.QUOTED:
        named = any(item.kind in {"device", "drug", "pair"} for item in sentence.items)
        return (same and sentence.first in _JOINS) or (frame.heading and named and bool(_ANYBODY & {*tokens}))
    if frame.heading or frame.status is None:
        return True
    others = any(who in _OTHERS and _over(tokens[at + 1 : at + 4]) for at, who in enumerate(tokens))
    joined = sentence.first in _JOINS | {"it", "he", "she"} and (same or _over(tokens))
    return answers or others or joined


def _would(tokens: Sequence[str]) -> bool:
    """ "I'd go to ten", "and then we would stent it"; not "I'd say twenty percent"."""
    return any(one in _WOULD and other not in _WISH for one, other in pairwise(tokens[: _BEGINNING + 1]))


def _over(tokens: Sequence[str]) -> bool:
    """Whether words tell what is over: a verb in the past, and no "is occluded"."""
    pairs = zip(("", *tokens), tokens, strict=False)
    return any(
        token in _OVER
        or (token.endswith("ed") and len(token) > _SHORT and token not in _NOT_OVER and before not in _STILL_SO)
        for before, token in pairs
    )


def _before_turn(sentence: Sentence) -> list[Item]:
    """What is told before "but" or "so": what comes behind is another matter."""
    past = next((at for at, token in enumerate(sentence.tokens) if at and token in _TURNS), len(sentence.tokens))
    return [item for item in sentence.items if item.span[0] < past]


def _set(items: Sequence[Item], status: Status | None) -> None:
    for item in items:
        if item.kind not in _TELLING:
            continue
        if status is None:
            item.kind, item.name, item.figures, item.meanings = "phrase", "aside", {}, frozenset()
        elif item.status is None or (status is Status.QUOTED and item.status is Status.CONSIDERED):
            item.status, item.cue = status, item.cue or status.value
