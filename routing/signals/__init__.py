"""Instrument backbone and ready-made leads."""
