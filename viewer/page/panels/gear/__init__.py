"""Gear put into the boat: the catalogue, things of one's own, places, turns, and boards."""
