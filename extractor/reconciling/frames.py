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
from extractor.reconciling.tense import DID, OVER, TURNS, clause_around, done_by_others, done_elsewhere, over

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
_OTHERS = {"they", "somebody", "someone", "nobody"}
#: A sentence that begins so goes on with the one before it.
_JOINS = {
    "there",
    "and",
    "then",
    "also",
    "plus",
    "after",
    "afterwards",
    "later",
    "which",
    "with",
    "to",
    "up",
    "at",
    "for",
}
_ALSO = {"and", "also", "plus"}
#: What asks for another way, and what options are called.
_IF_NOT = {("and", "if"), ("what", "if"), ("but", "if"), ("or", "else"), ("and", "otherwise"), ("and", "else")}
_OPTIONS_OF = frozenset("options choices alternatives possibilities roads".split())
#: What asks, and what makes it a question of what one would do.
_ASKS = {"what", "which", "how", "where", "would"}
_WHO_DID = {("who", "did"), ("who", "put"), ("who", "placed"), ("when", "was"), ("when", "did"), ("where", "was")}
_WOULD = {"would", "'d"}
#: "I take a six" may go on with what one would do.
_OPTIONS = {"take", "go", "use", "put", "give", "inflate", "deploy", "start"}
#: How words begin that tell what a talk is of.
_WORDS_OF = {
    "stent": ("stent", "lined"), "inflation": ("balloon", "dilat", "inflat", "angioplast", "venoplast"),
    "embolise": ("coil", "embolis", "plug"),
}  # fmt: skip
#: A lesson, and who does what is taught.
_TEACHES = frozenset(
    "suppose imagine assume teaching lecture lectures taught teach student students fellow fellows trainee asks asked "
    "tell course class".split()
)
_ANYBODY = {"you", "one", "we", "i"}
#: … and no wish.
_WISH = {"like", "want", "say", "call", "be", "rather"}
#: A question of so many tokens asks for more of the same.
_SHORT_QUESTION = 5
#: So many tokens are the beginning of a sentence.
_BEGINNING = 4
#: What is yet to come, so many tokens before the verb at most; what such a verb then tells nothing of.
_WILL, _MEANS = frozenset("will 'll shall".split()), frozenset("going intend plan plans want like hope means".split())
_FAR_WILL, _AT_ONCE = 3, frozenset("now there".split())
_COMES_ABOUT = frozenset({"placed"})
_PAPERS = frozenset("letter letters notes note report record records file chart".split())
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
    unsized: bool = False  # it named a thing without its size, or none: a size that follows is of it
    elsewhere: bool = False  # who did it was told, or where, and not what
    role: str = ""  # what it tells of: a size with no noun is of that


class Frames:
    """Sentences of a case in order -> the status of what goes on with the talk before it, in place."""

    def __init__(self, *, dictated: bool = False) -> None:
        self._dictated = dictated
        self._open: _Frame | None = None
        self.high = -9  # the last sentence that asks how high
        self.begins: int | None = None  # the first word of what the sentence heard last goes on with

    def hear(self, sentence: Sentence, number: int) -> None:
        """The next sentence, and its number in the case."""
        frame, self.begins = self._open, None
        if sentence.question and {"how", "high"} <= sentence.texts:
            self.high = number
        if frame is not None and (
            number - frame.number > _GOES_ON or sentence.breath - frame.breath > _BREATHS or _happens(sentence, frame)
        ):
            frame = self._open = None
        if frame is not None and _goes_on(sentence, frame, number):
            _set(_before_turn(sentence), frame.status)
            self.begins = frame.first
            frame.role = _role(sentence) or frame.role
            _size(sentence, frame.role)
            frame.number, frame.breath, frame.asks = number, sentence.breath, sentence.question
            frame.unsized = frame.unsized and not any(item.figures for item in sentence.items if item.kind == "device")
        else:
            if any(item.kind in _TELLING for item in sentence.items):
                self._open = None
            _set(_at_another_time(sentence, self._dictated), Status.PAST)
        _not_yet(sentence)
        opened = _opened(sentence, number)
        if opened is not None and opened.status is None:
            _set(_of_another(sentence), None)
        if opened is not None and not (self.begins is not None and frame and frame.status is opened.status):
            opened.role = _role(sentence)
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
            return _Frame(Status.PAST, number, sentence.breath, sentence.words[0], asks=True, unsized=True)
        if _asks_what_one_would(sentence.tokens) or _asks_what_else(sentence.tokens):
            return _Frame(Status.CONSIDERED, number, sentence.breath, sentence.words[0], asks=True, unsized=True)
        return None
    taught = Status.QUOTED in sentence.cues and bool(sentence.texts & _TEACHES)
    if taught and not any(item.kind in _NAMED for item in sentence.items):
        return _Frame(Status.QUOTED, number, sentence.breath, sentence.words[0], heading=True)
    if sentence.texts & _OPTIONS_OF and not any(item.kind in _NAMED for item in sentence.items):
        return _Frame(Status.CONSIDERED, number, sentence.breath, sentence.words[0], asks=True, unsized=True)
    sized = any(item.kind == "device" and item.figures for item in sentence.items)
    for status in (Status.PAST, Status.CONSIDERED, Status.QUOTED):
        named = {"device", "drug", "pair"} | ({"action"} if status is not Status.QUOTED else set())
        if any(item.status is status and item.kind in named for item in sentence.items):
            away = status is Status.PAST and _is_away(sentence)
            return _Frame(status, number, sentence.breath, sentence.words[0], unsized=not sized, elsewhere=away)
    away = _is_away(sentence)
    if Status.PAST in sentence.cues or away:
        return _Frame(Status.PAST, number, sentence.breath, sentence.words[0], unsized=not sized, elsewhere=away)
    return None


