"""What each edit does to a timeline, what it refuses, and the words the trail tells it with."""

from collections.abc import Callable
from typing import Any

import pytest

from extractor.desk import edits
from extractor.errors import EditError, InputError
from extractor.model import Alternative, Event, Revision, Timeline

AT = "2026-11-26T09:30:00+00:00"
Do = Callable[..., Timeline]


def done(timeline: Timeline, *raws: dict[str, Any], why: str = "said so") -> Timeline:
    """The timeline after some edits, given as the API takes them."""
    for raw in raws:
        edit = edits.EDIT.validate_python(raw)
        timeline = edits.put(timeline, edits.revision(timeline, edit, at=AT, by="A. Operator", why=why))
    return timeline


def event(timeline: Timeline, event_id: str = "e0003") -> Event:
    return next(each for each in timeline.events if each.id == event_id)


def set_(field: str, value: Any, event_id: str = "e0003") -> dict[str, Any]:
    return {"do": "set", "event": event_id, "field": field, "value": value}


def refused(timeline: Timeline, raw: dict[str, Any], why: str = "said so") -> str:
    with pytest.raises(InputError) as caught:
        done(timeline, raw, why=why)
    assert isinstance(caught.value, EditError)
    assert "\n" not in str(caught.value)
    return str(caught.value)


# --- a value


def test_a_value_set_by_hand_keeps_what_stood_before(small_timeline: Timeline) -> None:
    value = event(done(small_timeline, set_("values.pressure.value", 12))).values["pressure"]
    assert (value.value, value.unit, value.confidence, value.review) == (12, "atm", 1.0, False)
    assert value.flags == ("set-by-hand",)
    assert (value.heard, value.words) == ("fourteen atmospheres", (14, 16))
    assert value.alternatives == (Alternative(value=14), Alternative(value=40))


@pytest.mark.parametrize(
    ("value", "flagged"),
    [
        pytest.param(35, False, id="at-the-limit"),
        pytest.param(35.1, True, id="above-it"),
        pytest.param(1, False, id="at-the-lower"),
        pytest.param(0.9, True, id="below-it"),
    ],
)
def test_an_implausible_figure_is_kept_and_asks_for_a_look(
    small_timeline: Timeline, value: float, flagged: bool
) -> None:
    new = event(done(small_timeline, set_("values.pressure.value", value))).values["pressure"]
    assert new.value == value
    assert new.review == ("implausible" in new.flags) == flagged


def test_an_alternative_taken_changes_places_with_the_value(small_timeline: Timeline) -> None:
    take = {"do": "take", "event": "e0003", "key": "pressure", "alternative": 0}
    value = event(done(small_timeline, take)).values["pressure"]
    assert (value.value, value.flags, value.review) == (40, ("implausible", "set-by-hand"), True)
    assert value.alternatives == (Alternative(value=14, log_ratio=2.1),)


def test_alternatives_say_their_unit_when_the_value_gets_another(small_timeline: Timeline) -> None:
    value = event(done(small_timeline, set_("values.pressure.unit", "bar"))).values["pressure"]
    assert (value.value, value.unit) == (14, "bar")
    assert value.alternatives == (Alternative(value=14, unit="atm"), Alternative(value=40, unit="atm"))


def test_a_value_added_stands_in_reading_order_and_rests_on_no_word(small_timeline: Timeline) -> None:
    timeline = done(small_timeline, set_("values.gauge", {"value": 6, "unit": "[Ch]"}))
    assert list(event(timeline).values) == ["gauge", "diameter", "length", "pressure"]
    assert event(timeline).values["gauge"].words == (6, 6)


def test_a_value_taken_away_is_gone(small_timeline: Timeline) -> None:
    assert "pressure" not in event(done(small_timeline, set_("values.pressure", None))).values


