"""The desk in a browser, the whole way: Debian's chromium, driven by Playwright."""

import json
import os
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from extractor import draft_folder, pipeline
from extractor.model import Timeline

from .browsing import Desk, chromium, drop, is_wider_than_its_window, kept, press, serving, until


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as browser:
        yield browser


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    with serving(tmp_path_factory.mktemp("desk") / "store") as desk:
        yield desk


@pytest.fixture(autouse=True)
def nothing_went_wrong_unseen(desk: Desk) -> Iterator[None]:
    yield
    faults, desk.faults = desk.faults, []
    assert faults == []


@pytest.fixture
def case(desk: Desk, small_timeline: Timeline) -> int:
    """A drafted case: four points to look at, no sound."""
    case = desk.store.new_case("Left leg", "A. Operator")
    desk.store.job_done(case, small_timeline)
    return case


# --- the whole way


@pytest.mark.sound
def test_from_a_dropped_recording_to_a_verified_record(
    desk: Desk, browser: Browser, fixtures: Path, tmp_path: Path
) -> None:
    page = desk.visit(browser)
    drop(page, fixtures / "short-inflation" / "recording.opus")
    page.get_by_role("textbox", name="Title").fill("A balloon")
    page.get_by_role("button", name="Make the case and draft it").click()
    page.get_by_role("link", name="A balloon").click()
    expect(page.get_by_role("heading", name="A balloon")).to_be_visible()

    page.get_by_role("button", name="pressure 12 atm").click()
    until(page, "document.getElementById('sound').readyState >= 2")
    press(page, "Space")  # exactly the words behind it
    until(page, "!document.getElementById('sound').paused")
    until(page, "document.getElementById('sound').paused")
    case = int(page.url.rsplit("/", 1)[1])
    _, timeline = desk.store.timeline(case)
    first, past = timeline.events[0].values["pressure"].words
    heard_to_s = page.evaluate("document.getElementById('sound').currentTime")
    assert timeline.words[first].start_ms / 1000 < heard_to_s < timeline.words[past - 1].end_ms / 1000 + 0.6

    press(page, "e")
    page.get_by_role("textbox", name="pressure").fill("14")
    press(page, "Enter")
    kept(page)
    press(page, "Escape", "g")
    expect(page.frame_locator("#record").get_by_text("14 atm").first).to_be_visible()
    page.get_by_role("textbox", name="Name", exact=True).fill("A. Operator")
    page.get_by_role("button", name="Sign", exact=True).click()
    expect(page.get_by_text("fingerprint").first).to_be_visible()

    with page.expect_download() as download:
        page.get_by_role("link", name=re.compile("PDF")).click()
    assert download.value.path().read_bytes().startswith(b"%PDF")
    signed = desk.store.signed(case)[-1]
    assert signed.signature.name == "A. Operator"
    assert signed.events[0].values["pressure"].value == 14
    assert [revision.by for revision in signed.revisions] == ["A. Operator"]
    draft_folder.write(signed, tmp_path / "signed")
    assert draft_folder.verify(tmp_path / "signed")


def test_with_the_keyboard_alone(desk: Desk, browser: Browser, case: int) -> None:
    page = desk.visit(browser, f"/cases/{case}")
    waits = page.locator("#waits")
    expect(waits).to_have_text("4 to look at before signing")
    press(page, "n", "y")
    expect(waits).to_have_text("3 to look at before signing")
    press(page, "p", "y", "y")
    expect(waits).to_have_text("1 to look at before signing")
    kept(page)
    press(page, "u")
    expect(waits).to_have_text("2 to look at before signing")
    kept(page)
    press(page, "U")
    expect(waits).to_have_text("1 to look at before signing")
    kept(page)
    press(page, "g")
    page.wait_for_url("**/sign")
    page.locator("main:not([aria-busy])").wait_for()
    for _ in range(60):
        press(page, "Tab")
        if page.evaluate("'point' in document.activeElement.dataset"):
            page.keyboard.type("the recorder was paused")
        if page.evaluate("document.activeElement.id") == "sign":
            press(page, "Enter")
            break
    expect(page.get_by_text("fingerprint").first).to_be_visible()
    signature = desk.store.signed(case)[-1].signature
    assert [left.reason for left in signature.left_open] == ["the recorder was paused"]
    assert len(signature.looked_at) == 3


