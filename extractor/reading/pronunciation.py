"""Words -> how they are said: by the lexicons' own word, else by the CMU Pronouncing Dictionary, else by their letters.

Letter to sound is a short ordered list of rules, the method of Elovitz et al. 1976, "Automatic translation of English
text to phonetics by means of letter-to-sound rules" (NRL Report 7948). The rules are ours and lean towards the Greek
and Latin of the trade. They need not be right: what a recogniser misspelt and the term it meant are read by the same.
"""

import re
from collections.abc import Iterable, Mapping

from extractor.lexicon import dictionary
from extractor.reading.phones import joined, spelled

#: Letters, with what must stand around them -> phones. The first that fits at a place is taken; it eats its letters.
_RULES = {
    # Greek and Latin
    r"^ps": "S", r"^pn": "N", r"^x": "Z", r"^eu": "Y UW", r"^ch(?=[lr])": "K", r"^gn|^kn": "N", r"^wr": "R",
    r"^wh": "W", r"^mc": "M AH K", r"^micro": "M AY K R OW", r"^pseudo": "S UW D OW", r"^post": "P OW S T",
    r"^pre": "P R IY", r"^hydro": "HH AY D R OW", r"^hyper": "HH AY P ER", r"^aort": "EY AO R T", r"guide": "G AY D",
    r"wire": "W AY ER", r"sch": "S K", r"rrh|rh": "R", r"phth": "F TH", r"ph": "F", r"th": "TH",
    r"(?<=[aeo])ch(?=[ioy][oldn]|ia)": "K", r"(?<=bra)ch(?=ia)": "K", r"ch(?=ol|em|or[di]|ar[ai])": "K", r"tch": "CH",
    r"ch": "CH", r"x(?=[cs])": "K", r"xh?": "K S",
    # endings
    r"aemia$": "IY M IY AH", r"osis$": "OW S AH S", r"oses$": "OW S IY Z", r"itis$": "AY T AH S",
    r"sm(?=s?$)": "Z AH M", r"ti(?=on|al|ent|ous|an\b)": "SH", r"(?<=[aeiou])si(?=on)": "ZH", r"ssi(?=on)": "SH",
    r"si(?=on)": "SH", r"ci(?=an|al|ous|ent)": "SH", r"on(?=s?$)": "AH N", r"an(?=s?$)": "AH N", r"en(?=s?$)": "AH N",
    r"al(?=s?$|ly$)": "AH L", r"ture(?=s?$)": "CH ER", r"sure(?=s?$)": "ZH ER", r"ous$": "AH S", r"us$": "AH S",
    r"um$": "AH M", r"ery$": "ER IY", r"ary$": "EH R IY", r"ory$": "AO R IY", r"ity$": "AH T IY",
    r"age(?=s?$)": "IH JH", r"caine$": "K EY N", r"(?<=[a-z]{3})ine$": "IY N", r"(?<=[a-z]{3})in$": "IH N",
    r"ile$": "AY L", r"ive(?=s?$)": "IH V", r"ase$": "EY S", r"oscop": "AA S K AH P", r"ectom": "EH K T AH M",
    r"ostom": "AA S T AH M", r"otom": "AA T AH M", r"ogram": "AH G R AE M", r"ograph(?=y)": "AA G R AH F",
    r"ature$": "AH CH ER", r"(?<=[^aeiou])ate(?=[sd]?$)": "EY T", r"(?<=[dt])ed$": "AH D",
    r"(?<=[a-z][pkfsxc])ed$": "T", r"(?<=[a-z]{2})ed$": "D", r"(?<=[^aeiou])les$": "AH L Z",
    r"(?<=[bcdfgkptz])le$": "AH L", r"(?<=[a-z])er(?=s?$)": "ER", r"(?<=[a-z][a-z])or(?=s?$)": "ER",
    r"(?<=[a-z])ar(?=s?$)": "ER", r"a(?=ti)": "EY", r"(?<=[sxz])es$": "AH Z", r"(?<=ch)es$": "AH Z",
    r"(?<=[a-z])es$": "Z",
    # vowels before a last silent e
    r"a(?=[bcdfgklmnpstvz](?:e|es|ed|ing)$)": "EY", r"i(?=[bcdfgklmnpstvz](?:e|es|ed|ing)$)": "AY",
    r"o(?=[bcdfgklmnpstvz](?:e|es|ed|ing)$)": "OW", r"u(?=[bcdfgklmnpstvz](?:e|es|ed|ing)$)": "UW",
    r"y(?=[bcdfgklmnpstvz](?:e|es)$)": "AY", r"(?<=[a-z])e$": "",
    # vowels together
    r"aigh|eigh": "EY", r"igh(?=t|$)": "AY", r"augh|ough(?=t)": "AO", r"ough": "OW", r"air": "EH R",
    r"eer|ear": "IY R", r"our": "AO R", r"oor|oar": "AO R", r"ae|oe": "IY", r"ai|ay|ei(?=n)": "EY", r"au|aw": "AO",
    r"ea(?=d|th|lth)": "EH", r"ee|ea(?!l$|t[eo])|ie(?=[a-z])|ei|ey": "IY", r"eu|ew|ue(?=s?$)": "UW", r"oa": "OW",
    r"oi|oy": "OY", r"oo": "UW", r"ou|ow(?=n)": "AW", r"ow": "OW", r"ui(?=t)": "UW", r"ie$": "IY", r"ia": "IY AH",
    r"io": "IY OW", r"iu": "IY AH", r"eo": "IY OW", r"ea": "IY AH", r"ua": "UW AH", r"uo": "UW OW", r"uu": "UW",
    # vowels with r
    r"ar(?![aeiouyr])": "AA R", r"or": "AO R", r"(?:e|i|u)r(?![aeiouyr])": "ER", r"yr(?![aeiouy])": "ER",
    r"er(?=[aeiou])": "EH R",
    # consonants
    r"bb?": "B", r"ck|cch?(?=[aour])": "K", r"cc(?=[ei])": "K S", r"c(?=[eiy])": "S", r"sc(?=[eiy])": "S", r"cq?": "K",
    r"dg(?=e)": "JH", r"dd?": "D", r"ff?": "F", r"gh(?=[aeiou])": "G", r"gh": "", r"gg": "G", r"g(?=[eiy])": "JH",
    r"g": "G", r"(?<=[aeiou])h(?![aeiouy])": "", r"h": "HH", r"j": "JH", r"kk?": "K", r"ll?": "L", r"mm?n$": "M",
    r"mm?": "M", r"ng$|ng(?=s?$|[bcdfghklmnpqtvwz])": "NG", r"n(?=k|[gc][aou]|x)": "NG", r"nn?": "N", r"pp?": "P",
    r"qu": "K W", r"q": "K", r"rr?": "R", r"sh": "SH", r"ss": "S", r"(?<=[aeiou])s(?=[aeiou])": "S",
    r"(?<=[bdglmnrv])s$": "Z", r"s": "S", r"tt?": "T", r"vv?": "V", r"w": "W", r"^y|y(?=[aeou])": "Y", r"zz?": "Z",
    # single vowels
    r"^a(?=n[aeo]|[bcdgp][aeo])": "AH", r"a(?=$|h$)": "AH", r"a": "AE", r"e": "EH", r"i(?=$|[aeou])": "IY",
    r"^i": "IH", r"(?<=^[bcdfghklmnprstvw])i(?=[bcdfgklmnprstv][aeou])": "AY", r"i": "IH",
    r"o(?=$|[ae]|[bcdfgjklmnprstvz][ieoau])": "OW", r"o": "AA", r"^u(?=ni|r[aeiou]|t)": "Y UW",
    r"u(?=$|[bcdfgklmnprstvz][aeiou])": "UW", r"u": "AH", r"(?<=^[a-z])y$": "AY", r"(?<=^[a-z]{2})y$": "AY",
    r"y$": "IY", r"y(?=[a-z][aeio])": "AY", r"y": "IH",
}  # fmt: skip
_RULE = re.compile("|".join(f"({pattern})" for pattern in _RULES))
_SOUNDS = [spelled(phones) for phones in _RULES.values()]
_LETTERS = re.compile(r"[a-z]+")
#: Letters said by their names: "GTN", "SFA". A word without a vowel is said so.
_NAMES = {
    letter: spelled(said)
    for letter, said in zip(
        "abcdefghijklmnopqrstuvwxyz",
        "EY|B IY|S IY|D IY|IY|EH F|JH IY|EY CH|AY|JH EY|K EY|EH L|EH M|EH N|OW|P IY|K Y UW|AA R|EH S|T IY|Y UW|V IY|"
        "D AH B AH L Y UW|EH K S|W AY|Z IY".split("|"),
        strict=True,
    )
}