# --- an event


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("status", "planned"), ("kind", "stent"), ("device", "stent"), ("drug", "heparin"), ("finding", "recoil"),
        ("start_ms", 2000), ("end_ms", 9000),
    ],
)  # fmt: skip
def test_a_field_is_set_and_flagged(small_timeline: Timeline, field: str, value: Any) -> None:
    new = event(done(small_timeline, set_(field, value)))
    assert getattr(new, field) == value
    assert "set-by-hand" in new.flags


@pytest.mark.parametrize(("part", "value"), [("side", "left"), ("name", "iliac artery"), ("part", None)])
def test_a_place_is_set_part_by_part(small_timeline: Timeline, part: str, value: str | None) -> None:
    site = event(done(small_timeline, set_(f"site.{part}", value))).site
    assert site is not None
    assert getattr(site, part) == value


def test_a_place_begins_and_ends_with_its_first_and_last_part(small_timeline: Timeline) -> None:
    timeline = done(small_timeline, set_("site.side", "left", "e0002"))
    assert event(timeline, "e0002").site is not None
    assert event(done(timeline, set_("site.side", None, "e0002")), "e0002").site is None


@pytest.mark.parametrize(
    ("flags", "field", "review"),
    [
        pytest.param(("which-device",), "device", False, id="the-reason-is-gone"),
        pytest.param(("which-device",), "site.side", True, id="another-field"),
        pytest.param(("conflict", "which-device"), "device", True, id="another-reason-stays"),
        pytest.param((), "device", True, id="a-reason-nobody-gave"),
    ],
)
def test_an_event_stops_asking_when_its_reason_is_gone(
    small_timeline: Timeline, flags: tuple[str, ...], field: str, review: bool
) -> None:
    marked = event(small_timeline).model_copy(update={"review": True, "flags": flags})
    events = tuple(marked if each.id == marked.id else each for each in small_timeline.events)
    value = "left" if field == "site.side" else "balloon catheter"
    assert event(done(small_timeline.model_copy(update={"events": events}), set_(field, value))).review == review


def test_what_is_implausible_for_another_kind_asks_for_a_look(small_timeline: Timeline) -> None:
    timeline = done(small_timeline, set_("values.pressure.value", 32))
    assert not event(timeline).values["pressure"].review
    pressure = event(done(timeline, set_("kind", "stent"))).values["pressure"]
    assert (pressure.value, pressure.review, pressure.flags) == (32, True, ("implausible", "set-by-hand"))


def test_a_new_event_stands_where_it_was_put_and_knows_its_words(small_timeline: Timeline) -> None:
    new = {"kind": "drug", "status": "done", "start_ms": 1200, "end_ms": 2350, "drug": "heparin"}
    values = {"dose": {"value": 5000, "unit": "[iU]"}}
    timeline = done(small_timeline, {"do": "add", "after": "e0002", "event": {**new, "values": values}})
    added = timeline.events[2]
    assert (added.id, added.words, added.confidence, added.rule) == ("e0007", (3, 6), 1.0, "by-hand")
    assert added.values["dose"].value == 5000
    first = done(timeline, {"do": "add", "after": None, "event": new})
    assert first.events[0].id == "e0008"


def test_an_id_is_never_used_again(small_timeline: Timeline) -> None:
    new = {"kind": "run", "status": "done", "start_ms": 0, "end_ms": 400}
    timeline = done(small_timeline, {"do": "delete", "event": "e0006"}, {"do": "add", "after": None, "event": new})
    assert timeline.events[0].id == "e0007"


def test_a_deleted_event_stays_in_the_trail(small_timeline: Timeline) -> None:
    timeline = done(small_timeline, {"do": "delete", "event": "e0003"})
    assert "e0003" not in [each.id for each in timeline.events]
    (change,) = timeline.revisions[0].changes
    assert change.before["values"]["pressure"]["value"] == 14
    assert change.before["after"] == "e0002"


def test_a_moved_event_stands_elsewhere(small_timeline: Timeline) -> None:
    timeline = done(small_timeline, {"do": "move", "event": "e0005", "after": "e0001"})
    assert [each.id for each in timeline.events] == ["e0001", "e0005", "e0002", "e0003", "e0004", "e0006"]
    timeline = done(timeline, {"do": "move", "event": "e0006", "after": None})
    assert timeline.events[0].id == "e0006"


