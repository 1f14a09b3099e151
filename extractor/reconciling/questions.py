"""Questions and their answers: sentences in turn -> figures settled, put right or left in doubt; what a no rules out.

"Heparin, five thousand?" is no report yet. ``Questions`` keeps what a story was told as a question until the sentences
after it answer; what nobody answers carries the flag ``asked``. The functions say what a question asks about, and what
is a yes.
"""

from collections import deque
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.rivalled import counts_something_else, echoes, rivals
from extractor.reconciling.thousands import in_thousands
from extractor.vitals import VITALS

if TYPE_CHECKING:
    from extractor.reconciling.story import Draft


def _openings(texts: str) -> tuple[tuple[str, ...], ...]:
    """What a sentence may begin with, parted by bars -> the words of each."""
    return tuple(tuple(words.split()) for words in texts.split("|"))


_YES = {"yes", "yeah", "yep", "correct", "exactly", "right", "aye", "yea", "indeed", "ja"}
#: A sentence that begins so says yes where it names nothing, or goes on after a mark.
_AFFIRMS = _openings(
    "it is|it 's|it has|it does|it did|it was|she has|she is|she 's|he has|he is|he 's|they are|they have|they do|"
    "there is|there 's|there are|there was|i do|i did|i have|we do|we did|we have|that is|that 's|of course|"
    "all of it|so it is|so there is"
)
#: Behind "it's" or "she has": it is so.
_SO = frozenset(
    "in out up down done given off on across there through now gone had already all away over right so".split()
)
#: A sentence that begins so and names nothing says no to the question before it; "not yet" leaves it open.
_DENIES = _openings(
    "no|nope|nah|naw|none|never|neither|negative|nothing|hardly|nein|non|don't|can't|cannot|didn't|did not|hope not|"
    "not today|not now|not really|not either|not that|not here|not in|not at|not for|not one|not a|not any|"
    "absolutely not|certainly not|definitely not|i don't|i can't|i cannot|i do not|i see none|i did not|i didn't|"
    "i have not|i haven't|we don't|we do not|we did not|we didn't|we have not|we haven't|there isn't|there is not|"
    "there none|there is none|there aren't|there was none|there wasn't|there not|it isn't|it is not|it not|"
    "it hasn't|he hasn't|she hasn't|i see nothing|nothing like that|too big|too small|too long|too short|too wide|"
    "too high|too risky|bit big|bit much|bit long|a bit big|a bit much|a bit long|way too|far too|overkill|much too"
)
#: What may be ruled out by a no to a question; a sheath that is not in yet is not ruled out.
RULED_OUT = {"stent", "inflation", "embolise"}
#: With one of these a question asks whether to, whatever the size.
_WHETHER = {"need", "needs", "shall", "should", "want", "worth", "necessary"}
#: A question for how much with one of these asks what was done.
_BEFORE_NOW = {"did", "has", "have", "'ve", "was", "were", "had"}
#: How much was made ready is not how much went in.
_MADE_READY = frozenset("mix mixed draw drawn prepare prepared load loaded".split())
#: A question of more words asks for more than whether.
_SHORT_QUESTION = 9
#: After a figure said again: it is the one.
_AGREEING = {"then", "yes", "please", "exactly", "right", "starting"}
#: A question that begins so asks whether something is the case.
_ASKING = {"is", "are", "has", "have", "did", "does", "do", "was", "were", "isn't", "any"}
#: What a clause begins with that asks for something else than what was said before it, after "and" or a mere comma.
_ASKS_HOW = {"how", "where", "why", "who", "when"}
_ASKS_FOR = {*_ASKS_HOW, "what", "what's", "which"}
_ASKS_TO = {"can", "may", "could", "would", "will"}
_SPEAKERS = {"i", "we", "you", "somebody", "someone"}
_HANDED = {"have", "get", "give", "pass", "open", "hand", "draw", "bring", "fetch", "load"}
_AND = {"and", "but", "so"}
#: "is it?", with its mark.
_LONGEST_TAG = 3
#: After a mark or "and" a question may begin with one of these.
_TURNS_TO_ASK = _ASKING | set("can could shall should would will d'you what who where when why how which".split())
#: A figure of so many sentences, that of the question too, and of so many events may be asked about again. Set by
#: hand, no source.
_LATELY, _DRAFTS = 4, 8
#: What asks only for a nod; so do so many words at most of which the second is one of these. Set by hand, no source.
_NODS = {"right", "correct", "eh", "yes", "no", "okay", "ok", "innit", "yeah", "huh", "agreed", "please"}
_TAGGED = {"it", "that", "this", "we", "you", "i", "he", "she", "they", "not"}
_LONGEST_NOD = 4