def _is_away(sentence: Sentence) -> bool:
    """ "They treated him in Leeds.": told of others or of another place, and not yet of what was done."""
    tokens = sentence.tokens
    away = done_elsewhere(tokens, sentence.towns) is not None or done_by_others(tokens) is not None
    return away and not sentence.question and not any(item.kind in _NAMED for item in sentence.items)


def _at_another_time(sentence: Sentence, dictated: bool) -> list[Item]:
    """What a sentence tells that was done by others, at another place or at another time."""
    tokens = sentence.tokens
    if sentence.question or Status.QUOTED in sentence.cues:
        return []
    at = done_elsewhere(tokens, sentence.towns)
    at = done_by_others(tokens) if at is None and not dictated else at
    if at is None:
        return []
    first, last = clause_around(tokens, at)
    return [item for item in sentence.items if first <= item.span[0] < last]


def _of_another(sentence: Sentence) -> list[Item]:
    """What a sentence tells of another patient: its clause; a report behind it is of this case. "The last patient had
    pain, heparin five thousand given."
    """
    at = next(item.span[0] for item in sentence.items if item.kind == "phrase" and item.name == "another patient")
    first, last = clause_around(sentence.tokens, at)
    return [item for item in sentence.items if first <= item.span[0] < last]


def _asks_others(tokens: Sequence[str]) -> bool:
    """ "What did they do last time?" """
    others = "they" in tokens and bool({"did", "had"} & {*tokens})
    return others or (tuple(tokens[:2]) in _WHO_DID and not _SPEAKERS & {*tokens})


def _asks_what_one_would(tokens: Sequence[str]) -> bool:
    """ "So what would you use here?", "and your balloon would be?", no "what would you like?" """
    wish = _WISH - ({"be"} if "what" in tokens else set())
    return bool(_ASKS & {*tokens} and _WOULD & {*tokens}) and not wish & {*tokens}


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
        if one in _SPEAKERS and other in _PRESENT and not (frame.status is None and other in OVER):
            return frame.status not in {Status.CONSIDERED, Status.QUOTED} or other not in _OPTIONS
    return any(_is_now(sentence, item) for item in sentence.items)


def _is_now(sentence: Sentence, item: Item) -> bool:
    """ "balloon's across", "inflating", "inflate", "going up", "deflate": a report or a command of now."""
    if item.kind != "action" or item.status is not None:
        return False
    if _PAPERS & {*sentence.tokens[item.span[1] : item.span[1] + 3]}:
        return False  # "it's in my letter"
    if item.text.split()[0] in _GOING_ON and item.meanings & {
        "placed",
        "particle",
        "particle out",
        "deploy",
        "inflate",
    }:
        return True
    told = item.meanings & {"inflate", "deflate", "deploy", "detach", "run", "go", "puncture"}
    if not told or "to" in item.text.split() or over(item.text.split()):
        return False
    return not over(sentence.tokens) and (item.text.endswith("ing") or item.span[0] == 0)