def test_a_split_event_gives_its_values_to_a_new_one(small_timeline: Timeline) -> None:
    timeline = done(small_timeline, {"do": "split", "event": "e0003", "keys": ["pressure"]})
    assert list(event(timeline).values) == ["diameter", "length"]
    new = timeline.events[3]
    assert (new.id, list(new.values), new.device, new.site) == ("e0007", ["pressure"], "balloon", event(timeline).site)
    assert new.values["pressure"] == event(small_timeline).values["pressure"]


def two_inflations(timeline: Timeline, **other: Any) -> Timeline:
    """e0003 told twice, the second time otherwise."""
    values = {key: {"value": value.value, "unit": value.unit} for key, value in event(timeline).values.items()}
    new = {"kind": "inflation", "status": "done", "start_ms": 6400, "end_ms": 7000, "values": values, **other}
    return done(timeline, {"do": "add", "after": "e0003", "event": new})


@pytest.mark.parametrize(
    ("pressure", "asks"),
    [
        pytest.param({"value": 14, "unit": "atm"}, False, id="the-same"),
        pytest.param({"value": 1418.55, "unit": "kPa"}, False, id="the-same-in-another-unit"),
        pytest.param({"value": 16, "unit": "atm"}, True, id="another"),
        pytest.param({"value": 14, "unit": "bar"}, True, id="another-unit"),
    ],
)
def test_two_events_told_of_one_thing_become_one(
    small_timeline: Timeline, pressure: dict[str, Any], asks: bool
) -> None:
    timeline = done(
        two_inflations(done(small_timeline, set_("values.pressure.value", 13), set_("values.pressure.value", 14))),
        set_("values.pressure", None, "e0007"),
        set_("values.pressure", pressure, "e0007"),
        {"do": "merge", "events": ["e0003", "e0007"]},
    )
    assert "e0007" not in [each.id for each in timeline.events]
    value = event(timeline).values["pressure"]
    assert (value.value, value.unit) == (14, "atm")
    assert value.review == ("conflict" in value.flags) == asks
    unit = pressure["unit"] if pressure["unit"] != "atm" else None
    assert (Alternative(value=pressure["value"], unit=unit) in value.alternatives) == asks
    assert event(timeline).end_ms == 7000


@pytest.mark.parametrize("pair", [("e0003", "e0007"), ("e0007", "e0003")], ids=str)
def test_what_is_doubtful_in_one_of_two_that_agree_stays_so(small_timeline: Timeline, pair: tuple[str, str]) -> None:
    doubtful = event(small_timeline).values["pressure"]
    timeline = done(two_inflations(small_timeline), {"do": "merge", "events": pair})
    value = event(timeline, pair[0]).values["pressure"]
    assert value.review
    assert set(value.flags) == {*doubtful.flags, "set-by-hand"}
    assert value.alternatives == doubtful.alternatives


@pytest.mark.parametrize("other", [{"device": "stent"}, {"status": "planned"}, {"kind": "stent"}], ids=str)
def test_what_two_events_say_otherwise_asks_for_a_look(small_timeline: Timeline, other: dict[str, str]) -> None:
    timeline = done(two_inflations(small_timeline, **other), {"do": "merge", "events": ["e0003", "e0007"]})
    merged = event(timeline)
    assert (merged.kind, merged.status, merged.device) == ("inflation", "done", "balloon")
    assert merged.review
    assert "conflict" in merged.flags


# --- points and words


def test_a_point_looked_at_waits_no_more(small_timeline: Timeline) -> None:
    timeline = done(small_timeline, {"do": "look", "points": ["e0003.pressure", "gap-1"]})
    assert timeline.looked_at == {"e0003.pressure", "gap-1"}
    assert timeline.open_points == small_timeline.open_points


