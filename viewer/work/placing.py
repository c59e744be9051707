"""Place things of a job: each in a few places with its price in cable, or several at once."""

from dataclasses import replace
from typing import Final

from layout.bench.frontier import PassEffort
from layout.boat.parts import OUTSIDE, Boat, Piece
from layout.boat.reader import Reader, sizes_of
from layout.errors import CoamingError, JobError, nearest
from layout.job.job_file import PieceModel
from layout.job.reading import JobFiles
from layout.packing.door import REACH_MM, PlaceAsk, Pull, Stood, openers, places
from layout.packing.things import Thing, default_stands, with_piece
from layout.packing.together import Together, together
from routing.circuits.circuits import Circuits, find_circuits
from routing.circuits.laying import CableEffort
from routing.circuits.requests import Requests
from routing.sizes.conductors import price_of_od
from routing.stock.buying import laying_work
from routing.wiring import wire
from viewer.work.described import Described
from viewer.work.gather_boat import boxes_of, labels_of, pose_row, triple
from viewer.work.gather_wiring import finding_row
from viewer.work.placed_rows import OpensRow, PlacedRow, PlacingRow
from viewer.work.session import Asks

SEARCH_STEPS: Final = 40_000
PROOF_CELLS: Final = 0  # a place that is not found to go is passed over: another is looked at
# Distances between kinds, with their basis: a shop adds its own under [[apart]].
APART: Final = (
    ("charger", "battery", 200.0),  # one guide: 8 in clear round a charger
    ("mains charger", "battery", 200.0),
    ("sensor", "motor", 300.0),  # data and sensors off what switches: common practice
)


def placed(files: JobFiles, names: list[str], spaces: list[str], asks: Asks) -> PlacingRow:
    """Places for things named by key, label or type. Raises JobError, CoamingError, Stopped."""
    files, keys = _with_new(files, names)
    found = Described.by(files)
    ask = _ask(files, found, keys, spaces)
    effort = PassEffort(SEARCH_STEPS, PROOF_CELLS, asks.seed, asks.telling, asks.stop)
    if len(ask.things) > 1:
        return _several(files, found, ask, effort, asks)
    thing = ask.things[0]
    boat = replace(ask.boat, pieces={k: p for k, p in ask.boat.pieces.items() if k != thing.key})
    stood = places(ask, thing, boat, effort)
    opens = openers(ask, thing, boat) if not stood else []
    rows = _priced(files, found, [_row(files, found.boat, s) for s in stood], stood, asks)
    return PlacingRow(
        things=(thing.key,),
        places=tuple(rows),
        together=False,
        left=() if stood else (thing.key,),
        proven_none=False,
        opens=tuple(
            OpensRow(
                thing=thing.key,
                moved=o.moved,
                axis=o.axis,
                by_mm=o.by_mm,
                space=o.spot.piece.space,
                face=o.spot.posture.face,
            )
            for o in opens
        ),
        spaces=ask.spaces,
        labels=labels_of(found.boat),
    )


def _several(
    files: JobFiles, found: Described, ask: PlaceAsk, effort: PassEffort, asks: Asks
) -> PlacingRow:
    got: Together = together(ask, effort)
    stood = list(got.stood)
    boat = found.boat
    for s in stood:
        boat = with_piece(boat, s.spot.piece)
    rows = [_row(files, found.boat, s) for s in stood]
    price = None if got.left else _price(files, boat, asks)
    rows = [r.model_copy(update={"price": price}) for r in rows]
    return PlacingRow(
        things=tuple(t.key for t in ask.things),
        places=tuple(rows),
        together=True,
        left=got.left,
        proven_none=got.proven_none,
        opens=(),
        spaces=ask.spaces,
        labels=labels_of(found.boat),
    )


def _with_new(files: JobFiles, names: list[str]) -> tuple[JobFiles, list[str]]:
    """The files with a piece for every type named, and the keys of all things."""
    job = files.job
    labels = {k: p.label for k, p in job.pieces.items()} | {
        k: b.label for k, b in job.boards.items()
    }
    pieces, keys = dict(job.pieces), []
    for name in names:
        mine = [k for k, label in labels.items() if name in (k, label)]
        if len(mine) == 1:
            keys.append(mine[0])
        elif name in files.types:
            key = name
            while key in pieces or key in job.boards:
                key = f"{key}_new"
            space = next(iter(files.hull.spaces), OUTSIDE)
            pieces[key] = PieceModel(
                type=name, space=space, at=[0.0, 0.0, 0.0], held_by="to be placed"
            )
            keys.append(key)
        else:
            near = nearest(name, [*labels, *(x for x in labels.values() if x), *files.types])
            hint = f"did you mean '{near}'?" if near else "name a piece, a board or a type of gear"
            raise CoamingError(f"{files.job_path.name}: nothing is named '{name}': {hint}")
    return replace(files, job=job.model_copy(update={"pieces": pieces})), list(dict.fromkeys(keys))