def _goes_on(sentence: Sentence, frame: _Frame, number: int) -> bool:
    """Whether a sentence that tells nothing of now goes on with the talk before it."""
    tokens = sentence.tokens
    headed = frame.elsewhere and not frame.role and over(tokens)
    answers = number - frame.number == 1 and (frame.asks or headed or _gives_size(sentence, frame))
    if sentence.question and len(tokens) <= _SHORT_QUESTION and sentence.first in _ASKS | {"and", "with", "to"}:
        return number - frame.number == 1  # "With what?", "How high?"
    same = sentence.breath == frame.breath
    if frame.status is Status.CONSIDERED:
        would = _would(tokens) and (same or number - frame.number == 1)
        return answers or would or (same and sentence.first in _JOINS)
    if frame.status is Status.QUOTED:
        named = any(item.kind in {"device", "drug", "pair"} for item in sentence.items)
        if sentence.first == "up" and not named:
            return False  # "Chart says two five at eight. Up to fourteen."
        return (same and sentence.first in _JOINS) or (frame.heading and named and bool(_ANYBODY & {*tokens}))
    if frame.heading:
        return True
    if frame.status is None:  # a report that names nobody is of this case
        reported = any(item.text.split()[-1] in DID for item in sentence.items if item.kind == "action")
        named = any(item.kind in {"device", "drug"} for item in sentence.items)
        near = same or over(tokens)  # a remark in passing does not swallow what is said after a pause
        tells_on = bool({*tokens} & (_SPEAKERS | _OTHERS | {"he", "she", "his", "her"}))
        return tells_on or (near and not (reported and named))
    others = any(who in _OTHERS and over(tokens[at + 1 : at + 4]) for at, who in enumerate(tokens))
    near = same or over(tokens) or (sentence.first in _ALSO and number - frame.number == 1)
    joined = sentence.first in _JOINS | {"it", "he", "she"} and near
    return answers or others or joined


def _asks_what_else(tokens: Sequence[str]) -> bool:
    """ "And if that fails?", "what's your plan B?" """
    return tokens[0] in {"if", "otherwise"} or tuple(tokens[:2]) in _IF_NOT or ("plan" in tokens and "b" in tokens)


def _gives_size(sentence: Sentence, frame: _Frame) -> bool:
    """ "Nine by eighty I read.", "A six by sixty stent.": the size of what was told without one, no more."""
    sized = any(item.kind == "device" and "diameter" in item.figures for item in sentence.items)
    told = any(item.kind == "action" and not item.meanings & {"raise", "again"} for item in sentence.items)
    told = told and not (sentence.breath == frame.breath and over(sentence.tokens))
    alike = bool(frame.role) and _role(sentence) in {"", frame.role}
    alike = alike or (not frame.role and frame.status is Status.PAST and sentence.breath == frame.breath)
    return frame.unsized and sized and alike and not told and not sentence.cues


def _would(tokens: Sequence[str]) -> bool:
    """ "I'd go to ten", "and then we would stent it"; not "I'd say twenty percent"."""
    return any(one in _WOULD and other not in _WISH for one, other in pairwise(tokens[: _BEGINNING + 1]))


def _not_yet(sentence: Sentence) -> None:
    """ "At the end we'll put in a six French sheath", "I intend to close it": what is to come has not happened."""
    if not sentence.texts & (_WILL | _MEANS) or sentence.texts & _AT_ONCE:
        return
    for item in sentence.items:
        before = sentence.tokens[max(0, item.span[0] - _FAR_WILL) : item.span[0]]
        coming = _WILL & {*before} or (before[-1:] == ("to",) and _MEANS & {*before})
        if item.kind == "action" and item.status is None and coming:
            item.meanings -= _COMES_ABOUT


def _before_turn(sentence: Sentence) -> list[Item]:
    """What is told before "but" or "so": what comes behind is another matter."""
    past = next((at for at, token in enumerate(sentence.tokens) if at and token in TURNS), len(sentence.tokens))
    return [item for item in sentence.items if item.span[0] < past]


def _role(sentence: Sentence) -> str:
    """What a sentence tells of, by its nouns and verbs: "the shunt was ballooned", "they lined it with a stent"."""
    named = [item.role for item in sentence.items if item.kind == "device" and item.role in _WORDS_OF]
    spoken = (role for role, begins in _WORDS_OF.items() if any(text.startswith(begins) for text in sentence.texts))
    return next(iter(named), next(spoken, ""))


def _size(sentence: Sentence, role: str) -> None:
    for item in sentence.items:
        if role and item.kind == "device" and not item.role and "diameter" in item.figures:
            item.role = role


def _set(items: Sequence[Item], status: Status | None) -> None:
    for item in items:
        if item.kind not in _TELLING:
            continue
        if status is None:
            item.kind, item.name, item.figures, item.meanings = "phrase", "aside", {}, frozenset()
        elif item.status is None or (status is Status.QUOTED and item.status is Status.CONSIDERED):
            item.status, item.cue = status, item.cue or status.value
