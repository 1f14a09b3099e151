"""Words -> which of them may tell who somebody is. Pure, by rules; recall before precision: a person confirms.

Looked for, after the list of identifiers of 45 CFR 164.514(b)(2) (from memory): names, places smaller than a
country, dates but for the year, ages over 89, numbers that identify, addresses of the net. Not found: names in a
transcript without capitals and without a word that announces them, and what tells by its meaning alone. What another
finder saw is added (``also``), never taken for enough.
"""

import re
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass

from extractor.lexicon import Lexicon, pieces

Found = Iterator[tuple[int, int, str]]


@dataclass(frozen=True)
class Removal:
    """Words ``[first, past)`` and what they may be: name, place, date, age, number."""

    first: int
    past: int
    kind: str


_TITLES = frozenset("mr mrs ms miss dr doctor professor prof sister nurse sir lady lord dame reverend father".split())
_ALWAYS = frozenset("mr mrs ms miss".split())
_PLACES = frozenset(
    "hospital infirmary clinic ward street road avenue lane drive square university college school surgery hospice "
    "county town village city trust centre center institute".split()
)
_MONTHS = frozenset(
    "january february march april may june july august september october november december jan feb apr jun jul aug sep "
    "sept oct nov dec".split()
)
_ORDINALS = frozenset(
    "first second third fourth fifth sixth seventh eighth ninth tenth eleventh twelfth thirteenth fourteenth fifteenth "
    "sixteenth seventeenth eighteenth nineteenth twentieth thirtieth twenty-first twenty-second twenty-third "
    "twenty-fourth twenty-fifth twenty-sixth twenty-seventh twenty-eighth twenty-ninth thirty-first".split()
)
_DIGITS = frozenset("oh zero one two three four five six seven eight nine double triple".split())
_TENS = frozenset("twenty thirty forty fifty sixty seventy eighty ninety".split())
_TEENS = frozenset(
    "ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen hundred thousand".split()
)
_NUMBERED = frozenset(
    "number mrn nhs phone telephone mobile extension bleep pager accession serial lot identifier postcode zip".split()
)
_FILLERS = frozenset("is was number the it's its of and".split())
#: Small words inside a name: "van den Berg", "Stratford upon Avon". From memory.
_PARTICLES = frozenset(
    "van von vom zu zur zum den der dem de del della di da do dos du des la le les ten ter am upon sur".split()
)
#: What stands before a place's own name. From memory.
_PLACE_HEADS = frozenset(
    "new port north south east west saint mount lake fort great little upper lower old bad".split()
)
#: What a street's name ends in, in German, Dutch and the Nordic languages, written as one word with it. From memory.
_STREET_ENDS = (
    "straße", "strasse", "str", "gasse", "weg", "allee", "platz", "ring", "ufer", "damm", "hof",
    "straat", "laan", "gracht", "singel", "pad", "baan", "dijk", "dreef",
    "plein", "kade", "gatan", "vägen", "gränd", "vej", "gade", "veien", "gata",
)  # fmt: skip
#: What a street's name begins with in French, Italian, Spanish, Portuguese and Polish. From memory.
_STREET_HEADS = frozenset(
    "rue avenue boulevard chemin impasse quai via viale piazza calle plaza avenida rua ulica aleja plac".split()
)
#: Words that announce where somebody lives.
_ANNOUNCE_HOME = (
    ("address", "is"),
    ("home", "is"),
    ("lives", "at"),
    ("lives", "in"),
    ("living", "at"),
    ("living", "in"),
)
#: What only a person or a house does: a word with a capital before it that begins a sentence is no device.
_OF_SOMEBODY = frozenset(
    "sent asked asks referred phoned called calls rang told tells wrote says said wants wanted reported transferred "
    "confirmed wondered replied".split()
)
#: Marks of shortening: the full stop behind them ends no sentence.
_SHORT = frozenset("al apt dr mr mrs ms nr pl prof st ste str ul".split())
#: A number of a house.
_HOUSE = re.compile(r"\d+[a-z]?([-/]\d+[a-z]?)*")
#: What begins a sentence with a capital and is nobody's name. Ours, no source.
_OPENERS = frozenset(
    "a about after again all almost also and another any are as at back be before better both bring but by can careful "
    "check close come could do does done don't down easy every everybody everyone excellent fine first flush follow "
    "for from gently get give go going good great half has have he hello her here hi hold how i i'd i'll i'm i've if "
    "in inflate inflating is it it's its just keep last leave left let let's like look looks lovely make maybe more "
    "morning my nearly next nice no not nothing now of off oh okay on once one only or our out over perfect perhaps "
    "please pull push ready right run same say screen see sharp she should show slowly small so somebody someone "
    "sorry start still stop take tell thank thanks that that's the them then there there's they this those three time "
    "to today turn two under until up very wait was we we'll we're we've welcome well what when where which while who "
    "why will with would yes yesterday you your".split()
)
#: Names that have become words of the trade. Ours, from memory.
_TRADE = frozenset(
    "french doppler seldinger valsalva trendelenburg timi fluoro iv ct mri x-ray xray luer english".split()
)
_DAYS = frozenset("monday tuesday wednesday thursday friday saturday sunday christmas easter".split())
#: What stands where something was taken out already.
_TAKEN_OUT = re.compile(r"\[(name|place|date|age|number)\]")
_NET = re.compile(r"@|^www\.|^https?:|\.(com|org|net|uk)$", re.IGNORECASE)
_DATE = re.compile(r"\d{1,2}[/.]\d{1,2}[/.]\d{2,4}|\d{4}-\d{2}-\d{2}|\d{1,2}-\d{1,2}-\d{4}")


