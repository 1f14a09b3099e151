"""Coils, plugs, stents and what is poured, told as in by their state: "four by eight. It's home.", "second, two by
four, out", "upper, eight by one hundred. Out and sitting.", "three mils of foam until it stood".
"""

from collections.abc import Iterable

from extractor.model import Item, Sentence, Status
from extractor.reconciling.kinds.how_many import counted
from extractor.reconciling.kinds.told_by_verb import ANOTHER_TIME
from extractor.reconciling.size_roles import POURED
from extractor.reconciling.story import NO, STORES, Draft, Hearing, Story, Thing, carried

#: Said of a coil or plug that lies where it should.
_SEATED = frozenset(
    """
    sits sit sat sitting seated seats fixed landed lands dropped drops home formed inside closed blocked thrown stable
    snug laid lying lies given went done finished finish out settled wedged tucked locked planted pushed curled
    """.split()
)
#: … and may be said of another thing: only in a clause of hardly more words.
_OF_OTHERS = frozenset("out down gone went given done finish finished inside closed stable home".split())
#: … and of a vessel or the skin.
_OF_VESSELS = {"closed", "blocked", "done", "finished", "finish"}
#: What else may stand in such a clause.
_LIGHT = frozenset(
    """
    it it's 's is are he she that that's this they both all two three four five coil coils plug and also too again now
    nicely nice good well perfectly perfect there here in place of them the then so okay yes doctor sir boss teacher
    chef lovely beautifully beautiful likewise as first second third last where i wanted we where's tight compact have
    has been at catheter micro one right just were was up off
    """.split()
)
#: Said of a stent that is open, or of both its ends.
_OPENED = frozenset(
    """
    sits sit sat sitting seated landed dropped formed curled curls laid lies lying stands standing stood placed released
    delivered out away gone open done finished
    """.split()
)
#: … with no other word it is an order, or of another thing.
_ORDERS = {"open", "done", "finished", "away", "gone"}
#: … and is still of the stent some sentences later, where nothing else was told since. Set by hand, no source.
_LATER, _SENTENCES = frozenset("sits sat sitting seated landed lies lying stands standing stood released".split()), 5
#: "It lies as I want it" wants nothing.
_AS_WANTED = {("as", "i", "want"), ("where", "i", "want"), ("how", "i", "want"), ("where", "we", "want")}
_IS_OPEN = {"is", "'s", "are", "it's", "both", "left", "right", "upper", "lower"}
_OF_STENTS = _LIGHT | frozenset(
    """
    stent stents graft limb limbs left right upper lower top bottom ends end curl curls fully wide lovely covering
    straight flush length whole an long full which seven eight nine ten twelve jump no as want how i we
    """.split()
)
#: It has stopped for good where it was poured.
_STOOD = frozenset("stasis static stopped stops stood stands stagnates stagnated pruned full filled".split())
#: It is not so, not yet, or asked for.
_NOT_SO = (
    STORES
    | ANOTHER_TIME
    | NO
    | frozenset(
        """
        not n't never if when will 'll would could should might may want wants need please ready pull pulled take took
        taken back remove removed fell falls too stuck lost before give open opened prepare prepared load loaded
        """.split()
    )
)
#: A sentence of so many words at most says of the one before how it ended; set by hand, no source.
_BRIEF = 9


class ToldSeated(Hearing):
    """Hears, after all the others, what was asked for here or in the sentence before and lies where it should."""

    def end(self, story: Story, sentence: Sentence) -> None:
        self._stents(story, sentence)
        if sentence.question or sentence.texts & _NOT_SO:
            return
        if Status.NEGATED in sentence.cues and not ("stopped" in sentence.texts and "flow" in sentence.texts):
            return
        asked, here, past = _asked(story, sentence, "embolise")
        if not asked:
            return
        if not here and (len(sentence.texts) > _BRIEF or any(_other(item, "embolise") for item in sentence.items)):
            return
        if {"last", "time"} <= sentence.texts:
            return
        seated = _seated(_behind(sentence, past))
        for thing in here or asked:
            of_vessel = thing.name == "plug" and seated <= _OF_VESSELS  # "the skin plug, six French. That's closed."
            if seated and thing.name not in POURED and not of_vessel:
                done = _settle(story, thing)
                if done is not None and "count" not in done.values and not is_told_of_all(sentence):
                    done.values["count"] = counted(None, _told_by(sentence))
        if sentence.texts & _STOOD:
            for thing in here or asked:
                if thing.name in POURED and thing.asked is not None and "volume" in thing.asked.values:
                    _settle(story, thing)

    @staticmethod
    def _stents(story: Story, sentence: Sentence) -> None:
        """ "Stent eight by sixty, out and covering.", "Double-J, eight French. Formed both ends."."""
        wanted = any(row in _AS_WANTED for row in zip(*(sentence.tokens[at:] for at in range(3)), strict=False))
        if sentence.question or sentence.texts & (_NOT_SO - {"open", "opened", "too", *(("want",) if wanted else ())}):
            return
        if Status.NEGATED in sentence.cues or Status.CONSIDERED in sentence.cues or {"last", "time"} <= sentence.texts:
            return
        asked, here, past = _asked(story, sentence, "stent")
        if not asked and (waits := _still_waits(story, sentence)) is not None:
            asked = [waits]
        if not asked or (not here and any(_other(item, "stent") for item in sentence.items)):
            return
        if not any(_opened(clause) for clause in _behind(sentence, past)):
            return
        last = (here or asked) if is_told_of_all(sentence) else (here or asked)[-1:]
        for thing in last:
            _settle(story, thing)