def test_a_look_does_not_slide_onto_what_comes_after(small_timeline: Timeline) -> None:
    look = {"do": "look", "points": ["e0003.pressure", "words-22"]}
    timeline = done(small_timeline, look, set_("values.pressure.value", 40))
    assert event(timeline).values["pressure"].review
    assert timeline.looked_at == {"words-22"}
    assert done(timeline, {"do": "word", "words": [22, 23], "read": "contrast"}).looked_at == set()


def test_words_are_read_anew_and_stay_as_heard(small_timeline: Timeline) -> None:
    timeline = done(small_timeline, {"do": "word", "words": [3, 5], "read": "protamine"})
    repair = timeline.corrections[0]
    assert (repair.words, repair.heard, repair.read, repair.why) == ((3, 5), "Pepper and", "protamine", "by-hand")
    assert timeline.words == small_timeline.words


def test_words_read_anew_take_the_place_of_repairs_among_them(small_timeline: Timeline) -> None:
    timeline = done(small_timeline, {"do": "word", "words": [4, 6], "read": "and gone"})
    assert [repair.words for repair in timeline.corrections] == [(4, 6), (22, 23)]


def test_what_is_read_as_heard_is_no_repair(small_timeline: Timeline) -> None:
    timeline = done(small_timeline, {"do": "word", "words": [22, 23], "read": "Contrast"})
    assert [repair.words for repair in timeline.corrections] == [(3, 5)]
    assert "words-22" not in timeline.open_points


# --- what is refused


REFUSED = [
    pytest.param(set_("values.pressure.value", 14), "nothing would change", id="the-same-value"),
    pytest.param(set_("device", "balloon"), "nothing would change", id="the-same-device"),
    pytest.param(set_("values.pressure.value", "14"), "cannot be '14'", id="a-figure-as-text"),
    pytest.param(set_("values.pressure.unit", "mL"), "pressure cannot be in mL", id="a-unit-of-something-else"),
    pytest.param(set_("values.pressure", 14.0), "needs a value and its unit", id="a-figure-without-unit"),
    pytest.param(set_("values.dose.value", 1), "e0003 has no dose", id="a-value-that-is-not-there"),
    pytest.param(set_("values.weight", None), "values.weight cannot be set", id="a-value-there-is-not"),
    pytest.param(set_("rule", "x"), "rule cannot be set", id="a-field-that-is-not-set"),
    pytest.param(set_("status", "maybe"), "status cannot be so", id="a-status-there-is-not"),
    pytest.param(set_("site.side", "up"), "site.side cannot be so", id="a-side-there-is-not"),
    pytest.param(set_("start_ms", 7000), "cannot end at", id="an-end-before-the-beginning"),
    pytest.param(set_("start_ms", 1.5), "start_ms cannot be 1.5", id="half-a-millisecond"),
    pytest.param(set_("device", " "), "must be one line", id="an-empty-name"),
    pytest.param(set_("device", "a\x07b"), "must be one line", id="a-control-character"),
    pytest.param(set_("device", "balloon", "e9999"), "there is no event e9999", id="no-such-event"),
    pytest.param({"do": "take", "event": "e0003", "key": "length"}, "has 0 alternatives", id="nothing-to-take"),
    pytest.param({"do": "look", "points": ["e0001"]}, "nothing is open there", id="nothing-to-look-at"),
    pytest.param({"do": "move", "event": "e0002", "after": "e0001"}, "nothing would change", id="moved-nowhere"),
    pytest.param({"do": "move", "event": "e0002", "after": "e0002"}, "behind itself", id="behind-itself"),
    pytest.param({"do": "merge", "events": ["e0002", "e0002"]}, "with itself", id="merged-with-itself"),
    pytest.param({"do": "split", "event": "e0003", "keys": ["dose"]}, "has no dose", id="split-of-nothing"),
    pytest.param({"do": "word", "words": [22, 22], "read": "x"}, "there are no words", id="no-words"),
    pytest.param({"do": "word", "words": [25, 30], "read": "x"}, "there are no words", id="words-past-the-end"),
    pytest.param({"do": "undo", "revision": 1}, "there is no revision 1", id="nothing-to-undo"),
]


