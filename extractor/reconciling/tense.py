"""When and by whom a clause tells that something is done: over, over before that, elsewhere, by others. By its words
alone, without what it is of.
"""

from collections.abc import Sequence

#: Verbs that tell what is over, besides those in "-ed".
OVER = frozenset(
    "took put used gave went got had did was were stuck tried held saw found came ended brought chose blew let "
    "kept made sent stood broke burst said told wrote".split()
)
_SHORT = 4
_NOT_OVER = {"hundred", "need", "speed", "feed", "bleed", "indeed", "bed", "red", "reed", "seed", "proceed", "succeed"}
#: Right before such a word: it tells how things are ("is occluded", "the treated leg").
_STILL_SO = {"is", "'s", "are", "has", "have", "'ve", "a", "the", "be", "to"}
#: Who does it, where it is nobody here; titles stand before a name.
_OTHERS, _TITLES = {"they", "somebody", "someone"}, {"doctor", "dr", "professor", "prof", "mister"}
_SPEAKERS = {"i", "we"}
_HAD = {"had", "'d"}
#: They may stand at the table: only a time or a place tells that what they did is over.
_TEAM = frozenset("colleague colleagues team registrar fellow consultant".split())
_AWAY = frozenset("surgeon surgeons predecessor predecessors".split())
#: What a thing does of itself too, and no name.
_OF_ITSELF = frozenset("closed opened inflated deployed dilated held left stuck pressed".split())
_IT = frozenset("it this that which these those".split())
#: Who had done something: "the vessel had closed" is of now.
_PEOPLE = _OTHERS | _TEAM | _AWAY | {"he", "she", "who", "nurse", "paramedics"}
#: What they did with a thing.
DID = frozenset(
    "put took taken placed used gave given left inflated dilated stented deployed implanted ballooned "
    "coiled embolised glued closed pressed compressed held punctured tried injected plugged lined treated "
    "recanalised opened stuck".split()
)
_TOLD_OF = _OTHERS | _TITLES | _TEAM | _AWAY | _HAD
_AUXILIARY = frozenset("had have 'd 've already even also then just only first once always both been".split())
#: "She had refused": it was not done.
_UNDONE = frozenset(
    "opened drawn prepared handed brought readied loaded mixed refused declined planned wanted hoped "
    "thought considered intended forgotten asked ordered said told heard seen called meant expected".split()
)
#: Behind one of these "had" tells only the order of things of now.
_ORDERING = frozenset("after once when until as before if because that all which".split())
#: When it was, behind "in", "on", "at", "since" or "last"; and by itself.
_TIMES = frozenset(
    "winter spring summer autumn january february april june july august september october november december monday "
    "tuesday wednesday thursday friday saturday sunday christmas easter childhood".split()
)
_AT_TIME = frozenset("in on at since last around this of early late".split())
_THEN = frozenset("yesterday formerly originally upstairs downstairs abroad elsewhere overseas".split())
#: Where none of this case happens, and what stands before it.
_PLACES = frozenset(
    "ward casualty ambulance bay clinic hospital centre center admission resus helicopter upstairs downstairs icu itu "
    "care abroad elsewhere house".split()
)
_ELSEWHERE = _PLACES | _THEN | _TIMES
_AT_PLACE = frozenset("in at on from by were was gave given had".split())
_HERE = frozenset("our this my".split())
_TO_COME = frozenset("will 'll shall would tonight tomorrow later if should could might may".split())
#: Then it was only decided on.
_DECIDED = frozenset("agreed decided planned booked scheduled arranged listed".split())
_NOT_YET = _TO_COME | _DECIDED
#: Papers of another time, and what they do.
_PAPERS = frozenset("report letter letters notes summary dictation".split())
_SAY = frozenset(
    "says said say written stands noted documented mentions mentioned describes described states stated read reading "
    "reads tells".split()
)
_IN, _THE = frozenset("in from on".split()), frozenset("the his her their that this an my old".split())
#: What a plan is called, and when it is for.
LATER = frozenset(
    "plan plans strategy idea intention intend booked listed tomorrow tonight week weeks month months lunch agreed "
    "propose monday tuesday wednesday thursday friday discharge step".split()
)
#: What comes behind one of these is another matter.
TURNS = frozenset("so but now today therefore".split())


