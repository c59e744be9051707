"""The nodes of a job's DC network: which terminals share copper, and where each minus goes home.

A part is one node a pole; an isolator, fuse, switch or shunt is two, with its contact between,
wherever the links of its board are told or it stands by itself. On a board whose links are not
told, parts no circuit feeds are taken to hang on the part that is fed from off the board.
"""

from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final

from layout.boat.parts import Piece
from routing.circuits.circuits import CHARGERS, Circuits, End
from routing.network.network import Branch

CONTACT_OHM: Final = MappingProxyType(
    {"isolator": 0.0002, "fuse": 0.0005, "switch": 0.005}
)  # memory
SHUNT_OHM: Final = 0.05 / 500
OUTPUT: Final = " output"


@dataclass(slots=True)
class Nodes:
    """Names of nodes, and the places they belong to as they are asked for."""

    circuits: Circuits
    places: dict[str, End] = field(default_factory=dict)
    through: dict[str, dict[str, None]] = field(default_factory=dict)  # nodes of a two-sided part

    def _two_sided(self, end: End) -> bool:
        told = not end.piece.is_board or self.circuits.linked(end.piece)
        return told and (end.kind in CONTACT_OHM or end.kind == "shunt")

    def _plus_alone(self, end: End) -> bool:
        return self._two_sided(end) and end.kind != "shunt"

    def _node(self, place: str, end: End, sign: str) -> str:
        self.places.setdefault(place, end)
        if not self._two_sided(end):
            return f"{place} {sign}"
        own = "-" if end.kind == "shunt" else "+"
        if sign != own:
            return f"{place} {sign}"
        node = f"{end.name} {sign}"
        self.through.setdefault(end.place, {})[node] = None
        return node

    def plus(self, end: End, source: bool = False) -> str:
        """The plus node at an end; what a charger gives is not what it takes."""
        output = source and end.kind in CHARGERS
        return self._node(end.place + (OUTPUT if output else ""), end, "+")

    def minus(self, end: End, source: bool = False) -> str:
        """The minus node at an end."""
        output = source and end.kind in CHARGERS
        return self._node(end.place + (OUTPUT if output else ""), end, "-")

    def home(self, n: str) -> str:
        """Where a circuit's minus goes: as told, else to the minus of what it is fed from."""
        feed, back = self.circuits.feeds[n], self.circuits.returns[n]
        if back is not None:
            return self.minus(back)
        if feed.kind == "battery":
            first = self.circuits.bank_of(feed.place).strings[0][0]
            self.places.setdefault(feed.place, feed)
            return f"{first} -"
        gate = self._gate(feed.piece, "load") if feed.kind not in CHARGERS else None
        up = self.circuits.supply.get(n)
        if gate is None and up is not None and feed.piece.is_board and self._plus_alone(feed):
            return self.home(up)  # no minus ever comes to a fuse: it goes to what that hangs on
        return gate or self.minus(feed, source=True)

    def end_minus(self, n: str) -> str:
        """The minus node at a circuit's load."""
        feed, load = self.circuits.feeds[n], self.circuits.loads[n]
        if load.kind == "battery":  # a bank is charged over its two ends
            return f"{self.circuits.bank_of(load.place).strings[0][0]} -"
        side = "battery" if feed.kind == "battery" else "load"
        gate = self._gate(load.piece, side) if load.kind not in CHARGERS else None
        return gate or self.minus(load)

    def _gate(self, board: Piece, side: str) -> str | None:
        """Where minus comes to a board whose links are told: its shunt, else its minus bar."""
        if not board.is_board or not self.circuits.linked(board):
            return None
        shunt = next((k for k, p in board.parts.items() if p.kind == "shunt"), None)
        bars = [e for e in self._minus_ends(board) if e.kind != "shunt"]
        bars.sort(key=lambda e: e.kind != "bus bar")  # a bar before a panel's own minus
        if bars and (side == "load" or shunt is None):
            return self.minus(bars[0])
        if shunt is None:
            return None
        node = f"{board.key}.{shunt}.{side} -"
        self.through.setdefault(f"{board.key}.{shunt}", {})[node] = None
        return node

    def _minus_ends(self, board: Piece) -> list[End]:
        """The ends of a board's minus links."""
        c = self.circuits
        both = [
            e
            for n, m in c.models.items()
            if m.link and c.on_board(n) is board
            for e in (c.feeds[n], c.loads[n])
        ]
        return [e for e in both if e.terminal.pole == "minus"]

    def contacts(self) -> list[Branch]:
        """What lies between the two sides of isolators, fuses, switches and shunts."""
        out = []
        for place, nodes in self.through.items():
            first, *others = nodes
            end = self.places.get(place)
            ohm = CONTACT_OHM.get(end.kind, SHUNT_OHM) if end is not None else SHUNT_OHM
            out += [Branch(f"{place} across to {o}", first, o, ohm) for o in others]
        return out

    def supposed(self, fed_places: set[str], fed: dict[str, str]) -> list[Branch]:
        """On boards whose links are not told: what hangs on the part fed from off the board."""
        out = []
        for place, end in self.places.items():
            main = fed.get(end.piece.key)
            if not end.piece.is_board or self.circuits.linked(end.piece):
                continue
            if place in fed_places or main is None or main == place:
                continue
            kinds = {part.kind for part in end.piece.parts.values()}
            plus = sum(CONTACT_OHM[k] for k in ("isolator", "fuse") if k in kinds)
            minus = SHUNT_OHM if "shunt" in kinds else 0.0
            out += [
                Branch(f"{place} from {main}", f"{main} +", f"{place} +", plus),
                Branch(f"{place} to {main}", f"{place} -", f"{main} -", minus),
            ]
        return out