def _still_waits(story: Story, sentence: Sentence) -> Thing | None:
    """The stent asked for last, where nothing was told since and its state is said now: "It jumps. No. There it
    stands."
    """
    last = story.drafts[-1] if story.drafts else None
    if last is None or not sentence.texts & _LATER or not 1 < story.number - last.number <= _SENTENCES:
        return None
    waits = (thing for thing in story.things if thing.role == "stent" and thing.asked is last)
    soon = story.sentence.breath - last.breath <= 1 and last.status is Status.PLANNED
    return next(waits, None) if soon else None


def _opened(clause: set[str]) -> bool:
    """Whether a clause says of a stent that it is open, and hardly anything else."""
    said = clause & _OPENED - (set() if clause & _IS_OPEN else {"open"})  # "open that", from its box
    alone = len(clause) == 1 and said <= _ORDERS
    return bool(said) and not alone and clause - said <= _OF_STENTS


def is_told_of_all(sentence: Sentence) -> bool:
    """Whether it is said of all there are."""
    return bool(sentence.texts & {"all", "both", "they", "are", "were"})


def _asked(story: Story, sentence: Sentence, role: str) -> tuple[list[Thing], list[Thing], int]:
    """What was asked for and is not used, what of it here, and the word behind the last of that."""
    asked = [thing for thing in story.things if thing.where == "asked" and _waits(thing, story, role)]
    here = [thing for thing in asked if thing.asked is not None and thing.asked.number == story.number]
    past = max((thing.asked.words[1] for thing in here if thing.asked is not None), default=sentence.words[0])
    return asked, here, past


def _waits(thing: Thing, story: Story, role: str) -> bool:
    asked = thing.asked
    if asked is None or thing.role != role or asked.status is not Status.PLANNED:
        return False
    return story.number - asked.number <= 1 and asked.breath == story.sentence.breath


def _other(item: Item, role: str) -> bool:
    """Something that the word of its state may be said of instead."""
    return item.kind in {"drug", "pair"} or (item.kind == "device" and (item.role != role or bool(item.figures)))


def _behind(sentence: Sentence, past: int) -> list[set[str]]:
    """The words of each clause behind a word of the recording."""
    first = sentence.words[0]
    clauses: list[set[str]] = [set()]
    at = next((item.span[1] for item in sentence.items if item.words[1] >= past > first), 0)
    for token in sentence.tokens[at:]:
        if token in {",", ".", ";", "!", "...", ":", "-"}:
            clauses.append(set())
        else:
            clauses[-1].add(token)
    return [clause for clause in clauses if clause]


def _seated(clauses: Iterable[set[str]]) -> set[str]:
    """What the first clause that tells so says of the state."""
    for clause in clauses:
        said = clause & _SEATED
        if said and (said - _OF_OTHERS or clause - _SEATED <= _LIGHT):
            return said
    return set()


def _told_by(sentence: Sentence) -> Item:
    return sentence.items[-1] if sentence.items else Item("mark", sentence.words, "")


def _settle(story: Story, thing: Thing) -> Draft | None:
    """Tells as done what a thing was asked for by; that event."""
    asked = thing.asked
    if asked is not None:
        item, rule = _told_by(story.sentence), f"{asked.kind}/told-seated"
        if story.settle(asked, Status.DONE, item, rule) is None:  # it was asked for in the breath before
            values = {key: carried(value) for key, value in asked.values.items()}
            asked = story.add(asked.kind, Status.DONE, item, rule, device=asked.device, values=values)
        thing.asked, thing.done, thing.where, thing.left = None, asked, "used", 0
    return asked