def known_words(lexicon: Lexicon) -> frozenset[str]:
    """Every single word of the lexicon's spoken forms: a capital on one of them names nobody."""
    ways = [
        way
        for table in (lexicon.device, lexicon.qualifier, lexicon.drug, lexicon.finding, lexicon.vessel, lexicon.side,
                      lexicon.part, lexicon.action, lexicon.cue, lexicon.phrase, lexicon.unit)
        for entry in table
        for line in entry.spoken
        for piece in pieces(line)
        for way in piece
    ]  # fmt: skip
    return frozenset(word.lower() for way in ways for word in way.split())


def find(words: Sequence[str], known: frozenset[str], also: Iterable[Removal] = ()) -> tuple[Removal, ...]:
    """Words in order -> what to take out, in order, nothing overlapping; words of one kind in a row stand as one."""
    talk = _Talk(words, known)
    marks: dict[int, str] = {}
    for rule in (_net, _dates, _ages, _numbers, _titled, _introduced, _homes, _streets, _places, _capitals):
        for first, past, kind in rule(talk):
            for at in range(first, min(past, len(words))):
                marks.setdefault(at, kind)
    for each in also:
        for at in range(each.first, each.past):
            if talk.low[at] not in known | _OPENERS:
                marks.setdefault(at, each.kind)
    _said_again(talk, marks)
    marks = {at: kind for at, kind in marks.items() if not _TAKEN_OUT.match(words[at])}
    return _joined(marks)