class Pronouncer:
    """Knows how words are said. ``said`` are further words of the language and every way they are said, as ARPAbet:
    none where they are said as their letters are.
    """

    def __init__(self, said: Mapping[str, Iterable[str]] | None = None) -> None:
        self._said = {word: tuple(map(spelled, ways)) for word, ways in (said or {}).items()}
        self._dictionary = dictionary()
        self._known: dict[str, tuple[str, ...]] = {}

    def ways(self, word: str) -> tuple[str, ...]:
        """A word in small letters -> every way it is said, the usual one first; none for what has no letters."""
        if word not in self._known:
            self._known[word] = self._ways(word)
        return self._known[word]

    def _ways(self, word: str) -> tuple[str, ...]:
        if said := self._said.get(word):
            return said
        if ways := self._dictionary.get(word.encode()):
            return tuple(dict.fromkeys(spelled(way.decode()) for way in ways.split(b"|")))
        if word[-1:] == "s" and (single := self._said.get(word[:-1])):
            return tuple(way + spelled("Z") for way in single)
        pieces = _LETTERS.findall(word)
        if len(pieces) > 1:
            return (joined([self.ways(piece)[0] for piece in pieces]),)
        return (by_letters(pieces[0]),) if pieces else ()

    def ordinary(self, word: str) -> bool:
        """Whether a word is one of the language, which a recogniser may have written because it was said."""
        return word in self._said or word.encode() in self._dictionary


def by_letters(word: str) -> str:
    """Small letters a to z -> phones, by rule."""
    if not re.search("[aeiouy]", word):
        return "".join(_NAMES[letter] for letter in word)
    phones = (_SOUNDS[(match.lastindex or 1) - 1] for match in _RULE.finditer(word))
    return joined([phone for phone in phones if phone])
