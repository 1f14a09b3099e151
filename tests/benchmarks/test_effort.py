"""From draft to correct signed record in the browser, by keys alone: how many changes and keys, beside typing it all.

What the case's script says is taken for true. A reviewer goes through what asks for a look, then down the timeline
beside the script, puts right what differs, and signs; the page itself counts the keys. Typing it all is the same record
written line by line: time, event, sizes and pressures, place.
"""

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
import yaml
from playwright.sync_api import Browser, Page, expect

from extractor.desk.edits import drafted
from extractor.handover.wording import RECORDED, clock, event_name, site_text, value_texts
from extractor.model import Event, Timeline
from extractor.pipeline import draft
from extractor.units import UNIT_NAMES
from tests.desk.browsing import Desk, chromium, kept, press, serving
from tests.golden.scoring import Expected, agrees, match, read_script

pytestmark = pytest.mark.benchmark

CASES = "calf-claudication dictated-ureteric-stent fistula-high-pressure short-inflation varicocele-coils".split()
WHY = "not done"
COUNT = "addEventListener('keydown', () => sessionStorage.keys = 1 + Number(sessionStorage.keys ?? 0), true)"


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as browser:
        yield browser


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    with serving(tmp_path_factory.mktemp("effort") / "store") as desk:
        yield desk


class Reviewer:
    """Somebody who knows what was done and has a keyboard."""

    def __init__(self, page: Page, desk: Desk, case: int, truth: list[Expected]) -> None:
        self.page, self.desk, self.case, self.truth = page, desk, case, truth
        page.add_init_script(COUNT)
        page.reload()
        page.locator("main:not([aria-busy])").wait_for()

    @property
    def timeline(self) -> Timeline:
        kept(self.page)
        return self.desk.store.timeline(self.case)[1]

    def keys(self) -> int:
        return int(self.page.evaluate("Number(sessionStorage.keys)"))

    def selected(self) -> dict[str, str | None]:
        return dict(self.page.evaluate("({event: null, key: null, point: null, ...desk.selection})"))

    def true_of(self, event_id: str | None) -> Expected | None:
        told = [event for event in self.timeline.events if event.kind != "remark"]
        return next((truth for truth, event in match(self.truth, told) if event.id == event_id), None)

    def look_at_what_asks(self) -> None:
        """n, then for each point: right as it stands, another reading, or its fields."""
        press(self.page, "n")
        for _ in range(300):
            timeline = self.timeline
            if not set(timeline.open_points) - timeline.looked_at:
                return
            selected = self.selected()
            event = next((each for each in timeline.events if each.id == selected["event"]), None)
            truth = self.true_of(event.id) if event else None
            key = selected["key"]
            value = event.values.get(key) if event and key else None
            wanted = truth.values.get(key) if truth and key else None
            if value is None or wanted is None or agrees(wanted, value):
                press(self.page, "y")
                continue
            rivals = [
                value.model_copy(update={"value": each.value, "unit": each.unit or value.unit})
                for each in value.alternatives
            ]
            right = next((place for place, rival in enumerate(rivals) if agrees(wanted, rival)), None)
            if right is not None and right < 9:
                press(self.page, str(right + 1))
            else:
                self.set_value(wanted)
            if f"{selected['event']}.{key}" in set(self.timeline.open_points) - self.timeline.looked_at:
                press(self.page, "y")
            elif right is None:
                press(self.page, "n")

    def set_value(self, wanted: tuple[float, str]) -> None:
        """Into the selected value: its fields, the figure, and the unit where it is another."""
        press(self.page, "e")
        self.page.keyboard.type(f"{wanted[0]:g}")
        press(self.page, "Enter")
        unit = self.page.evaluate("document.activeElement.closest('.pair').querySelector('select').value")
        if unit != wanted[1]:
            press(self.page, "Tab")
            self.choose(wanted[1])
        press(self.page, "Escape")
        kept(self.page)

    def choose(self, value: str) -> None:
        """In a list that has the focus: down to an entry."""
        place = self.page.evaluate(
            "value => [...document.activeElement.options].findIndex(option => option.value === value)"
            " - document.activeElement.selectedIndex",
            value,
        )
        assert place > -50
        press(self.page, *(["ArrowDown" if place > 0 else "ArrowUp"] * abs(place)))

    def tab_to(self, what: str) -> None:
        for _ in range(60):
            if self.page.evaluate("what => document.activeElement.matches(what)", what):
                return
            press(self.page, "Tab")
        raise AssertionError(f"no key leads to {what}")

    def go_to(self, event_id: str) -> None:
        """Down the timeline, row by row, as one does who reads it."""
        ids = [event.id for event in self.timeline.events]
        for _ in range(400):
            now = self.selected()["event"]
            if now == event_id:
                return
            up = now in ids and ids.index(now) > ids.index(event_id)
            press(self.page, "ArrowUp" if up else "ArrowDown")
        raise AssertionError(f"{event_id} is not reached")

    def put_right(self) -> None:
        """Down the timeline once: wrong values, what did not happen, what is missing."""
        for event in self.timeline.events:
            truth = self.true_of(event.id)
            if event.kind == "remark" or event.id not in {each.id for each in self.timeline.events}:
                continue
            if truth is None:
                if event.status in RECORDED:
                    self.go_to(event.id)
                    press(self.page, "d")
                    self.page.keyboard.type(WHY)
                    press(self.page, "Enter")
                continue
            self._values(event, truth)
            if truth.status != event.status and (truth.status in RECORDED or event.status in RECORDED):
                self.go_to(event.id)
                self.open_at_the_top()
                self.tab_to("[data-field=status]")
                self.choose(truth.status)
                press(self.page, "Enter")
                if self.page.locator("dialog[open]").count():
                    self.page.keyboard.type(WHY)
                    press(self.page, "Enter")
                press(self.page, "Escape")
                kept(self.page)
        told = [event for event in self.timeline.events if event.kind != "remark"]
        found = [truth for truth, _ in match(self.truth, told)]
        for truth in self.truth:
            if truth not in found and truth.status in RECORDED:
                self.add(truth)

    def open_at_the_top(self) -> None:
        press(self.page, "e")

    def _values(self, event: Event, truth: Expected) -> None:
        wrong = [
            key for key, wanted in truth.values.items() if key in event.values and not agrees(wanted, event.values[key])
        ]
        missing = [key for key in truth.values if key not in event.values]
        if (wrong or missing) and event.status in RECORDED:
            self.go_to(event.id)
        else:
            return
        for key in wrong:
            while self.selected()["key"] != key:
                press(self.page, "ArrowRight")
            self.set_value(truth.values[key])
            while self.selected()["key"]:
                press(self.page, "ArrowLeft")
        for key in missing:
            self.open_at_the_top()
            self.add_value(key, truth.values[key])
            press(self.page, "Escape")

    def add_value(self, key: str, wanted: tuple[float, str]) -> None:
        self.tab_to(".adder select")
        self.choose(key)
        press(self.page, "Tab")
        self.page.keyboard.type(f"{wanted[0]:g}")
        press(self.page, "Tab")
        self.choose(wanted[1])
        press(self.page, "Tab", "Enter")
        kept(self.page)

    def add(self, truth: Expected) -> None:
        """An event that nobody drafted, where it was said."""
        before = [event for event in self.timeline.events if event.start_ms <= truth.end_ms]
        if before:
            self.go_to(before[-1].id)
        known = {event.id for event in self.timeline.events}
        press(self.page, "a")
        self.page.keyboard.type(_said(truth))
        press(self.page, "Enter")
        self.page.get_by_role("list", name="Read as").get_by_role("listitem").first.wait_for()
        press(self.page, "Enter")
        kept(self.page)
        assert {event.id for event in self.timeline.events} - known

    def sign(self) -> None:
        press(self.page, "g")
        self.page.wait_for_url("**/sign")
        self.page.locator("main:not([aria-busy])").wait_for()
        self.tab_to("#sign")
        press(self.page, "Enter")
        expect(self.page.get_by_text("fingerprint").first).to_be_visible()