def test_what_nobody_heard_is_written_as_it_would_be_said(desk: Desk, browser: Browser, case: int) -> None:
    page = desk.visit(browser, f"/cases/{case}")
    before = desk.store.timeline(case)[1].events
    press(page, "ArrowDown", "a")
    page.keyboard.type("seven by forty balloon to ten, then no dissection")
    press(page, "Enter")
    read = page.get_by_role("list", name="Read as")
    expect(read.get_by_role("listitem")).to_have_text([re.compile("7 mm.*40 mm.*10 atm"), "No dissection"])
    press(page, "Enter")
    expect(page.get_by_role("button", name="pressure 10 atm")).to_be_visible()
    kept(page)
    first, inflation, finding, *rest = desk.store.timeline(case)[1].events
    assert [first, *rest] == list(before)
    assert {key: value.value for key, value in inflation.values.items()} == {
        "diameter": 7,
        "length": 40,
        "pressure": 10,
    }
    assert (finding.finding, finding.status, finding.flags) == ("dissection", "negated", ("set-by-hand",))


def test_a_figure_that_stands_in_no_event_is_shown_where_it_was_said(
    desk: Desk, browser: Browser, small_timeline: Timeline
) -> None:
    (loose,) = pipeline.check(small_timeline.events, small_timeline.words, unplaced=[(6, 7)])
    case = desk.store.new_case("A figure", "A. Operator")
    desk.store.job_done(case, small_timeline.model_copy(update={"checks": (loose,), "gaps": (), "corrections": ()}))
    page = desk.visit(browser, f"/cases/{case}")
    page.get_by_role("button", name="stands in no event").click()
    expect(page.locator("#words .chosen")).to_have_text("Now")
    press(page, "a")
    page.keyboard.type("four French catheter in")
    press(page, "Enter")
    expect(page.get_by_role("list", name="Read as").get_by_role("listitem")).to_have_text([re.compile("4 Fr")])
    press(page, "Enter")
    expect(page.get_by_role("button", name="gauge 4 Fr")).to_be_visible()
    kept(page)
    _, timeline = desk.store.timeline(case)
    (added,) = (event for event in timeline.events if event.rule == "by-hand")
    assert added.words == (6, 7)
    assert timeline.checks[0].severity == "withdrawn"


def test_what_cannot_be_read_has_fields(desk: Desk, browser: Browser, case: int) -> None:
    page = desk.visit(browser, f"/cases/{case}")
    press(page, "a")
    page.keyboard.type("mumble")
    press(page, "Enter")
    expect(page.get_by_role("dialog")).to_contain_text("Nothing was read in that line.")
    press(page, "Control+a", "Delete", "Enter")
    expect(page.get_by_role("dialog", name="Add an event")).to_be_visible()


# --- others, and what goes wrong


def change(page: Page, event: str, field: str, figure: str) -> None:
    """A figure written into a field of an event."""
    page.evaluate("event => acts.goToEvent(event)", event)
    press(page, "e")
    page.get_by_role("textbox", name=field).fill(figure)
    press(page, "Enter")


def test_two_people_on_one_case_never_overwrite_each_other(desk: Desk, browser: Browser, case: int) -> None:
    one = desk.visit(browser, f"/cases/{case}", "A. Operator")
    other = desk.visit(browser, f"/cases/{case}", "B. Second")
    inflation = next(event for event in desk.store.timeline(case)[1].events if "pressure" in event.values)
    change(one, inflation.id, "pressure", "11")
    kept(one)
    change(other, inflation.id, "pressure", "13")
    asked = other.get_by_role("dialog", name="The same was changed twice")
    expect(asked).to_contain_text("A. Operator changed this")
    expect(asked).to_contain_text("11 atm")
    asked.get_by_role("button", name="Take mine").click()
    kept(other)
    timeline = desk.store.timeline(case)[1]
    assert next(e for e in timeline.events if e.id == inflation.id).values["pressure"].value == 13
    assert [revision.by for revision in timeline.revisions] == ["A. Operator", "B. Second"]
    expect(one.get_by_role("button", name="pressure 13 atm")).to_be_visible()  # the first gets it too