def _ask(files: JobFiles, found: Described, keys: list[str], spaces: list[str]) -> PlaceAsk:
    boat = found.boat
    named = {s.key: s.label for s in boat.spaces.values()}
    wanted = []
    for s in spaces:
        mine = [k for k, label in named.items() if s in (k, label)]
        if len(mine) != 1:
            near = nearest(s, [*named, *named.values()])
            hint = f"did you mean '{near}'?" if near else f"there are {', '.join(named)}"
            raise CoamingError(f"{files.hull_path.name}: no space is named '{s}': {hint}")
        wanted.append(mine[0])
    requests = Requests(found.circuits)
    reader = Reader(files, sizes_of(files, []))
    own = tuple(
        (a.kinds[0], a.kinds[1], reader.mm(a.off, f"apart[{i + 1}].off", 0))
        for i, a in enumerate(files.job.apart)
    )
    if reader.findings:
        raise JobError(reader.findings)
    things = tuple(_thing(files, boat.pieces[k]) for k in keys)
    pulls = {k: _pulls(found.circuits, requests, k) for k in keys}
    return PlaceAsk(boat, things, tuple(wanted or named), pulls, (*APART, *own))


def _thing(files: JobFiles, piece: Piece) -> Thing:
    if piece.is_board:
        turned = [files.types[p.type].stands for p in piece.parts.values()]
        stands = "upright" if any(t != "any way" for t in turned) else "any way"
        return Thing(piece, default_stands(piece.kind, ["wall", "floor"], stands))
    model = files.types[piece.type]
    return Thing(
        piece, default_stands(piece.kind, list(model.fits_on), model.stands), model.splash_proof
    )


def _pulls(circuits: Circuits, requests: Requests, key: str) -> tuple[Pull, ...]:
    """Where each of a thing's cables goes, and what a millimetre of it is worth."""
    name = circuits.files.job.job.catalogue
    out = []
    for n in circuits.models:
        feed, load = circuits.feeds[n], circuits.loads[n]
        for here, there in ((feed, load), (load, feed)):
            if here.piece.key == key and there.piece.key != key:
                worth = price_of_od(requests.od_mm(n), name)
                x, y, z = (float(v) for v in there.terminal.at)
                terminal = here.name.removeprefix(f"{key}.")
                out.append(Pull(terminal, (x, y, z), worth))
    return tuple(out)


def _row(files: JobFiles, boat: Boat, s: Stood) -> PlacedRow:
    p, posture = s.spot.piece, s.spot.posture
    at = s.spot.foot - boat.spaces[p.space].low
    group = "boards" if p.is_board else "pieces"
    top = "front" if p.is_board else "top"
    base = (group, p.key)
    sets: list[tuple[tuple[str, ...], str | tuple[float, ...] | None]] = []
    model = files.job.boards.get(p.key) if p.is_board else files.job.pieces.get(p.key)
    if model is not None and model.place is not None:  # told in words until now
        sets.append(((*base, "place"), None))
    if not p.is_board and p.key not in _written(files):
        sets.append(((*base, "type"), p.type))
    sets += [
        ((*base, "space"), p.space),
        ((*base, "at"), tuple(round(float(v), 1) for v in at)),
        ((*base, "along"), posture.along),
        ((*base, top), posture.top),
    ]
    return PlacedRow(
        thing=p.key,
        label=p.label,
        space=p.space,
        face=posture.face,
        along=posture.along,
        top=posture.top,
        at_mm=triple(at),
        gap_mm=min(s.spot.gap_mm, 99_999.0),
        from_opening_mm=s.spot.from_opening_mm,
        out_of_reach=s.spot.from_opening_mm > REACH_MM,
        cable_mm=s.spot.cable_mm,
        price=None,
        dearer=0.0,
        way=s.way,
        least_clearance_mm=s.passage.least_clearance_mm,
        first=s.alone,
        splash=boat.spaces[p.space].site == "open" and not _splash_proof(files, p),
        findings=tuple(finding_row(f) for f in s.findings),
        body=boxes_of(p.body),
        path=tuple(pose_row(x) for x in s.passage.path),
        sets=tuple(sets),
    )


def _splash_proof(files: JobFiles, piece: Piece) -> bool:
    kinds = [files.types[t.type] for t in piece.parts.values()]
    kinds += [files.types[piece.type]] if piece.type else []
    return all(k.splash_proof for k in kinds)


def _written(files: JobFiles) -> set[str]:
    """The pieces that stand in the file; new ones are held by what places them."""
    return {k for k, p in files.job.pieces.items() if p.held_by != "to be placed"}


def _priced(
    files: JobFiles, found: Described, rows: list[PlacedRow], stood: list[Stood], asks: Asks
) -> list[PlacedRow]:
    """What all cable costs with the thing in each of its places; the cheapest first."""
    prices = [_price(files, with_piece(found.boat, s.spot.piece), asks) for s in stood]
    known = [p for p in prices if p is not None]
    least = min(known, default=0.0)
    out = [
        r.model_copy(update={"price": p, "dearer": 0.0 if p is None else p - least})
        for r, p in zip(rows, prices, strict=True)
    ]
    return sorted(out, key=lambda r: (r.first, r.price is None, r.price or 0.0, r.cable_mm))


def _price(files: JobFiles, boat: Boat, asks: Asks) -> float | None:
    """What the job's cable costs with the boat so; None where a cable has no way."""
    if not files.job.circuits:
        return None
    asks.telling("what its cable costs there")
    circuits = find_circuits(files, boat, Reader(files, sizes_of(files, [])))
    wiring = wire(circuits, asks.telling, CableEffort(tell_detours=False, ended=asks.ended))
    if any(c.no_way is not None for c in wiring.cabling.cables):
        return None
    return float(sum(c.total for c in wiring.costs)) + laying_work(wiring.cabling)