class _Talk:
    """The words without their marks, and where sentences begin."""

    def __init__(self, words: Sequence[str], known: frozenset[str]) -> None:
        self.bare = ["" if _TAKEN_OUT.match(word) else re.sub(r"^\W+|\W+$", "", word) for word in words]
        self.low = [re.sub(r"['’]s$", "", each.lower()) for each in self.bare]
        self.begins = [at == 0 or self._ends(words[at - 1], self.low[at - 1], self.low[at]) for at in range(len(words))]
        self.plus = [word.startswith(("+", "0")) for word in words]
        self.comma = [word.endswith(",") for word in words]
        self.known = known | _TRADE | _DAYS

    @staticmethod
    def _ends(word: str, low: str, following: str) -> bool:
        """Whether a sentence ends with this word."""
        end = word.rstrip("\"'”’")[-1:]
        is_short = (low in _SHORT or low.endswith("str")) and following not in _OPENERS
        return end in ("?", "!", ":") or (end == "." and not is_short)

    def past_name(self, at: int, most: int = 8) -> int:
        """Where a name that begins here ends: capitals, and small words between them."""
        past = at + 1
        while past < min(at + most, len(self.low)) and not self.comma[past - 1]:
            after = past
            while after < len(self.low) and self.low[after] in _PARTICLES and not self.begins[after]:
                after += 1
            if after >= len(self.low) or not self.has_capital(after) or (after > past and not self.is_name_like(after)):
                break
            past = after + 1
        return past

    def is_street(self, at: int) -> bool:
        return at < len(self.low) and self.bare[at][:1].isupper() and self.low[at].endswith(_STREET_ENDS)

    def is_house(self, at: int) -> bool:
        return at < len(self.low) and not self.begins[at] and bool(_HOUSE.fullmatch(self.low[at]))

    def is_name_like(self, at: int) -> bool:
        """A capital and small letters, and none of the trade's words."""
        bare = self.bare[at] if at < len(self.bare) else ""
        is_word = bool(re.fullmatch(r"[^\W\d_]+(['’.-][^\W\d_]+)*", bare))
        is_abbreviation = bare.isupper() and len(bare) <= 5
        if self.is_number(at) or self.low[at] in _TITLES:
            return False
        return is_word and bare[:1].isupper() and not is_abbreviation and len(bare) > 1 and not self.is_known(at)

    def has_capital(self, at: int) -> bool:
        """A capital that no sentence's beginning explains, and that is no title's."""
        return (
            0 <= at < len(self.bare) and self.bare[at].istitle() and not self.begins[at] and self.low[at] not in _TITLES
        )

    def is_known(self, at: int) -> bool:
        return (
            self.low[at] in self.known
            or self.low[at].rstrip("s") in self.known
            or re.match(r"i['’]", self.low[at]) is not None
        )

    def is_number(self, at: int) -> bool:
        if not 0 <= at < len(self.low):
            return False
        return (
            bool(re.fullmatch(r"\d+(st|nd|rd|th)?", self.low[at]))
            or not set(self.low[at].split("-")) - (_DIGITS | _TENS | _TEENS | _ORDINALS)
            or self.low[at] in _ORDINALS
        )


def _titled(talk: _Talk) -> Found:
    for at, word in enumerate(talk.low):
        if word not in _TITLES or at + 1 >= len(talk.low):
            continue
        first = past = at + 1
        while past + 1 < len(talk.low) and talk.low[past] in _PARTICLES:
            past += 1
        if word in _ALWAYS or talk.is_name_like(past) or talk.has_capital(past):
            past += 1
            while past < len(talk.low) and past < at + 6 and talk.is_name_like(past) and not talk.begins[past]:
                past += 1
            yield first, past, "name"


def _introduced(talk: _Talk) -> Found:
    """ "name is …", "named …", "called …": the words behind, whether or not they have capitals."""
    for at, word in enumerate(talk.low):
        start = at + 2 if word == "name" and talk.low[at + 1 : at + 2] == ["is"] else at + 1
        if (word == "name" and start == at + 2) or word in ("named", "surname"):
            past = start
            while past < min(start + 3, len(talk.low)) and not (past > start and talk.begins[past]):
                if past > start and talk.low[past] in _OPENERS | talk.known:
                    break
                past += 1
            yield start, past, "name"


def _capitals(talk: _Talk) -> Found:
    for at in range(len(talk.low)):
        if not talk.is_name_like(at):
            continue
        if not talk.begins[at]:
            first, past = at, at + 1  # and what stands beside it with a capital: "Leeds General", "Flat 4 New Leeds"
            while talk.has_capital(past) and len(talk.low[past]) > 2:
                past += 1
            past = max(past, talk.past_name(at))
            if talk.is_house(past) and (past > at + 1 or talk.is_street(past - 1)):
                past += 1
            while first and (
                talk.has_capital(first - 1)
                or re.fullmatch(r"\d+[a-z]?", talk.low[first - 1])
                or (talk.begins[first - 1] and talk.bare[first - 1].istitle() and talk.low[first - 1] in _PLACE_HEADS)
            ):
                first -= 1
            if talk.low[at] not in _OPENERS - {"will", "may"}:
                yield first, past, "name"
        elif talk.low[at] not in _OPENERS:
            past = talk.past_name(at)
            is_somebody = past < len(talk.low) and not talk.begins[past] and talk.low[past] in _OF_SOMEBODY
            if talk.comma[at] or past > at + 1 or is_somebody:
                yield at, past, "name"


