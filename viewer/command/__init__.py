"""The command line: check, book, bench, arrange, place, remedy, compare, schema, page."""

from viewer.command.line import main
from viewer.command.running import BAD_INPUT, IN_ORDER, NOT_IN_ORDER, STOPPED

__all__ = ["BAD_INPUT", "IN_ORDER", "NOT_IN_ORDER", "STOPPED", "main"]
