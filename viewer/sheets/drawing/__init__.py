"""Drawings in millimetres: one model, written as DXF, as SVG, as 1:1 tiles and into sheets."""
