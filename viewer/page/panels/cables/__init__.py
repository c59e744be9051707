"""Circuits: as a table, as a single-line diagram, on the model; other ways tried."""
