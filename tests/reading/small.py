"""A lexicon small enough to know by heart, and what the tests of the reading room read with it."""

from extractor.lexicon import Action, Cue, Device, Drug, Finding, Lexicon, Misheard, Phrase, Place, Qualifier, Unit
from extractor.model import Item, Sentence, Status, Word
from extractor.reading.statements import Reader
from extractor.reading.terms import Term, TermFinder
from extractor.reading.tokens import tokenise

SMALL = Lexicon(
    device=(
        Device(name="balloon", kind="inflation", spoken=("balloon",)),
        Device(name="stent", kind="stent", spoken=("stent",)),
        Device(name="stent", kind="stent", nickname="graft", spoken=("stent graft",)),
        Device(name="sheath", kind="insert", spoken=("sheath",)),
        Device(name="wire", kind="insert", spoken=("wire",)),
        Device(name="catheter", kind="insert", nickname="pigtail", spoken=("pigtail",)),
        Device(name="coil", kind="embolise", spoken=("coil",)),
        Device(name="particles", kind="embolise", spoken=("particle",)),
    ),
    qualifier=(
        Qualifier(name="stiff", spoken=("stiff",), stands_for="wire"),
        Qualifier(name="long", spoken=("long",)),
    ),
    drug=(
        Drug(name="heparin", spoken=("heparin",), unit="[iU]"),
        Drug(name="fentanyl", spoken=("fentanyl",), unit="ug"),
        Drug(name="lidocaine", spoken=("lidocaine", "local"), unit="mL"),
    ),
    finding=(
        Finding(name="dissection", spoken=("dissection", "flap")),
        Finding(name="spasm", spoken=("spasm",)),
        Finding(name="stenosis", spoken=("stenosis",)),
    ),
    vessel=(Place(name="common femoral artery", spoken=("common femoral", "common femoral artery")),),
    side=(Place(name="left", spoken=("left",)), Place(name="right", spoken=("right",))),
    part=(Place(name="mid", spoken=("mid",)),),
    action=(
        Action(name="particle", spoken=("is in", "'s in", "in", "down")),
        Action(name="give", spoken=("given", "in")),
        Action(name="deflate", spoken=("down",)),
    ),
    cue=(
        Cue(
            status=Status.NEGATED,
            spoken=("no", "no more", "not"),
            reach="mention",
            not_before=("doubt", "one"),
            not_after=("why",),
        ),
        Cue(status=Status.NEGATED, spoken=("not seen",), look="back"),
        Cue(status=Status.NEGATED, spoken=("none",), look="back", reach="mention"),
        Cue(status=Status.NEGATED, spoken=("so no",), reach="mention"),
        Cue(status=Status.CONSIDERED, spoken=("might", "if"), reach="sentence"),
        Cue(status=Status.QUOTED, spoken=("chart",), reach="sentence"),
        Cue(status=Status.PAST, spoken=("last week",), look="both", reach="sentence"),
        Cue(status=Status.PAST, spoken=("on friday",), look="both", reach="sentence", weak=True),
        Cue(status=Status.PLANNED, spoken=("please", "next"), look="both"),
    ),
    phrase=(
        Phrase(name="correction", spoken=("sorry", "i mean", "no", "make that")),
        Phrase(name="denial", spoken=("not",)),
        Phrase(name="idiom", spoken=("no problem", "if you like")),
    ),
    unit=(
        Unit(code="mm", quantity="length", spoken=("millimetre", "millimetres", "mm")),
        Unit(code="mm", quantity="length", times=0.001, spoken=("micron",)),
        Unit(code="cm", quantity="length", spoken=("centimetre", "centimetres", "cm")),
        Unit(code="[Ch]", quantity="gauge", spoken=("french", "f")),
        Unit(code="atm", quantity="pressure", spoken=("atmosphere", "atmospheres", "atm")),
        Unit(code="mL", quantity="volume", spoken=("mil", "mils")),
        Unit(code="mL/s", quantity="rate", spoken=("mils a second",)),
        Unit(code="/s", quantity="frame-rate", spoken=("frames", "frames a second")),
        Unit(code="[iU]", quantity="activity", spoken=("unit", "units")),
        Unit(code="ug", quantity="mass", spoken=("microgram", "micrograms")),
        Unit(code="s", quantity="time", spoken=("second", "seconds", "s")),
        Unit(code="min", quantity="time", spoken=("minute", "minutes")),
        Unit(code="%", quantity="fraction", spoken=("percent", "%")),
    ),
    misheard=(
        Misheard(read="heparin", heard=("pepper and", "heppering")),
        Misheard(read="sheath", heard=("sheet",), near=("french",)),
        Misheard(read="atmospheres", heard=("hemispheres",)),
    ),
)
READER = Reader(SMALL)
FINDER = TermFinder(SMALL)


def words_of(text: str, pauses: dict[int, int] | None = None) -> tuple[Word, ...]:
    """Words of 300 ms, 50 ms apart; ``pauses`` adds milliseconds before a word, by its number."""
    words, at_ms = [], 0
    for number, said in enumerate(text.split()):
        at_ms += (pauses or {}).get(number, 0)
        words.append(Word(text=said, start_ms=at_ms, end_ms=at_ms + 300))
        at_ms += 350
    return tuple(words)


def read(text: str) -> list[Sentence]:
    """Text, spoken without a pause -> its sentences."""
    return READER.read(words_of(text))[0]


def items(text: str, *kinds: str) -> list[Item]:
    """Text -> its items of some kinds, of all sentences in order."""
    return [item for sentence in read(text) for item in sentence.items if item.kind in kinds]


def terms(text: str) -> list[Term]:
    """Text -> the terms of the small lexicon in it."""
    return FINDER.find(tokenise(text.split()))