@dataclass(frozen=True, slots=True, eq=False)
class _Asked:
    """A figure of an event said as a question; with no key, the event itself ("is the wire across?")."""

    number: int  # of the sentence that asked
    draft: "Draft"
    key: str = ""
    first: int = -1  # the first word of the figure
    again: bool = False  # it was told before, and only asks whether it was heard right

    def leave_open(self) -> None:
        """Marks it: a question is no report."""
        if not self.key:
            self.draft.flags.add("asked")
        elif self.key in self.draft.values and "asked" not in self.draft.values[self.key].flags:
            self.draft.values[self.key] = self.draft.values[self.key].flagged("asked")


class Questions:
    """What was told as a question and is not answered yet. Draft values and flags are changed in place."""

    def __init__(self) -> None:
        self._waiting: list[_Asked] = []
        self._answered: list[tuple[Draft, str]] = []  # values the sentence before put right
        self._courteous: set[int] = set()  # the first words of figures of what was asked for with "please?"
        self._lately: deque[int] = deque(maxlen=_LATELY)  # the first words of the last sentences

    def ask(self, sentence: Sentence, number: int, drafts: Sequence["Draft"]) -> None:
        """Keeps the figures a question holds: "heparin, five thousand?" is settled by what follows.

        Takes the sentence once all of it is told, its number in the case, and the last events.
        """
        self._lately.append(sentence.words[0])
        if not sentence.question:
            return
        again = _asked_again(sentence, [draft for draft in drafts[-_DRAFTS:] if draft.words[1] > self._lately[0]])
        self._waiting += [_Asked(number, draft, key, value.words[0], again=True) for draft, key, value in again]
        first, last = sentence.words
        asks = max(asks_from(sentence), asked_from(sentence))
        for draft in drafts[-4:]:
            asked = sentence.first in _ASKING or (draft.kind is Kind.INSERT and draft.words[0] >= asks)
            if draft.words[0] >= first and draft.status is Status.DONE and asked:
                self._waiting.append(_Asked(number, draft))
            for key, value in draft.values.items():
                if (
                    asks <= value.words[0] < last
                    and "carried-over" not in value.flags
                    and not _asks_more(sentence, value)
                ):
                    self._waiting.append(_Asked(number, draft, key, value.words[0]))
                    if "please" in sentence.texts and draft.status is Status.PLANNED:
                        self._courteous.add(value.words[0])  # "an eight French drain, please?" asks for the drain

    def answer(self, sentence: Sentence, number: int, keep: Callable[[str, Quantity, Quantity], None]) -> None:
        """The sentence after a question, before anything of it is told: another figure takes the place, "yes" settles
        it; else it stays in doubt. ``keep`` hears of each value that takes another's place: its key, the old, the new.
        """
        self._confirm(sentence, keep)
        waiting, self._waiting = self._waiting, []
        for asked in waiting:
            draft, key = asked.draft, asked.key
            value = draft.values.get(key)
            if is_yes(sentence) or (value is not None and value.words[0] != asked.first):
                continue  # settled, or another figure stands there by now
            if value is None:
                self._leave_open(asked)
                continue
            if _says_again(sentence, value):
                continue
            figure = _answering(sentence, value)
            if asked.again and figure is None:
                if is_no(sentence) and number - asked.number < 2:
                    self._waiting.append(asked)
                continue
            if figure is not None and _answers_other(figure, key, [one for one in waiting if one.draft is draft]):
                self._leave_open(asked)
            elif figure is not None and any(
                echoes(other, figure) for other in draft.values.values() if "carried-over" not in other.flags
            ):
                self._leave_open(asked)  # "six by forty? Six you will break him."
            elif figure is not None:
                new = in_thousands(figure.figures["value"], value)
                figure.used = True
                draft.values[key] = new.flagged(
                    "corrected", "conflict", unit=value.unit, alternatives=(*new.alternatives, value.value)
                )
                keep(key, value, draft.values[key])
                self._answered.append((draft, key))
            elif number - asked.number < 2 and sentence.breath == draft.breath:
                self._waiting.append(asked)
            else:
                self._leave_open(asked)

    def close(self) -> None:
        """Nothing is said any more: what still waits stays in doubt."""
        for asked in self._waiting:
            self._leave_open(asked)

    def _confirm(self, sentence: Sentence, keep: Callable[[str, Quantity, Quantity], None]) -> None:
        """ "Six by forty, and to ten? Eight. Eight, then.": what was answered and is said again by who asked stands."""
        answered, self._answered = self._answered, []
        first = _first_said(sentence)
        if first is None or sentence.question or (first.after.isalpha() and first.after not in _AGREEING):
            return
        for draft, key in answered:
            value = draft.values[key]
            if any(said.value == value.value and said.unit in {None, value.unit} for said in first.figures.values()):
                draft.values[key] = replace(value, flags=tuple(flag for flag in value.flags if flag != "conflict"))
                keep(key, value, draft.values[key])

    def _leave_open(self, asked: _Asked) -> None:
        if asked.first not in self._courteous:
            asked.leave_open()