def _homes(talk: _Talk) -> Found:
    """ "The address is …": numbers, capitals and small words up to a comma or what is neither."""
    for at in range(len(talk.low) - 2):
        if (talk.low[at], talk.low[at + 1]) not in _ANNOUNCE_HOME:
            continue
        first = past = at + 2
        while past < len(talk.low) and not talk.begins[past] and past < first + 9:
            is_part = (
                talk.is_house(past) or talk.bare[past][:1].isupper() or talk.low[past] in _PARTICLES | _STREET_HEADS
            )
            if not is_part or (past > first and talk.comma[past - 1] and not talk.is_house(past - 1)):
                break
            past += 1
        if past > first and any(talk.is_name_like(each) for each in range(first, past)):
            yield first, past, "place"


def _streets(talk: _Talk) -> Found:
    """ "12, rue de Quimby", "Quimbystraße 4": with the number of the house."""
    for at, word in enumerate(talk.low):
        if word in _STREET_HEADS:
            past = at + 1
            while past < len(talk.low) and talk.low[past] in _PARTICLES:
                past += 1
            if past < len(talk.low) and not talk.begins[past] and talk.is_name_like(past):
                past = talk.past_name(past)
                yield at - talk.is_house(at - 1), past + talk.is_house(past), "place"
        elif talk.is_street(at) and not talk.begins[at] and talk.is_house(at + 1):
            first = at
            while first and (talk.has_capital(first - 1) or talk.low[first - 1] in _PARTICLES):
                first -= 1
            yield first, at + 2, "place"


def _places(talk: _Talk) -> Found:
    for at, word in enumerate(talk.low):
        if word in _PLACES and at and not talk.begins[at]:
            first = at
            while first > 0 and (talk.has_capital(first - 1) or talk.is_name_like(first - 1)):
                first -= 1
                if talk.begins[first]:
                    break
            if first < at and not (talk.begins[first] and talk.low[first] in _OPENERS):
                start = first - 1 if first and re.fullmatch(r"\d+\w?", talk.bare[first - 1]) else first
                yield start, at + 1, "place"
        if re.fullmatch(r"[a-z]{1,2}\d[a-z\d]?", word) and re.fullmatch(
            r"\d[a-z]{2}", "".join(talk.low[at + 1 : at + 2])
        ):
            yield at, at + 2, "place"


def _dates(talk: _Talk) -> Found:
    for at, word in enumerate(talk.low):
        if _DATE.fullmatch(talk.bare[at]):
            yield at, at + 1, "date"
        if word not in _MONTHS:
            continue
        first, past = at, at + 1
        while first > 0 and (
            talk.is_number(first - 1)
            or (
                talk.low[first - 1] in ("of", "the")
                and talk.is_number(first - 2 if talk.low[first - 1] == "of" else first)
            )
        ):
            first -= 1
        while (
            past < len(talk.low)
            and past < at + 6
            and not talk.begins[past]
            and (talk.is_number(past) or talk.low[past] == "the")
        ):
            past += 1
        is_doubtful = word in (
            "may",
            "march",
            "mar",
            "jan",
            "dec",
            "sept",
            "oct",
            "nov",
            "feb",
            "apr",
            "jun",
            "jul",
            "aug",
            "sep",
        )
        if first < at or past > at + 1 or not is_doubtful or (talk.bare[at].istitle() and not talk.begins[at]):
            yield first, past, "date"


