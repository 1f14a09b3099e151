"""One small file a kind of event. The order is the order of hearing: who may claim an item first. What
puts right or takes back an earlier event is heard before and after them; last, what nothing took."""

from extractor.reconciling.amendments import Amendments, Retractions
from extractor.reconciling.in_stock import InStock
from extractor.reconciling.kinds.access import Accesses
from extractor.reconciling.kinds.bare_share import BareShares
from extractor.reconciling.kinds.chart import Charts
from extractor.reconciling.kinds.chart_read import ChartsRead
from extractor.reconciling.kinds.closure import Closures
from extractor.reconciling.kinds.counted_times import CountedTimes
from extractor.reconciling.kinds.device import Devices
from extractor.reconciling.kinds.drug import Drugs
from extractor.reconciling.kinds.embolise import Embolics
from extractor.reconciling.kinds.finding import Findings
from extractor.reconciling.kinds.inflation import Inflations
from extractor.reconciling.kinds.leak_told import LeaksTold
from extractor.reconciling.kinds.lesion_told import LesionsTold
from extractor.reconciling.kinds.measure import Measures
from extractor.reconciling.kinds.name import Names
from extractor.reconciling.kinds.one_more import OneMore
from extractor.reconciling.kinds.run import Runs
from extractor.reconciling.kinds.sized import Sized
from extractor.reconciling.kinds.stent import Stents
from extractor.reconciling.kinds.told_by_verb import ToldByVerb
from extractor.reconciling.kinds.told_done import ToldDone
from extractor.reconciling.kinds.told_seated import ToldSeated
from extractor.reconciling.kinds.total import Totals
from extractor.reconciling.kinds.twin import Twins
from extractor.reconciling.kinds.unsized import Unsized
from extractor.reconciling.kinds.vials import Vials
from extractor.reconciling.loose_figures import LooseFigures
from extractor.reconciling.story import Hearing


def hearings() -> list[Hearing]:
    """Every kind, fresh for one case."""
    return [
        BareShares(),
        LesionsTold(),
        LeaksTold(),
        Amendments(),
        InStock(),
        Totals(),
        Names(),
        Accesses(),
        Drugs(),
        Closures(),
        Devices(),
        OneMore(),
        ChartsRead(),
        Sized(),
        Unsized(),
        Twins(),
        Findings(),
        Measures(),
        Stents(),
        ToldDone(),
        Embolics(),
        ToldByVerb(),
        ToldSeated(),
        Vials(),
        Charts(),
        Inflations(),
        CountedTimes(),
        Runs(),
        Retractions(),
        LooseFigures(),
    ]