def deny(sentence: Sentence, following: Sentence | None) -> None:
    """ "Any spasm? Not that I can see." "Do we need a stent? No.": what a short question names is ruled out, in place,
    by an answer that only says no.
    """
    if not sentence.question or following is None or sentence.first == "see":
        return  # "see the waist? Not having it.": it is there
    asked = _asking_clause(sentence.tokens)
    if len(sentence.tokens) - asked > _SHORT_QUESTION:
        asked = _asked_of_finding(sentence)
    if len(sentence.tokens) - asked > _SHORT_QUESTION:
        return
    if following.breath - sentence.breath > 1 or not (is_no(following) or _refuses(following)):
        return
    for item in sentence.items:
        if item.span[0] < asked:
            continue
        thing = item.kind in {"finding", "drug"} or (item.kind == "device" and item.role in RULED_OUT)
        unsaid = item.status in {None, Status.PLANNED, Status.CONSIDERED}
        way_in = item.kind == "action" and bool(item.meanings & {"puncture", "way in"})
        whether = not item.figures or bool(sentence.texts & _WHETHER)
        if (thing or way_in or item.names_picture) and unsaid and whether:
            item.status, item.cue = Status.NEGATED, following.first


def _asked_of_finding(sentence: Sentence) -> int:
    """ "Distal branch, is that perforation from the wire?": where the last clause asks whether something is there."""
    tokens = sentence.tokens
    asked = next((at for at in range(len(tokens) - 1, 0, -1) if not tokens[at - 1].isalpha()), 0)
    named = any(item.kind == "finding" and item.span[0] > asked for item in sentence.items)
    return asked if asked < len(tokens) and tokens[asked] in _ASKING and named else 0


def is_yes(sentence: Sentence) -> bool:
    """Whether a sentence says yes to the question before it: "yes, a bit", "it is, and it's tight", "it's in"."""
    if sentence.first in _YES:
        return True
    tokens = sentence.tokens
    size = next((len(words) for words in _AFFIRMS if tokens[: len(words)] == words), 0)
    if not size or Status.NEGATED in sentence.cues or {"not", "no"} & sentence.texts:
        return False
    # "it's stuck" says no yes
    return not tokens[size].isalnum() or (not _names_anything(sentence) and tokens[size] in _SO)


def asked_what_went(sentence: Sentence) -> bool:
    """ "How much heparin did she get? Four thousand.": whether a figure answers how much of something was given."""
    asked = not sentence.question and {"how", "much"} <= sentence.texts and bool(sentence.texts & _BEFORE_NOW)
    return asked and not sentence.texts & _MADE_READY


def asked_from(sentence: Sentence) -> int:
    """The first word of the transcript that a question asks about; past the sentence where that names nothing."""
    asked = _asking_clause(sentence.tokens)
    if not asked:
        return sentence.words[0]
    return next((item.words[0] for item in sentence.items if item.span[1] > asked), sentence.words[1])


def asks_from(sentence: Sentence) -> int:
    """The word a question asks from: "up to eight, and how long?" does not ask whether it was eight; a mere tag ("six,
    is it?") asks for all of it.
    """
    tokens = sentence.tokens
    if any(
        asks in _ASKS_TO and who in _SPEAKERS and does in _HANDED
        for asks, who, does in zip(tokens, tokens[1:], tokens[2:], strict=False)
    ):
        return sentence.words[1]  # "can I have a six by forty?" is no doubt about its size
    for index in range(len(tokens) - 1, 0, -1):
        before, token = tokens[index - 1], tokens[index]
        if before in {"for", "to", "at"} and token in _ASKS_FOR:
            before = tokens[index - 2] if index > 1 else ""
        joined = before in _AND and token in _ASKING | _ASKS_FOR | _ASKS_TO
        how = before in {",", "..."} and token in _ASKS_HOW
        own = before == "..." and token in _ASKING and len(tokens) - index > _LONGEST_TAG
        own = own and not any(item.kind == "quantity" and item.span[0] > index for item in sentence.items)
        if joined or how or own:
            return next((item.words[0] for item in sentence.items if item.span[0] >= index), sentence.words[1])
    return sentence.words[0]


