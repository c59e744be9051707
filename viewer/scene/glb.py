"""The boat as a GLB (glTF 2.0, metres, y up): boxes and cables, to open on a phone or elsewhere.

Every node is named by its key with its kind; its label stands in its `extras`.
"""

import importlib
import itertools
from typing import Any, Final

import numpy as np

from layout.geometry.frames import Array
from viewer.scene.palette import BODY, CABLES, HAZARD, PLATE, SOLID, SPACE
from viewer.work.piece_rows import BoxRow
from viewer.work.rows import Result

UP_IS_Y: Final = np.array([[1.0, 0, 0, 0], [0, 0, 1.0, 0], [0, -1.0, 0, 0], [0, 0, 0, 1.0]])
MM: Final = 1e-3
SIDES: Final = 8  # of a cable's section
THINNEST_MM: Final = 4.0
CLEAR: Final = 60  # alpha of what is seen through, of 255
LEAST_LEG_MM: Final = 0.05


def scene_glb(result: Result) -> bytes:
    """The whole scene; the same result gives the same bytes."""
    trimesh: Any = importlib.import_module("trimesh")  # it tells no types of what is used here

    scene = trimesh.Scene()

    def add(key: str, mesh: Any, colour: str, alpha: int = 255) -> None:
        mesh.visual = trimesh.visual.TextureVisuals(
            material=trimesh.visual.material.PBRMaterial(
                baseColorFactor=[*_rgb(colour), alpha],
                metallicFactor=0.0,
                roughnessFactor=0.9,
                alphaMode="BLEND" if alpha < 255 else "OPAQUE",
                doubleSided=True,
            )
        )
        mesh.apply_transform(UP_IS_Y)
        mesh.metadata["label"] = result.labels.get(key, key)
        scene.add_geometry(mesh, node_name=key, geom_name=key)

    for s in result.boat.spaces:
        low, high = np.array(s.low_mm) * MM, np.array(s.high_mm) * MM
        box = trimesh.creation.box(extents=high - low)
        box.apply_translation((low + high) / 2)
        add(f"space:{s.key}", box, SPACE, CLEAR)
    for solid in result.boat.solids:
        add(f"solid:{solid.key}", _box(solid.box, np.zeros(3)), SOLID)
    for h in result.boat.hazards:
        low, high = np.array(h.low_mm) * MM, np.array(h.high_mm) * MM
        box = trimesh.creation.box(extents=np.maximum(high - low, MM))
        box.apply_translation((low + high) / 2)
        add(f"hazard:{h.key}", box, HAZARD, CLEAR)
    for stand in result.boat.stands:
        for row in stand.body:
            colour = PLATE if row.key.endswith(".plate") else BODY
            add(f"piece:{row.key}", _box(row, np.array(stand.at_mm)), colour)
    for n, pole in enumerate(result.poles):
        tube = _tube(np.array(pole.line), max(pole.outside_diameter_mm, THINNEST_MM) / 2)
        if tube is not None:
            add(f"circuit:{pole.number}:{pole.pole}:{n}", tube, CABLES[n % len(CABLES)])
    out: bytes = scene.export(file_type="glb")
    return out


def _rgb(colour: str) -> list[int]:
    return [int(colour[k : k + 2], 16) for k in (1, 3, 5)]


def _box(row: BoxRow, at: Array) -> Any:
    import trimesh

    m = np.eye(4)
    m[:3, :3] = np.array(row.rotation)
    m[:3, 3] = (np.array(row.centre_mm) + at) * MM
    return trimesh.creation.box(extents=2 * np.array(row.half_mm) * MM, transform=m)


def _tube(line: Array, radius_mm: float) -> Any:
    """A cable as one mesh of prisms, corners overlapping; None where it has no length."""
    import trimesh

    parts = []
    for a, b in itertools.pairwise(line):
        if np.linalg.norm(b - a) > LEAST_LEG_MM:
            leg = np.array([a, b]) * MM
            parts.append(
                trimesh.creation.cylinder(radius=radius_mm * MM, segment=leg, sections=SIDES)
            )
    return trimesh.util.concatenate(parts) if parts else None
