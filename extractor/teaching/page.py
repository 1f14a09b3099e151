"""A de-identified case -> the page that teaches with it: player, event lane, glossary, remarks, questions. Pure.

The page loads nothing from outside and needs no server: its tracks stand in it, sound and clips lie beside it.
"""

import base64
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape

from extractor.handover.captions import write_captions
from extractor.handover.chapters import chapters, event_text, write_chapters
from extractor.handover.wording import RECORDED, clock, event_name, plain, site_text, value_texts
from extractor.lexicon import Lexicon, each_form
from extractor.model import Event, Kind, Status, Timeline

#: Talk told with a question's answer, before and after the event.
AROUND_MS = 8_000

WARNING = (
    "Names, places, dates, ages over 89 and numbers that identify were looked for by rules and taken out of words and "
    "sound. Rules miss some. A person must read the captions and listen to the sound before this is given to anybody."
)

NOTICE = "It is no record and advises nothing: device instructions, local policy and licensed practice come first."

_ASKS = {Kind.INFLATION: "What would you inflate to, and why?", Kind.STENT: "Which size would you choose, and why?"}


@dataclass(frozen=True)
class Lesson:
    """What the page is made of. ``timeline`` is de-identified already; ``clips``: event id -> file beside the page."""

    title: str
    timeline: Timeline
    media: str | None
    has_picture: bool
    is_signed: bool
    clips: Mapping[str, str]


def write_page(lesson: Lesson, lexicon: Lexicon) -> str:
    """A lesson -> one HTML page."""
    timeline = lesson.timeline
    element = "video" if lesson.has_picture else "audio"
    tracks = "".join(
        f'<track kind="{kind}" label="{kind}" srclang="en" src="data:text/vtt;base64,{_base64(text)}"{default}>'
        for kind, text, default in (
            ("captions", write_captions(timeline), " default"),
            ("chapters", write_chapters(timeline), ""),
        )
    )
    source = f'<source src="{escape(lesson.media)}">' if lesson.media else ""
    notice = (
        f"Made for teaching, from {'a signed case' if lesson.is_signed else 'a draft that nobody has signed'}. {NOTICE}"
    )
    parts = {
        "title": escape(lesson.title),
        "notice": escape(notice),
        "warning": escape(WARNING),
        "player": f'<{element} id="player" controls preload="metadata">{source}{tracks}</{element}>',
        "chapters": _chapters(timeline),
        "lane": _lane(timeline),
        "questions": _questions(lesson),
        "remarks": _remarks(timeline),
        "glossary": _glossary(timeline, lexicon),
        "events": _events(lesson),
    }
    page = _PAGE
    for name, part in parts.items():
        page = page.replace(f"<!--{name}-->", part)
    return page


def talk(timeline: Timeline, start_ms: int, end_ms: int) -> str:
    """What was said in a stretch."""
    return plain(" ".join(word.text for word in timeline.words if start_ms <= word.start_ms < end_ms and word.text))


def glossary(timeline: Timeline, lexicon: Lexicon) -> list[tuple[str, str, list[int]]]:
    """The trade's terms that occur: term, what it is, when it was said (ms)."""
    words = [(word.text.lower().strip(".,;:?!\"'"), word.start_ms) for word in timeline.words]
    found: dict[tuple[str, str], set[int]] = {}
    for kind, table in (
        ("device", lexicon.device), ("drug", lexicon.drug), ("finding", lexicon.finding), ("anatomy", lexicon.vessel),
    ):  # fmt: skip
        for entry in table:
            for form in each_form(entry.spoken):
                tokens = form.lower().split()
                for at, (_, start_ms) in enumerate(words):
                    if [text for text, _ in words[at : at + len(tokens)]] == tokens:
                        found.setdefault((entry.name, kind), set()).add(start_ms)
    return [(name, kind, sorted(times)) for (name, kind), times in sorted(found.items())]


def _base64(text: str) -> str:
    return base64.b64encode(text.encode()).decode()