def _asking_clause(tokens: Sequence[str]) -> int:
    """Where the clause that asks begins: "I make it eighty, and is there any thrombus on it?" asks from "is" on, "nine
    by forty - have we one?" from "have"; "six by forty, is it?" asks all of it.
    """
    for index in range(len(tokens) - 1, 0, -1):
        before = tokens[index - 1]
        turns = tokens[index] in _TURNS_TO_ASK and (before in _AND or not before.isalpha())
        if turns or before == "-":
            return 0 if _is_tag([token for token in tokens[index:] if token.isalpha()]) else index
    return 0


def _is_tag(words: Sequence[str]) -> bool:
    """Whether the end of a question asks whether what was said before it is so: "is it", "could we", "right"."""
    if len(words) < 2:
        return not words or words[0] in _NODS
    short = len(words) <= _LONGEST_NOD and words[1] in _TAGGED
    return words[0] in _TURNS_TO_ASK and (short or words[1] in {"it", "that", "this"})


def _asks_more(sentence: Sentence, value: Quantity) -> bool:
    """ "nine here, thirty-one there, what is the difference?" asks for something else than the figures in it."""
    return any(
        item.kind == "action" and item.meanings & {"gradient", "act"} and item.words[0] >= value.words[1]
        for item in sentence.items
    )


def is_no(sentence: Sentence) -> bool:
    """Whether a sentence says no to the question before it, and nothing else."""
    said = tuple(token for token in sentence.tokens if token[0].isalpha())
    denies = any(said[: len(words)] == words for words in _DENIES)
    return denies and "yet" not in said and not _names_anything(sentence)


def _refuses(sentence: Sentence) -> bool:
    """ "The left is atrophic, we don't do that": what was asked before it is refused in other words."""
    refused = any(item.kind == "phrase" and item.name == "refused" for item in sentence.items)
    return refused and not any(item.kind in {"device", "drug", "finding"} for item in sentence.items)


def _names_anything(sentence: Sentence) -> bool:
    return any(item.kind in {"device", "drug", "finding", "quantity", "pair"} for item in sentence.items)


def _first_said(sentence: Sentence) -> Item | None:
    return next((item for item in sentence.items if item.kind != "mark"), None)


def _says_again(sentence: Sentence, value: Quantity) -> bool:
    """ "Was it sixty? Sixty.": the sentence begins with the figure that was asked about."""
    first = _first_said(sentence)
    if first is None or first.kind != "quantity" or first.after.isalpha():
        return False  # "Six you will break him" says no more
    return echoes(value, first)


def _asked_again(sentence: Sentence, drafts: Sequence["Draft"]) -> Iterator[tuple["Draft", str, Quantity]]:
    """ "Up to twelve. Twelve? Ten.": the value whose figure a question says again, with nothing else in it."""
    figures = [item for item in sentence.items if not _says_nothing(item)]
    if len(figures) != 1 or figures[0].kind != "quantity":
        return
    said = figures[0].figures["value"]
    for draft in reversed(drafts):
        for key, value in draft.values.items():
            told = value.words[1] <= sentence.words[0] and "carried-over" not in value.flags
            if told and in_thousands(said, value).value == value.value and said.unit in {None, value.unit}:
                yield draft, key, value
                return


def _says_nothing(item: Item) -> bool:
    """Whether an item beside a figure names nothing it may be of: a mark, "it", "at"."""
    return item.kind in {"mark", "pronoun"} or (item.kind == "action" and item.meanings == {"raise"})


def _answers_other(figure: Item, key: str, waiting: Sequence[_Asked]) -> bool:
    """ "Twelve French, forty? Twenty-five.": whether a figure answers for another of the values asked about: what it is
    called, or what it is nearest to.
    """
    named = {"long": "length", "wide": "diameter"}.get(figure.role)
    if named is not None and len(waiting) > 1:
        return named != key
    said = figure.figures["value"].value
    values = {asked.key: asked.draft.values[asked.key].value for asked in waiting if asked.key in asked.draft.values}
    if len(values) < 2 or min(said, *values.values()) <= 0:
        return False
    return min(values, key=lambda other: max(said / values[other], values[other] / said)) != key


def _answering(sentence: Sentence, value: Quantity) -> Item | None:
    """The figure of the sentence that answers for a value: the first, with nothing else named before it."""
    if sentence.texts & VITALS:
        return None
    for item in sentence.items:
        if "bare" in item.figures and not item.span[0]:  # "Up to ten? Eight's enough."
            item.kind, item.figures = "quantity", {"value": item.figures["bare"]}
        if item.kind in {"device", "drug", "finding", "pair"} or (item.kind == "action" and not _says_nothing(item)):
            return None
        if item.kind == "quantity":
            answers = rivals(value, in_thousands(item.figures["value"], value)) and not counts_something_else(item)
            return item if answers else None
    return None
