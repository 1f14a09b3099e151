"""One small file a kind of event. The order is the order of hearing: who may claim an item first."""

from extractor.reconciling.kinds.access import Accesses
from extractor.reconciling.kinds.balloon import Balloons
from extractor.reconciling.kinds.closure import Closures
from extractor.reconciling.kinds.device import Devices
from extractor.reconciling.kinds.drug import Drugs
from extractor.reconciling.kinds.finding import Findings
from extractor.reconciling.kinds.measure import Measures
from extractor.reconciling.kinds.run import Runs
from extractor.reconciling.kinds.total import Totals
from extractor.reconciling.story import Hearing


def hearings() -> list[Hearing]:
    """Every kind, fresh for one case."""
    return [Totals(), Accesses(), Drugs(), Closures(), Devices(), Findings(), Measures(), Balloons(), Runs()]