@pytest.mark.parametrize(("raw", "said"), REFUSED)
def test_what_makes_no_sense_is_refused(small_timeline: Timeline, raw: dict[str, Any], said: str) -> None:
    assert said in refused(small_timeline, raw)


@pytest.mark.parametrize("value", [True, float("nan"), float("inf"), -1.0, "x" * 501], ids=str)
def test_what_is_no_value_is_no_edit(value: Any) -> None:
    with pytest.raises(ValueError, match="validation error"):
        edits.EDIT.validate_python(set_("values.pressure.value", value))


@pytest.mark.parametrize(
    ("raw", "asked"),
    [
        pytest.param({"do": "delete", "event": "e0003"}, True, id="delete"),
        pytest.param({"do": "merge", "events": ["e0003", "e0005"]}, True, id="merge"),
        pytest.param(set_("status", "negated"), True, id="no-longer-done"),
        pytest.param(set_("status", "done", "e0005"), True, id="done-after-all"),
        pytest.param(set_("status", "planned", "e0005"), False, id="considered-to-planned"),
        pytest.param(set_("values.pressure.value", 12), False, id="a-figure"),
    ],
)
def test_a_reason_is_asked_for(small_timeline: Timeline, raw: dict[str, Any], asked: bool) -> None:
    edit = edits.EDIT.validate_python(raw)
    assert edits.asks_why(small_timeline, edit) == asked
    if asked:
        assert "say why" in refused(small_timeline, raw, why=" ".strip())


SAID = [
    (set_("values.pressure.value", 40), "e0003 pressure 14 atm → 40 atm"),
    (set_("values.pressure.unit", "bar"), "e0003 pressure 14 atm → 14 bar"),
    (set_("values.pressure", None), "e0003 pressure 14 atm → none"),
    (set_("values.duration", {"value": 30, "unit": "s"}), "e0003 duration none → 30 s"),
    (set_("site.side", "left"), "e0003 site side right → left"),
    (set_("drug", None, "e0002"), "e0002 drug heparin → none"),
    (set_("start_ms", 2000), "e0003 start 0:02 → 0:02"),
    ({"do": "take", "event": "e0003", "key": "pressure"}, "e0003 pressure 14 atm → 40 atm"),
    ({"do": "look", "points": ["check-1", "gap-1"]}, "looked at check-1, gap-1"),
    (
        {
            "do": "add",
            "after": None,
            "event": {
                "kind": "drug", "status": "done", "start_ms": 61_000, "end_ms": 62_000, "drug": "heparin",
                "values": {"dose": {"value": 5000, "unit": "[iU]"}},
            },
        },
        "added at 1:01: drug heparin done, dose 5,000 units",
    ),
    ({"do": "delete", "event": "e0002"}, "deleted e0002: Heparin"),
    (
        {"do": "merge", "events": ["e0003", "e0005"]},
        "merged e0005: Stent deployment, into e0003: Balloon inflation (6 mm), (80 mm), 14 atm?",
    ),
    ({"do": "split", "event": "e0003", "keys": ["pressure"]}, "split e0003: pressure apart"),
    ({"do": "move", "event": "e0003", "after": None}, "moved e0003 before all others"),
    ({"do": "word", "words": [3, 5], "read": "heparin, "}, "“Pepper and” read heparin,"),
]  # fmt: skip


@pytest.mark.parametrize(("raw", "said"), SAID, ids=[said for _, said in SAID])
def test_the_trail_tells_it_in_words(small_timeline: Timeline, raw: dict[str, Any], said: str) -> None:
    assert edits.describe(edits.EDIT.validate_python(raw), small_timeline) == said


def test_a_revision_says_who_when_and_why(small_timeline: Timeline) -> None:
    (revision,) = done(small_timeline, {"do": "delete", "event": "e0002"}, why="never given").revisions
    assert (revision.number, revision.at, revision.by, revision.why) == (1, AT, "A. Operator", "never given")
    assert Revision.model_validate_json(revision.model_dump_json()) == revision
