"""What may tell who somebody is: found by kind, and how much of it is found among identifiers nobody here invented."""

import logging
import random
from collections import Counter
from collections.abc import Iterator
from functools import cache

import pytest
from faker import Faker

from extractor import lexicon
from extractor.teaching.deidentify import find, known_words, shown


@cache
def known() -> frozenset[str]:
    return known_words(lexicon.load())


def told(text: str) -> str:
    words = text.split()
    return " ".join(word for word in shown(words, find(words, known())) if word)


FOUND = {
    "name with a title": ("Thank you, Dr Quimby, sheath in.", "Thank you, Dr [name], sheath in."),
    "mr without capitals": ("we start with mr quimby now", "we start with mr [name] now"),
    "title alone": ("Thank you doctor, sheath in.", "Thank you doctor, sheath in."),
    "name called": ("Wire please, Anselma.", "Wire please, [name]."),
    "name that begins a sentence": ("Ready? Anselma, pull back.", "Ready? [name], pull back."),
    "two names that begin a sentence": ("Ready? Anselma Quimby is here.", "Ready? [name] is here."),
    "name announced": ("her name is anselma quimby and we start", "her name is [name] and we start"),
    "name of two words": ("We saw Anselma Quimby today.", "We saw [name] today."),
    "name with an apostrophe": ("That is O'Quimby's wire.", "That is [name] wire."),
    "hospital": ("Sent from Quimby General Hospital, this one.", "Sent from [place], this one."),
    "street": ("He lives in 12 Quimby Street.", "He lives in [place]."),
    "postcode": ("He lives in QU1 2IM.", "He lives in [place]."),
    "date in words": ("On the third of March 2021, a stent.", "On [date], a stent."),
    "date in figures": ("Seen 12/03/2021 and 2021-03-12.", "Seen [date] and [date]."),
    "month alone": ("Seen in October.", "Seen in [date]."),
    "may and march": ("We may march on. May I have it?", "We may march on. May I have it?"),
    "year alone": ("Stented in 2019.", "Stented in 2019."),
    "age over 89": ("This ninety two year old man.", "This [age] year old man."),
    "age in figures": ("Aged 94, calf pain.", "Aged [age], calf pain."),
    "age of 89": ("This eighty nine year old man.", "This eighty nine year old man."),
    "ninety percent": ("A ninety percent stenosis.", "A ninety percent stenosis."),
    "spoken number": ("It is four seven one one nine two today.", "It is [number] today."),
    "hospital number": ("The hospital number is A 4 7 1.", "The hospital number is [number]."),
    "long number": ("Case 4711920 please.", "Case [number] please."),
    "number of a balloon": ("Balloon number two please.", "Balloon number two please."),
    "phone": ("Call 07700 900123 please.", "Call [number] please."),
    "address of the net": ("Write to a@example.org please.", "Write to [number] please."),
    "wire size": ("The oh one eight wire, 0-1-8.", "The oh one eight wire, 0-1-8."),
    "dose": ("Heparin 5,000 units, and 10000 of heparin.", "Heparin 5,000 units, and 10000 of heparin."),
    "trade's words with capitals": ("The SFA, GTN given, Doppler, five French, Right common femoral.",) * 2,
    "what is taken out already": ("Mr [name] is from [place].", "Mr [name] is from [place]."),
    "town that begins a sentence": ("Quimbury sent us the scan.", "[name] sent us the scan."),
    "device that begins a sentence": ("Balloon asked for. Deflating sent it off.",) * 2,
    "town of two words": ("Port Quimby asked, New Anselma said no.", "[name] asked, [name] said no."),
    "name with small words": ("We saw Anselma van den Quimby today.", "We saw [name] today."),
    "title and a name with small words": ("Ask Mrs de la Quimby again.", "Ask Mrs [name] again."),
    "town with small words": ("She is from Quimby am Hochbach today.", "She is from [name] today."),
    "street in one word": ("It goes to Quimbystraße 4 later.", "It goes to [place] later."),
    "street in one word, shortened": ("It goes to Anselma-Quimby-Str. 69-47 later.", "It goes to [place] later."),
    "verb in -ring with a figure": ("Measuring 5 by 40. Steering 3 more.",) * 2,
    "street that begins with its kind": ("It is 12, rue de la Quimby here.", "It is [place] here."),
    "via is a word": ("It went up via the left, via Doppler.",) * 2,
    "address announced": ("Her address is 40 Upper Quimby, she says.", "Her address is [place], she says."),
    "flat behind a stop": ("It is 7 Quimby Cove Apt. 611 here.", "It is [name] here."),
    "home of a wire": ("The wire lives in the left. Home is near.",) * 2,
    "phone in pairs": ("Call 01 23 45 67 89 please.", "Call [number] please."),
    "phone with its country": ("Call +49(0) 869393751 please.", "Call [number] please."),
    "counting in pairs": ("10 11 12 13 14 15 16, down.",) * 2,
    "professor alone": ("My wire, Prof! My wire. Ninety, Prof. Then two.",) * 2,
    "said again": ("Mr Quimby is here. Is quimby well?", "Mr [name] is here. Is [name] well?"),
}  # fmt: skip


@pytest.mark.parametrize(("text", "wanted"), FOUND.values(), ids=FOUND)
def test_what_identifies_is_taken_out_and_nothing_else(text: str, wanted: str) -> None:
    assert told(text) == wanted


def test_once_taken_out_nothing_is_found() -> None:
    for text, _ in FOUND.values():
        words = [word for word in told(text).split() if word]
        assert find(words, known()) == ()