def test_a_change_that_was_not_kept_outlives_a_reload(desk: Desk, browser: Browser, case: int) -> None:
    page = desk.visit(browser, f"/cases/{case}")
    inflation = next(event for event in desk.store.timeline(case)[1].events if "pressure" in event.values)
    page.route("**/revisions", lambda route: route.abort())
    change(page, inflation.id, "pressure", "9")
    expect(page.locator("#sending")).to_contain_text("not kept yet")
    assert desk.store.timeline(case)[0] == 0
    page.on("dialog", lambda dialog: dialog.accept())  # the browser asks whether to leave
    page.unroute("**/revisions")
    page.reload()
    expect(page.get_by_role("button", name="pressure 9 atm")).to_be_visible()
    kept(page)
    assert desk.store.timeline(case)[1].revisions[-1].what.endswith("9 atm")


HOSTILE = '<img src=x onerror="window.broken=1"><script>window.broken=1</script>\'"&'


def test_hostile_words_stay_words(desk: Desk, browser: Browser, small_timeline: Timeline) -> None:
    words = tuple(word.model_copy(update={"text": HOSTILE}) for word in small_timeline.words)
    events = tuple(event.model_copy(update={"device": HOSTILE, "finding": HOSTILE}) for event in small_timeline.events)
    case = desk.store.new_case(HOSTILE, "A. Operator")
    desk.store.job_done(case, small_timeline.model_copy(update={"words": words, "events": events}))
    for path in ("/", f"/cases/{case}", f"/cases/{case}/sign"):
        page = desk.visit(browser, path)
        expect(page.locator("body")).to_contain_text("onerror")
        assert page.evaluate("window.broken") is None
        assert page.locator("img").count() == 0
    desk.store.remove_case(case, "A. Operator", "it was a trial")


# --- who sees it


PAGES = ["/", "/cases/CASE", "/cases/CASE/sign", "/suggestions", "/people", "/log", "/sign-in"]


@cache
def axe() -> str:
    place = Path(os.environ.get("EXTRACTOR_AXE", Path(__file__).parents[2] / ".venv" / "axe.min.js"))
    if not place.is_file():
        pytest.skip("axe-core is not here: `make test` brings it where npm is, EXTRACTOR_AXE names it")
    return place.read_text(encoding="utf-8")


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("path", PAGES)
def test_nothing_serious_is_inaccessible(desk: Desk, browser: Browser, case: int, path: str, scheme: str) -> None:
    """By axe-core's rules for WCAG 2.2 A and AA, and its best practices."""
    page = desk.visit(browser, path.replace("CASE", str(case)), color_scheme=scheme)
    if path == "/cases/CASE":
        press(page, "n")
    page.evaluate(axe())
    found = page.evaluate("axe.run().then(result => result.violations)")
    grave = [each for each in found if each["impact"] in ("serious", "critical")]
    told = [(each["id"], [node["html"] for node in each["nodes"]]) for each in grave]
    assert told == [], json.dumps(told, indent=1)


@pytest.mark.parametrize("width", [1280, 390])
@pytest.mark.parametrize("path", PAGES)
def test_nothing_lies_beside_the_window(desk: Desk, browser: Browser, case: int, path: str, width: int) -> None:
    page = desk.visit(browser, path.replace("CASE", str(case)), viewport={"width": width, "height": 800})
    assert not is_wider_than_its_window(page)


def test_the_phone_shows_one_part_at_a_time(desk: Desk, browser: Browser, case: int) -> None:
    page = desk.visit(browser, f"/cases/{case}", viewport={"width": 390, "height": 800})
    for name in ("Timeline", "Words", "Needs a look"):
        page.get_by_role("group", name="What is shown").get_by_role("button", name=name).click()
        expect(page.locator(".pane:visible")).to_have_count(1)


def test_who_may_not_sign_cannot(desk: Desk, browser: Browser, case: int) -> None:
    page = desk.visit(browser, f"/cases/{case}", "E. Educator", ("educator",))
    answer = page.request.get(f"{desk.address}/cases/{case}/sign")
    assert answer.status == 403
