"""Graphs of ways kept for the next question about the same ways."""

from typing import Final

from layout.known import Known, always, mark
from routing.ways import direct, leads, outside, tracks
from routing.ways.graph import Pairs, Tracked, WayGraph
from routing.ways.leads import Stop
from routing.ways.ways import Ways

MOST_GRAPHS: Final = 16  # kept: one for each rule that is told, and a few boats
_GRAPHS: Final[Known[WayGraph]] = Known(MOST_GRAPHS)


def graphs_forgotten() -> None:
    """Forget the graphs kept and all they are made of, to measure a fresh start."""
    for kept in (_GRAPHS, tracks.KEPT, leads.KEPT, direct.KEPT, outside.KEPT):
        kept.forget()


def graph_of(ways: Ways, stops: list[Stop], pairs: Pairs, beside: Tracked) -> WayGraph:
    """The graph of some ways with these stops.

    A price, a current or a lid leaves where cable may lie as it was: its graph is used again.
    """
    laid = [ways.mark_of(space) for space in ways.free]
    key = mark(laid, ways.joints, stops, sorted(pairs, key=str), beside)
    return _GRAPHS.of(key, lambda: WayGraph(ways, stops, pairs, beside), always)
