"""The circuits as a single-line diagram: places in columns from the batteries on, lines between.

One line stands for a circuit with its return. Columns are the longest chain of feeds from a place
that nothing feeds; a ring of feeds does not make it endless.
"""

from typing import Final

import networkx as nx

from viewer.page.wire import Row
from viewer.words.circuits import fuse_words, size_words
from viewer.words.names import Names
from viewer.work.rows import Result

MOST_COLUMNS: Final = 12


class NodeRow(Row):
    """A place circuits end on: its column and its row."""

    key: str
    label: str
    column: int
    row: int


class EdgeRow(Row):
    """One circuit between two places."""

    number: str
    start: str
    goal: str
    words: str
    good: bool


class DiagramRow(Row):
    """The whole diagram."""

    nodes: tuple[NodeRow, ...]
    edges: tuple[EdgeRow, ...]


def diagram_of(result: Result, names: Names) -> DiagramRow:
    """Places and circuits of a result; data leads and mains are left out."""
    rows = [c for c in result.circuits if not c.signal and not c.mains]
    graph: nx.DiGraph = nx.DiGraph()
    for c in rows:
        graph.add_edge(_place(c.feed), _place(c.load))
    columns = _columns(graph)
    taken: dict[int, int] = {}
    nodes = []
    for place in _in_order(graph, columns):
        column = columns[place]
        nodes.append(
            NodeRow(key=place, label=names.place(place), column=column, row=taken.get(column, 0))
        )
        taken[column] = taken.get(column, 0) + 1
    edges = tuple(
        EdgeRow(
            number=c.number,
            start=_place(c.feed),
            goal=_place(c.load),
            words=", ".join(w for w in (size_words(c), fuse_words(c.fuse_amp)) if w != "-"),
            good=c.in_order,
        )
        for c in rows
    )
    return DiagramRow(nodes=tuple(nodes), edges=edges)


def _place(terminal: str) -> str:
    return terminal.rpartition(".")[0]


def _columns(graph: "nx.DiGraph") -> dict[str, int]:
    """The column of each place: rings are taken as one, then the longest chain of feeds."""
    rings = nx.condensation(graph)
    depth: dict[int, int] = {}
    for n in nx.topological_sort(rings):
        depth[n] = max((depth[p] + 1 for p in rings.predecessors(n)), default=0)
    out = {}
    for n, data in rings.nodes(data=True):
        members = sorted(data["members"])
        start = next((m for m in members if "battery" in m or graph.in_degree(m) == 0), members[0])
        near = nx.single_source_shortest_path_length(graph.subgraph(members), start)
        for m in members:
            out[m] = min(depth[n] + near.get(m, 0), MOST_COLUMNS)
    return out


def _in_order(graph: "nx.DiGraph", columns: dict[str, int]) -> list[str]:
    """Places column by column, each near the middle of what feeds it, so that few lines cross."""
    rank: dict[str, float] = {}
    out: list[str] = []
    for column in sorted(set(columns.values())):
        places = sorted(p for p in columns if columns[p] == column)

        def middle(place: str) -> tuple[float, str]:
            before = [rank[p] for p in graph.predecessors(place) if p in rank]
            return (sum(before) / len(before) if before else 0.0, place)

        for n, place in enumerate(sorted(places, key=middle)):
            rank[place] = float(n)
            out.append(place)
    return out