def over(tokens: Sequence[str]) -> bool:
    """Whether words tell what is over: a verb in the past, and no "is occluded"."""
    return not OVER.isdisjoint(tokens) or any(
        token.endswith("ed")
        and len(token) > _SHORT
        and token not in _NOT_OVER
        and (at == 0 or tokens[at - 1] not in _STILL_SO)
        for at, token in enumerate(tokens)
    )


def done_by_others(tokens: Sequence[str]) -> int | None:
    """ "They put a six by forty stent in.", "Doctor Weiss had already used two", "he'd stented the left": where the
    clause tells what was done by somebody who is not here, or before what is spoken of; None where none does.
    """
    if _TOLD_OF.isdisjoint(tokens) or DID.isdisjoint(tokens):
        return None
    elsewhere = "ago" in tokens or bool(_THEN & {*tokens}) or bool(_PLACES & {*tokens} and not _HERE & {*tokens})
    for at, token in enumerate(tokens):
        verb = next((word for word in tokens[at + 1 : at + 6] if word not in _AUXILIARY), "")
        titled = at > 0 and tokens[at - 1] in _TITLES and token.isalpha() and verb != "left"
        if (token in _OTHERS | _AWAY or ((titled or token in _TEAM) and elsewhere)) and verb in DID:
            return at
        if token in _HAD and at and not {*tokens[max(0, at - 3) : at]} & (_SPEAKERS | _ORDERING):
            named = tokens[at - 1] in _PEOPLE or (at > 1 and tokens[at - 2] in _TITLES) or verb not in _OF_ITSELF
            named = named or (at == 1 and tokens[0] not in _IT)  # "Weiss had deployed one"
            undergone = "been" in tokens[at + 1 : at + 4]
            if verb in DID and verb not in _UNDONE and (named or undergone):
                return at
    return None


def done_elsewhere(tokens: Sequence[str], towns: Sequence[int] = ()) -> int | None:
    """ "The nurse gave fifty of fentanyl in the holding bay", "she was ballooned in winter": where the words stand that
    tell of another place (a town's name too) or time, in a clause of what is over; None where none do.
    """
    if (read := _read_from(tokens)) is not None:
        return read
    if (not towns and _ELSEWHERE.isdisjoint(tokens)) or not over(tokens) or not _NOT_YET.isdisjoint(tokens):
        return None
    if towns:
        return towns[0]
    for at, token in enumerate(tokens):
        before = {*tokens[max(0, at - 4) : at]}
        there = token in _PLACES and before & _AT_PLACE and not _HERE & {*tokens[max(0, at - 2) : at]}
        there = there and "recovery" not in before  # where one goes after this case
        then = token in _THEN or (token in _TIMES and tokens[max(0, at - 1)] in _AT_TIME)
        if there or then:
            return at
    return None


def _read_from(tokens: Sequence[str]) -> int | None:
    """ "It says in the old report", "the letter reads": where the paper of another time is named."""
    if _PAPERS.isdisjoint(tokens) or _SAY.isdisjoint(tokens):
        return None
    for at, token in enumerate(tokens):
        if token in _PAPERS and {*tokens[:at]} & _THE:
            near = tokens[max(0, at - 5) : at]
            if {*near} & _IN or {*tokens[at + 1 : at + 2]} & _SAY:
                return at
    return None


def clause_around(tokens: Sequence[str], at: int) -> tuple[int, int]:
    """The tokens around one, up to a word that turns to another matter, or to where we did something, or a report of
    its own begins behind what tells what was over: "he'd stented it, we placed a second one".
    """
    turns = [index for index, token in enumerate(tokens) if token in TURNS or _begins_anew(tokens, index)]
    first = max((index for index in turns if index < at), default=0)
    return first, min((index for index in turns if index > at and over(tokens[first:index])), default=len(tokens))


def _begins_anew(tokens: Sequence[str], at: int) -> bool:
    """Whether a comma or an "and" begins what we did, or what was done with a thing of its own."""
    if tokens[at] not in {",", "and"} or not over(tokens[:at]):
        return False
    if tokens[at + 1 : at + 2] and tokens[at + 1] in _SPEAKERS:
        return not _SPEAKERS & {*tokens[:at]}
    past = next((index for index in range(at + 1, len(tokens)) if tokens[index] == ","), len(tokens))
    verbs = [index for index in range(at + 1, past) if tokens[index] in DID | {"is"}]
    return tokens[at] == "," and bool(verbs) and verbs[0] > at + 2