def _jump(ms: int, text: str | None = None) -> str:
    return f'<button class="jump" data-ms="{ms}">{escape(text or clock(ms))}</button>'


def _chapters(timeline: Timeline) -> str:
    # The steps inside the treatment would answer the questions below.
    steps = {event_text(event) for event in timeline.events}
    phases = [(start_ms, title) for start_ms, _, title in chapters(timeline)[1:] if title not in steps]
    return f"<ol>{''.join(f'<li>{_jump(start_ms)} {escape(title)}</li>' for start_ms, title in phases)}</ol>"


def _lane(timeline: Timeline) -> str:
    """A bar as long as the case; each event that was done is a mark that can be clicked."""
    length = max(timeline.recording.duration_ms, 1)
    marks = "".join(
        f'<button class="mark {event.kind}" data-ms="{event.start_ms}"'
        f' style="left:{100 * event.start_ms / length:.3f}%"'
        f' title="{escape(event_text(event))}"><span>{escape(event_text(event))}</span></button>'
        for event in timeline.events
        if event.status is Status.DONE
    )
    return f'<div class="lane">{marks}<i id="now"></i></div>'


def _questions(lesson: Lesson) -> str:
    asked = [
        each for each in lesson.timeline.events if each.kind in _ASKS and each.status is Status.DONE and each.values
    ]
    items = []
    for event in asked:
        known = event.model_copy(update={"values": {k: v for k, v in event.values.items() if k != "pressure"}})
        hidden = event_text(known) if event.kind is Kind.INFLATION else ", ".join(
            filter(None, (event_name(event), site_text(event.site)))
        )  # fmt: skip
        answer = ", ".join(text for text, _ in value_texts(event))
        words = talk(lesson.timeline, event.start_ms - AROUND_MS, event.end_ms + AROUND_MS)
        items.append(
            f"<li><p>{_jump(max(0, event.start_ms - AROUND_MS))} {escape(hidden)}. {_ASKS[event.kind]}</p>"
            f"<details><summary>Show</summary><p><b>{escape(answer)}</b></p><blockquote>{escape(words)}</blockquote>"
            f"{_clip(lesson, event)}</details></li>"
        )
    return f"<ol>{''.join(items)}</ol>" if items else "<p>None.</p>"


def _clip(lesson: Lesson, event: Event) -> str:
    name = lesson.clips.get(event.id)
    element = "video" if lesson.has_picture else "audio"
    return f'<{element} controls preload="none" src="{escape(name)}"></{element}>' if name else ""


def _remarks(timeline: Timeline) -> str:
    """What was told for its own sake: remarks, charts and rules quoted, what was weighed up."""
    told = [e for e in timeline.events if e.kind is Kind.REMARK or e.status in (Status.QUOTED, Status.CONSIDERED)]
    items = "".join(
        f"<li>{_jump(e.start_ms)} <i>{e.status}</i> {escape(talk(timeline, e.start_ms - 2_000, e.end_ms + 2_000))}</li>"
        for e in told
    )
    return f"<ul>{items}</ul>" if items else "<p>None.</p>"


def _glossary(timeline: Timeline, lexicon: Lexicon) -> str:
    rows = "".join(
        f"<tr><td>{escape(name)}</td><td>{kind}</td><td>{' '.join(_jump(ms) for ms in times[:8])}</td></tr>"
        for name, kind, times in glossary(timeline, lexicon)
    )
    return f"<table><tr><th>Term</th><th>What</th><th>Said at</th></tr>{rows}</table>"


def _events(lesson: Lesson) -> str:
    rows = ""
    for event in lesson.timeline.events:
        if event.status in RECORDED:
            texts = (event_name(event), site_text(event.site), ", ".join(text for text, _ in value_texts(event)))
            cells = "".join(f"<td>{escape(text)}</td>" for text in texts)
            rows += f"<tr><td>{_jump(event.start_ms)}</td>{cells}<td>{_clip(lesson, event)}</td></tr>"
    heads = "<th>Time</th><th>What</th><th>Where</th><th>Sizes and pressures</th><th>Clip</th>"
    return f"<table><tr>{heads}</tr>{rows}</table>"