#: How an identifier comes up in talk; {} is where. Ours. The rules were written with the first two sets.
TALKS = (
    {
        "title and surname": [
            "Morning, Mr {last}, lie still.", "Dr {last} put the sheath in.", "Is Professor {last} coming?",
            "Good morning Mrs {last}, we begin now.", "Please ask Dr {last} about the sheath.",
        ],
        "first name": [
            "Wire please, {first}.", "Ready? {first}, pull the wire back.", "We asked {first} for the stent.",
            "Hold the wire, {first}, I go up.", "Can {first} bring the balloon?",
        ],
        "full name": [
            "The patient is {name}, calf pain.", "We saw {name} in clinic.", "{name} had a stent here.",
            "Next is {name}, occluded SFA.", "This scan belongs to {name}, doesn't it?",
        ],
        "town": [
            "She comes from {city}, with calf pain.", "The scan was done in {city}.", "{city} sent us the pictures.",
            "They stented it in {city} before.",
        ],
        "street": ["He lives at {street}, alone.", "Transport goes to {street} later.", "Her address is {street}."],
        "date": ["The stent is from {date}.", "On {date} she had a balloon.", "Since {date} he has pain."],
        "date in figures": ["The scan of {slashed} shows it.", "The CT is dated {slashed}."],
        "phone": ["Call {phone} when done.", "His number is {phone} if needed."],
        "number": ["The hospital number is {number}.", "Case {number}, right leg.", "I see {number} on the label."],
    },
    {
        "title and surname": ["It was Mr {last} who came first.", "And Sister {last} has the list."],
        "first name": ["So {first} and I will swap sides.", "Good, {first}. Now the long one."],
        "full name": ["He is down as {name} on the board.", "Was it {name} before lunch?"],
        "town": ["A colleague at {city} called about it.", "Back to {city} by ambulance tonight."],
        "street": ["The porter wrote {street} on it.", "Somebody from {street} brought her."],
        "date": ["It closed before {date}, he thinks.", "First seen {date}, at the clinic."],
        "date in figures": ["I have the one of {slashed} here.", "Angio, {slashed}, left leg."],
        "phone": ["The daughter is on {phone} all day.", "Try {phone}, then the ward."],
        "number": ["That is {number} in the archive.", "Sticker says {number}, check it."],
    },
)  # fmt: skip
#: How a date is written in figures where it is not day/month/year.
SLASHED = {"de_DE": "%d.%m.%Y", "en_US": "%m/%d/%Y", "pl_PL": "%d.%m.%Y", "sv_SE": "%Y-%m-%d"}


def generated(seed: int, place: str, talk: dict[str, list[str]]) -> Iterator[tuple[str, list[str], str]]:
    """Kind, words of a sentence, and the identifier in it, as an independent generator invents them."""
    fake, chance = Faker(place), random.Random(seed)
    fake.seed_instance(seed)
    for kind, sentences in talk.items():
        for _ in range(60):
            day = fake.date_of_birth()
            parts = {
                "last": fake.last_name(), "first": fake.first_name(), "city": fake.city(),
                "street": fake.street_address(),
                "date": f"{day.day} {day:%B} {day.year}", "slashed": day.strftime(SLASHED.get(place, "%d/%m/%Y")),
                "phone": fake.phone_number(), "number": str(fake.random_number(digits=7, fix_len=True)),
            }  # fmt: skip
            parts["name"] = f"{parts['first']} {parts['last']}"
            sentence = chance.choice(sentences)
            field = sentence[sentence.index("{") + 1 : sentence.index("}")]
            text = " ".join(parts[field].split())
            yield kind, sentence.replace(f"{{{field}}}", text).split(), text


def recall(seed: int, place: str, talk: dict[str, list[str]]) -> Counter[str]:
    """Kind -> how many of 60 identifiers leave no word of theirs behind."""
    good: Counter[str] = Counter()
    for kind, words, text in generated(seed, place, talk):
        left = {word.strip(".,") for word in shown(words, find(words, known()))}
        secret = {word.strip(".,") for word in text.split() if len(word.strip(".,")) > 2}
        good[kind] += not (secret & left)
    return good


#: Of 60 of each kind, at least so many: what was measured (docs/teaching.md), less some.
LEAST = {"en_GB": 57, "en_IE": 57, "en_US": 55, "de_DE": 55, "fr_FR": 53, "nl_NL": 52}


@pytest.mark.parametrize("place", LEAST)
def test_identifiers_that_a_generator_invents_are_found(place: str) -> None:
    found = recall(7, place, TALKS[0])
    assert {kind: found[kind] for kind in TALKS[0] if found[kind] < LEAST[place]} == {}


@pytest.mark.slow
@pytest.mark.parametrize("talk", [0, 1], ids=["sentences rules were written with", "others"])
@pytest.mark.parametrize("place", [*LEAST, "it_IT", "es_ES", "sv_SE", "da_DK", "pl_PL"])
def test_most_of_what_is_generated_is_found(place: str, talk: int) -> None:
    """Of seeds, and of the last five tongues, that nobody looked at while the rules were written."""
    found = sum((recall(seed, place, TALKS[talk]) for seed in (1001, 1002, 1003, 1004, 1005)), Counter())
    logging.getLogger(__name__).info("%s %s: %s of 2,700; of 300 each %s", place, talk, found.total(), dict(found))
    assert found.total() >= 0.85 * 2_700
