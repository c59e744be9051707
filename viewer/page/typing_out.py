"""The types of both sides of the wire, written out for the page's scripts from the models here.

`python -m viewer.page.typing_out` writes `web/wire.d.ts` anew; a test fails where it is not what
the models say.
"""

import json
import re
from pathlib import Path
from typing import Any, Final

from pydantic.json_schema import models_json_schema

from viewer.page.live import WorkRow
from viewer.page.panels import PANELS
from viewer.page.wire import DeskRow

OUT: Final = Path(__file__).parent / "web" / "wire.d.ts"
HEAD: Final = (
    "// Written by python -m viewer.page.typing_out from the models of the page: do not edit.\n"
)
_PLAIN: Final = {
    "string": "string",
    "number": "number",
    "integer": "number",
    "boolean": "boolean",
    "null": "null",
}


def wire_types() -> str:
    """The whole file."""
    models: dict[Any, Any] = {(DeskRow, "serialization"): 0, (WorkRow, "serialization"): 0}
    lines = []
    for panel in PANELS.values():
        if panel.shown is not None:
            models[(panel.shown, "serialization")] = 0
        for name, c in panel.commands.items():
            models[(c.ask, "validation")] = models[(c.told, "serialization")] = 0
            at = "true" if c.at_desk else "false"
            types = f"ask: {c.ask.__name__}; told: {c.told.__name__}; atDesk: {at}"
            lines.append(f'  "{panel.key}.{name}": {{ {types} }};')
    _, schema = models_json_schema(list(models), ref_template="{model}")
    out = [HEAD]
    for name, model in sorted(schema["$defs"].items()):
        out.append(_interface(_name(name), model))
    parts = [f"  {p.key}: {p.shown.__name__};" for p in PANELS.values() if p.shown is not None]
    out.append("export interface Parts {\n" + "\n".join(parts) + "\n}\n")
    out.append("export interface Commands {\n" + "\n".join(lines) + "\n}\n")
    return "\n".join(out)


def _name(name: str) -> str:
    return re.sub(r"\W", "_", name).removesuffix("_Input").removesuffix("_Output")


def _interface(name: str, model: dict[str, Any]) -> str:
    if model.get("type") != "object" or "properties" not in model:
        if name == "JsonValue":
            return "export type JsonValue = any;\n"
        if model.get("type") == "object":
            return f"export interface {name} {{}}\n"
        return f"export type {name} = {_type(model)};\n"
    needed = set(model.get("required", ()))
    rows = []
    for key, p in model["properties"].items():
        words = p.get("description")
        if words:
            rows.append(f"  /** {' '.join(words.split())} */")
        rows.append(f"  {_key(key)}{'' if key in needed else '?'}: {_type(p)};")
    return f"export interface {name} {{\n" + "\n".join(rows) + "\n}\n"


def _key(key: str) -> str:
    return key if key.isidentifier() else json.dumps(key)


def _type(p: dict[str, Any]) -> str:
    if "$ref" in p:
        return _name(p["$ref"])
    if "enum" in p:
        return " | ".join(json.dumps(v) for v in p["enum"])
    if "const" in p:
        return json.dumps(p["const"])
    if "anyOf" in p:
        return " | ".join(dict.fromkeys(_type(x) for x in p["anyOf"]))
    if p.get("type") == "array":
        if "prefixItems" in p:
            return "[" + ", ".join(_type(x) for x in p["prefixItems"]) + "]"
        inner = _type(p.get("items", {}))
        return f"({inner})[]" if "|" in inner else f"{inner}[]"
    if p.get("type") == "object":
        values = p.get("additionalProperties")
        return f"Record<string, {_type(values)}>" if isinstance(values, dict) else "object"
    return _PLAIN.get(str(p.get("type")), "any")


if __name__ == "__main__":
    OUT.write_text(wire_types(), encoding="utf-8")
