"""Arithmetic on named sizes and nothing else: + - * /, brackets, min, max, abs and sqrt."""

import ast
import math
from collections.abc import Mapping
from functools import lru_cache
from typing import Final

from layout.errors import SizeError

MOST_KEPT: Final = 4_096  # texts: the same ones are read again for every size moved
MAX_CHARS: Final = 400
MAX_NODES: Final = 120
MAX_DEPTH: Final = 24
FUNCTIONS: Final = ("min", "max", "abs", "sqrt")
HINT: Final = "arithmetic on sizes may use + - * / ( ) min max abs sqrt"


@lru_cache(MOST_KEPT)
def _tree(text: str) -> ast.expr:
    if len(text) > MAX_CHARS:
        raise SizeError(
            f"the arithmetic is {len(text)} characters long", f"keep it under {MAX_CHARS}"
        )
    if not text.strip():
        raise SizeError("the length is empty", "write it like 430 mm")
    try:
        tree = ast.parse(text.strip(), mode="eval").body
    except (SyntaxError, ValueError, RecursionError, MemoryError):
        raise SizeError(f"'{text}' is neither a length nor arithmetic on sizes", HINT) from None
    if _depth(tree) > MAX_DEPTH or sum(1 for _ in ast.walk(tree)) > MAX_NODES:
        raise SizeError("the arithmetic is too deep or too long", "split it into named sizes")
    return tree


def _depth(tree: ast.AST) -> int:
    level, deepest = [tree], 0
    while level:
        deepest += 1
        level = [c for n in level for c in ast.iter_child_nodes(n)]
    return deepest


def names_in(text: str) -> list[str]:
    """The size names the arithmetic uses, each once. Raises SizeError."""
    return list(_names(text))


@lru_cache(MOST_KEPT)
def _names(text: str) -> tuple[str, ...]:
    tree = _tree(text)
    called = {id(n.func) for n in ast.walk(tree) if isinstance(n, ast.Call)}
    return tuple(
        dict.fromkeys(
            n.id for n in ast.walk(tree) if isinstance(n, ast.Name) and id(n) not in called
        )
    )


def evaluate(text: str, values: Mapping[str, float]) -> float:
    """The value in mm. Raises SizeError for anything but arithmetic on the given sizes.

    >>> evaluate("hatch - 2 * trim", {"hatch": 430.0, "trim": 12.0})
    406.0
    """
    return _value(_tree(text), values, text)


def _value(node: ast.expr, values: Mapping[str, float], text: str) -> float:
    if isinstance(node, ast.Constant):
        if isinstance(node.value, bool) or not isinstance(node.value, int | float):
            raise SizeError(f"'{text}' holds something that is not a number", HINT)
        if abs(node.value) > 1e9:
            raise SizeError(
                f"'{text}' holds a number too large to be a size", "lengths go up to 100 m"
            )
        return float(node.value)
    if isinstance(node, ast.Name):
        if node.id not in values:
            raise SizeError(f"no size is named '{node.id}'")
        return values[node.id]
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub | ast.UAdd):
        v = _value(node.operand, values, text)
        return -v if isinstance(node.op, ast.USub) else v
    if isinstance(node, ast.BinOp):
        return _binary(node, values, text)
    if isinstance(node, ast.Call):
        return _call(node, values, text)
    raise SizeError(f"'{text}' holds more than arithmetic on sizes", HINT)


def _binary(node: ast.BinOp, values: Mapping[str, float], text: str) -> float:
    p, q = _value(node.left, values, text), _value(node.right, values, text)
    if isinstance(node.op, ast.Add):
        return p + q
    if isinstance(node.op, ast.Sub):
        return p - q
    if isinstance(node.op, ast.Mult):
        return p * q
    if isinstance(node.op, ast.Div):
        if q == 0:
            raise SizeError(
                f"'{text}' divides by zero", "one of the sizes below the line is nothing"
            )
        return p / q
    raise SizeError(f"'{text}' holds more than arithmetic on sizes", HINT)


def _call(node: ast.Call, values: Mapping[str, float], text: str) -> float:
    if not isinstance(node.func, ast.Name) or node.func.id not in FUNCTIONS or node.keywords:
        raise SizeError(f"'{text}' calls something I do not know", HINT)
    args = [_value(a, values, text) for a in node.args]
    name = node.func.id
    if name in ("min", "max") and args:
        return min(args) if name == "min" else max(args)
    if len(args) == 1 and name == "abs":
        return abs(args[0])
    if len(args) == 1 and name == "sqrt":
        if args[0] < 0:
            raise SizeError(f"'{text}' takes the root of a negative number")
        return math.sqrt(args[0])
    raise SizeError(f"'{text}': {name} has the wrong number of values", HINT)