def _said(truth: Expected) -> str:
    """An event of a script as one would write it, in as few words as say it."""
    values = {key: f"{number:g} {UNIT_NAMES.get(unit, unit)}" for key, (number, unit) in truth.values.items()}
    # Scripts leave out what it was where nobody named it; whoever writes it knows.
    embolic = ("glue" if "volume" in values else "coil") if truth.kind == "embolise" else ""
    thing = f"{truth.name or embolic} {' '.join(values.values())}".strip()
    if truth.status == "negated":
        return f"no {thing}" if truth.kind == "finding" else f"no {thing} deployed"
    words = {"insert": "{} in", "remove": "{} out", "inflation": "balloon up to {}", "stent": "{} deployed"}
    return words.get(truth.kind, "{}" if truth.kind != "embolise" else "{} deployed").format(thing or truth.kind)


def typed(timeline: Timeline) -> int:
    """Keys to write the record of a case: a line for each event that happened or was ruled out."""
    lines = [
        " ".join(
            [clock(event.start_ms), event_name(event), *(text for text, _ in value_texts(event)), site_text(event.site)]
        )
        for event in timeline.events
        if event.status in RECORDED
    ]
    return sum(len(line.strip()) + 1 for line in lines)


@pytest.mark.parametrize("source", ["transcript.vtt", pytest.param("recording.opus", marks=pytest.mark.sound)])
@pytest.mark.parametrize(
    "name",
    ["calf-claudication", "dictated-ureteric-stent", "fistula-high-pressure", "short-inflation", "varicocele-coils"],
)
def test_a_draft_is_put_right_with_few_keys(
    desk: Desk, browser: Browser, fixtures: Path, name: str, source: str
) -> None:
    folder = fixtures / name
    script = yaml.safe_load((folder / "script.yaml").read_text(encoding="utf-8"))
    times = json.loads((folder / "recording.lines.json").read_text(encoding="utf-8"))
    truth = read_script(script, times)
    case = desk.store.new_case(f"{name} {source}", "A. Operator")
    desk.store.job_done(case, draft([folder / source]))
    page = desk.visit(browser, f"/cases/{case}")
    reviewer = Reviewer(page, desk, case, truth)
    reviewer.look_at_what_asks()
    reviewer.put_right()
    reviewer.look_at_what_asks()
    reviewer.sign()
    signed = desk.store.signed(case)[-1]
    keys, all_typed = reviewer.keys(), typed(signed)
    edits = sum(not revision.what.startswith("looked") for revision in signed.revisions)
    print(
        f"\n{name}, {source}: {len(signed.events)} events, {edits} changes and {len(signed.looked_at)} looks, "
        f"{keys} keys; typed {all_typed}: {keys / all_typed:.2f}"
    )
    assert drafted(signed).revisions == ()