def listed(rows: Sequence[Mapping[str, object]]) -> str:
    """What was taken out, for a person to confirm: JSON Lines. It holds what identifies: it stays with the site."""
    return "".join(json.dumps(row) + "\n" for row in rows)


_PAGE = """<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy"
 content="default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; media-src 'self' file: data:">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title><!--title--></title>
<style>
:root { color-scheme: light dark; --line: #8a8f98; --go: #1f6feb; }
body { font: 15px/1.5 system-ui, sans-serif; margin: 0 auto; max-width: 60rem; padding: 0 1rem 4rem; }
.notice, .warning { border-left: 4px solid var(--line); font-size: .9rem; margin: .6rem 0; padding: .2rem .8rem; }
.warning { border-color: #b35900; }
h1 { font-size: 1.5rem; } h2 { font-size: 1.1rem; margin-top: 2rem; }
audio#player, video#player { width: 100%; } td audio, details audio { height: 2rem; max-width: 16rem; }
td video, details video { max-width: 16rem; }
#said { background: #8882; border-radius: .4rem; min-height: 3.2em; padding: .4rem .8rem; white-space: pre-line; }
.jump { background: none; border: 1px solid var(--line); border-radius: .3rem; color: inherit; cursor: pointer;
 font: inherit; font-variant-numeric: tabular-nums; padding: 0 .4rem; }
.jump:hover, .jump:focus-visible { border-color: var(--go); outline: 2px solid var(--go); }
.lane { background: #8882; border-radius: .4rem; height: 2.6rem; margin: .8rem 0; position: relative; }
.mark { background: #6b7280; border: 0; border-radius: 2px; cursor: pointer; height: 1.5rem; padding: 0;
 position: absolute; top: .55rem; width: 5px; } .mark span { position: absolute; clip-path: inset(50%); }
.mark.inflation, .mark.stent, .mark.embolise { background: #1f6feb; height: 2.2rem; top: .2rem; }
.mark.run, .mark.finding, .mark.measure { background: #2da44e; } .mark.drug { background: #b35900; }
#now { background: #d1242f; height: 100%; pointer-events: none; position: absolute; width: 2px; }
table { border-collapse: collapse; font-size: .9rem; width: 100%; }
th, td { border-bottom: 1px solid #8886; padding: .2rem .5rem .2rem 0; text-align: left; vertical-align: top; }
blockquote { border-left: 3px solid var(--line); margin: .3rem 0; padding-left: .8rem; }
</style>
</head>
<body>
<h1><!--title--></h1>
<p class="notice"><!--notice--></p>
<p class="warning"><!--warning--></p>
<!--player-->
<p id="said" aria-live="off"></p>
<!--lane-->
<h2>Chapters</h2><!--chapters-->
<h2>Questions</h2><!--questions-->
<h2>Remarks, charts and what was weighed up</h2><!--remarks-->
<h2>Glossary</h2><!--glossary-->
<h2>Events</h2><!--events-->
<script>
"use strict";
const [player, now, said] = ["player", "now", "said"].map(name => document.getElementById(name));
document.addEventListener("click", event => {
  const button = event.target.closest("[data-ms]");
  if (button) { player.currentTime = button.dataset.ms / 1000; player.play(); }
});
player.addEventListener("timeupdate", () => {
  if (player.duration) now.style.left = 100 * player.currentTime / player.duration + "%";
});
for (const track of player.textTracks) {
  if (track.kind !== "captions") continue;
  track.mode = player.tagName === "AUDIO" ? "hidden" : "showing";
  track.addEventListener("cuechange", () => {
    said.textContent = [...(track.activeCues || [])].map(cue => cue.getCueAsHTML().textContent).join("\\n");
  });
}
</script>
</body>
</html>
"""
