"""The bench: boards arranged so that they go in, things placed, both to look at and take."""
