"""What a site says about the checks: which are on, its levels, its contrast rule; and of this patient, what one needs.

Every figure here that has a default names where it is from.
"""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from extractor.model import Frozen

Positive = Annotated[float, Field(gt=0, allow_inf_nan=False)]
Switch = Literal["off", "note", "review"]

#: 1 mg/dL of creatinine, in micromoles a litre: 113.12 g/mol, from memory.
UMOL_A_MG_DL = 88.4


class Levels(Frozen):
    """Two levels of one quantity: a first notice, and the one that wants follow-up."""

    first: Positive
    high: Positive

    @model_validator(mode="after")
    def _rising(self) -> "Levels":
        if self.first > self.high:
            raise ValueError(f"first ({self.first:g}) must not be above high ({self.high:g})")
        return self


class Dose(Frozen):
    """Notification levels. The defaults are the first notices and the substantial radiation dose levels of Stecker et
    al. 2009, J Vasc Interv Radiol 20:S263 (SIR/CIRSE); the figures are from memory, the paper was not read.
    """

    source: str = "Stecker 2009, J Vasc Interv Radiol 20:S263, figures from memory"
    fluoro_time_min: Levels = Levels(first=30, high=60)
    air_kerma_mgy: Levels = Levels(first=3000, high=5000)
    dap_gycm2: Levels = Levels(first=300, high=500)


class Contrast(Frozen):
    """The site's own limit, a named rule, or both.

    ``cigarroa-1989``: 5 mL a kg, at most 300 mL, over creatinine in mg/dL (Cigarroa et al. 1989, Am J Med 86:649; the
    page from memory). As it is printed the 300 mL may bound the product before it is divided (``cap = "product"``), or
    the result (``cap = "result"``). Without ``cap`` both are reckoned, and where they disagree it says so.
    """

    limit_ml: Positive | None = None
    rule: Literal["none", "cigarroa-1989"] = "none"
    cap: Literal["product", "result", "both"] = "both"


class Clotting(Frozen):
    """After how many minutes from heparin, or from the last one, the activated clotting time is due by the site's rule.
    No default: nothing is said unless the site sets it.
    """

    due_min: Positive | None = None


class Tolerances(Frozen):
    """Where two figures are still taken for the same. Set by hand, common practice, no source."""

    drug_again_s: Positive = 180  # the same dose again within so long may be one dose told twice
    contrast_share: Annotated[float, Field(ge=0, lt=1)] = 0.02  # runs may add up to so much more than the total
    run_time_share: Annotated[float, Field(gt=0, lt=1)] = 0.25  # a run's time beside volume over rate
    run_shortest_s: Positive = 0.3
    run_longest_s: Positive = 30
    hole_least_fr: Annotated[float, Field(ge=0)] = 0  # a closure this much above the sheath's label, at least
    hole_most_fr: Annotated[float, Field(ge=0)] = 2  # a sheath's outside is one to two French above its label


class Listed(Frozen):
    """Kinds of device whose every size stands in the catalogue: ``complete = ["balloon", "stent"]``. Of these a size
    that does not stand there is made by nobody; of others only of a device that was named.
    """

    complete: frozenset[str] = frozenset()


class Patient(Frozen):
    """What a contrast rule needs of this patient. Never taken from speech: it is given, in a file of its own."""

    weight_kg: Annotated[float, Field(ge=0.3, le=400)] | None = None
    creatinine_mg_dl: Annotated[float, Field(ge=0.1, le=30)] | None = None
    creatinine_umol_l: Annotated[float, Field(ge=8, le=2700)] | None = None

    @model_validator(mode="after")
    def _one_creatinine(self) -> "Patient":
        if self.creatinine_mg_dl is not None and self.creatinine_umol_l is not None:
            raise ValueError("give creatinine once: creatinine_mg_dl or creatinine_umol_l")
        return self

    @property
    def creatinine(self) -> float | None:
        """Creatinine, mg/dL."""
        if self.creatinine_umol_l is not None:
            return self.creatinine_umol_l / UMOL_A_MG_DL
        return self.creatinine_mg_dl


class SiteRules(Frozen):
    """One site file: ``[checks]`` switches codes off or to another severity, the other tables set figures."""

    checks: dict[str, Switch] = Field(default_factory=dict)
    dose: Dose = Dose()
    contrast: Contrast = Contrast()
    clotting: Clotting = Clotting()
    tolerances: Tolerances = Tolerances()
    catalogue: Listed = Listed()
    patient: Patient = Patient()

    def severity(self, code: str, default: Switch) -> Literal["note", "review"] | None:
        """A check's code -> how much it asks for; None: it is off."""
        switch = self.checks.get(code, default)
        return None if switch == "off" else switch