def _ages(talk: _Talk) -> Found:
    for at, word in enumerate(talk.low):
        parts = word.split("-")
        is_old = parts[0] == "ninety" or (parts[0].isdigit() and 90 <= int(parts[0][:4]) <= 130) or word == "hundred"
        if not is_old:
            continue
        past = at + 1
        while past < len(talk.low) and talk.low[past] in _DIGITS | _TEENS | {"and"}:
            past += 1
        after = talk.low[past : past + 2]
        before = talk.low[max(0, at - 2) : at]
        if (
            "year" in parts
            or "years" in parts
            or after[:1] in (["year"], ["years"], ["year-old"])
            or {"aged", "age"} & set(before)
        ):
            first = at - 1 if word == "hundred" and before[-1:] in (["a"], ["one"]) else at
            yield first, past, "age"


def _numbers(talk: _Talk) -> Found:
    at = 0
    while at < len(talk.low):
        past = at
        while past < len(talk.low) and talk.low[past] in _DIGITS and not (past > at and talk.begins[past]):
            past += 1
        if past - at >= 5:
            yield at, past, "number"
        at = max(past, at + 1)
    at = 0
    while at < len(talk.low):  # groups of figures with nothing between them: a telephone number
        past = at
        while past < len(talk.low) and re.fullmatch(r"\d+([-/]\d+)*|\d+\)\d+|\d+\(\d+(\)\d*)?", talk.bare[past]):
            past += 1
            if talk.comma[past - 1] or (past < len(talk.begins) and talk.begins[past]):
                break
        groups = [re.sub(r"\D", "", each) for each in talk.bare[at:past]]
        if sum(map(len, groups)) >= 9 and (max(map(len, groups)) >= 3 or talk.plus[at]):
            yield at, past, "number"
        at = max(past, at + 1)
    for at, word in enumerate(talk.low):
        digits = sum(letter.isdigit() for letter in word)
        letters = sum(letter.isalpha() for letter in word)
        if digits >= 6 or (digits >= 3 and letters and digits + letters >= 6):
            first = at
            while first and re.fullmatch(r"\d+(\(\d+)?\)?", talk.bare[first - 1]):
                first -= 1
            yield first, at + 1, "number"
        if word in _NUMBERED:
            start = at + 1
            while start < len(talk.low) and talk.low[start] in _FILLERS | _NUMBERED:
                start += 1
            past = start
            while (
                past < len(talk.low)
                and not (past > start and talk.begins[past])
                and (
                    talk.is_number(past)
                    or any(letter.isdigit() for letter in talk.low[past])
                    or len(talk.low[past]) == 1
                )
            ):
                past += 1
            said = talk.low[start:past]
            if len(said) >= 3 or sum(letter.isdigit() for each in said for letter in each) >= 3:
                yield start, past, "number"


def _net(talk: _Talk) -> Found:
    for at, word in enumerate(talk.bare):
        if _NET.search(word):
            yield at, at + 1, "number"


def _said_again(talk: _Talk, marks: dict[int, str]) -> None:
    """A name found once is one everywhere, with a capital or without where it is long enough to be no other word."""
    names = {
        talk.low[at]
        for at, kind in marks.items()
        if kind in ("name", "place") and len(talk.low[at]) > 2 and talk.low[at] not in talk.known | _OPENERS | _PLACES
    }
    for at, word in enumerate(talk.low):
        if word in names and (talk.bare[at][:1].isupper() or len(word) > 4):
            marks.setdefault(at, "name")


def _joined(marks: dict[int, str]) -> tuple[Removal, ...]:
    found: list[Removal] = []
    for at in sorted(marks):
        if found and found[-1].past == at and found[-1].kind == marks[at]:
            found[-1] = Removal(found[-1].first, at + 1, marks[at])
        else:
            found.append(Removal(at, at + 1, marks[at]))
    return tuple(found)


def shown(words: Sequence[str], removals: Collection[Removal]) -> list[str]:
    """Words -> the same without what is taken out: ``[name]`` for the first of each, nothing for the others."""
    texts = list(words)
    for each in removals:
        end = re.search(r"[.,;:?!]*$", words[each.past - 1])
        texts[each.first : each.past] = [f"[{each.kind}]{end[0] if end else ''}", *[""] * (each.past - each.first - 1)]
    return texts
