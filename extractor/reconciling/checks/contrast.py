"""Contrast: the total beside the runs, a run's time beside volume and rate, and the limits a site names."""

import re
from collections.abc import Iterator

from extractor.model import Event, Kind
from extractor.reconciling.catalogue import spoken_words
from extractor.reconciling.checks.case import Case, Finding, Rule, read, said
from extractor.units import figure

_DILUTED = re.compile(r"\b(?:half strength|quarter strength|third strength|dilute\w*|fifty fifty|carbon dioxide|co2)\b")
CIGARROA = "Cigarroa 1989, Am J Med 86:649, the page from memory"


def _total(case: Case) -> tuple[Event, float] | None:
    """The last total of contrast that was read out, mL."""
    totals = [(event, read(event, "contrast_volume", "mL")) for event in case.of(Kind.TOTAL)]
    known = [(event, total) for event, total in totals if total is not None]
    return known[-1] if known else None


def _below_runs(case: Case) -> Iterator[Finding]:
    """The runs told add up to more than the total: one of the figures cannot be, unless contrast was diluted."""
    total = _total(case)
    runs = [(event, volume) for event in case.of(Kind.RUN) if (volume := read(event, "volume", "mL")) is not None]
    told = sum(volume for _, volume in runs)
    if total and told > total[1] * (1 + case.site.tolerances.contrast_share):
        diluted = " Dilution was spoken of, so the two need not be the same." if _spoken_diluted(case) else ""
        yield Finding(
            f"The {len(runs)} runs told add up to {figure(round(told, 1), 'mL')}, and the total said is "
            f"{said(total[0].values['contrast_volume'])}.{diluted}",
            (*(event for event, _ in runs), total[0]),
            ("volume", "contrast_volume"),
        )


def _spoken_diluted(case: Case) -> bool:
    return bool(_DILUTED.search(spoken_words(case.words)))


def _run_time(case: Case) -> Iterator[Finding]:
    """A run's time that was said, and volume over rate is another."""
    for event in case.of(Kind.RUN):
        duration, reckoned = read(event, "duration", "s"), _reckoned_s(event)
        share = case.site.tolerances.run_time_share
        if duration and reckoned and not 1 - share <= duration / reckoned <= 1 + share:
            yield Finding(
                f"A run of {said(event.values['duration'])}; {_volume_and_rate(event)} are {reckoned:.1f} s.",
                (event,),
                ("volume", "rate", "duration"),
            )


def _run_odd(case: Case) -> Iterator[Finding]:
    """Volume over rate that is hardly a run: the two may be exchanged, or one misheard."""
    tolerances = case.site.tolerances
    for event in case.of(Kind.RUN):
        reckoned = _reckoned_s(event)
        if reckoned and not tolerances.run_shortest_s <= reckoned <= tolerances.run_longest_s:
            yield Finding(f"{_volume_and_rate(event)} are a run of {reckoned:.1f} s.", (event,), ("volume", "rate"))


def _reckoned_s(event: Event) -> float | None:
    volume, rate = read(event, "volume", "mL"), read(event, "rate", "mL/s")
    return volume / rate if volume and rate else None


def _volume_and_rate(event: Event) -> str:
    return f"{said(event.values['volume'])} at {said(event.values['rate'])}"


def cigarroa_ml(weight_kg: float, creatinine_mg_dl: float) -> tuple[float, float]:
    """Weight and creatinine -> the limit, mL, with the 300 mL cap on the product, and with it on the result.

    Printed, the rule can be read either way: 100 kg at 2 mg/dL is 150 mL or 250 mL.
    """
    product = 5 * weight_kg
    return min(product, 300) / creatinine_mg_dl, min(product / creatinine_mg_dl, 300)


def _limits(case: Case) -> dict[str, float]:
    """Name of each limit that applies -> mL."""
    site, patient = case.site.contrast, case.site.patient
    limits = {} if site.limit_ml is None else {"the site's own limit": site.limit_ml}
    if site.rule == "cigarroa-1989" and patient.weight_kg and patient.creatinine:
        product, result = cigarroa_ml(patient.weight_kg, patient.creatinine)
        if site.cap in ("product", "both"):
            limits[f"{CIGARROA}, the 300 mL taken as a bound of the product"] = product
        if site.cap in ("result", "both"):
            limits[f"{CIGARROA}, the 300 mL taken as a bound of the result"] = result
    return limits


def _above_limit(case: Case) -> Iterator[Finding]:
    total = _total(case)
    for name, limit in _limits(case).items() if total else ():
        if total and total[1] > limit:
            event = total[0]
            yield Finding(
                f"Contrast {said(event.values['contrast_volume'])} is above {figure(round(limit), 'mL')}: {name}.",
                (event,),
                ("contrast_volume",),
            )


def _unchecked(case: Case) -> Iterator[Finding]:
    """The site wants a rule, and what it needs of the patient is not known."""
    patient, total = case.site.patient, _total(case)
    if case.site.contrast.rule != "none" and total and not (patient.weight_kg and patient.creatinine):
        missing = " and ".join(
            name for name, known in (("weight", patient.weight_kg), ("creatinine", patient.creatinine)) if not known
        )
        yield Finding(f"The contrast rule was not reckoned: the {missing} was not given.", (total[0],))


RULES = (
    Rule("contrast-below-runs", "review", "arithmetic", _below_runs),
    Rule("run-time-differs", "review", "arithmetic: volume over rate", _run_time),
    Rule("run-time-odd", "note", "common practice, no source", _run_odd),
    Rule("contrast-above-limit", "review", f"the site's own limit, or {CIGARROA}", _above_limit),
    Rule("contrast-rule-not-reckoned", "note", CIGARROA, _unchecked),
)
