"""The page, and the schemas of the files."""

import argparse
import json
import sys
from typing import Any

from viewer.command.running import IN_ORDER, Ended


def page(args: argparse.Namespace, ended: Ended) -> int:
    """Serve the page to this machine's browser."""
    from viewer.page.server import serve

    del ended

    def say(address: str) -> None:
        sys.stdout.write(f"The page: {address}\n")
        sys.stdout.flush()

    return serve(args.folder, not args.no_browser, say)


def schema(args: argparse.Namespace, ended: Ended) -> int:
    """Write the JSON Schemas of both files and of the result."""
    from layout.job import HullFile, JobFile
    from viewer.files import write_text
    from viewer.work.rows import Result

    del ended
    args.out.mkdir(parents=True, exist_ok=True)
    draft = {"$schema": "https://json-schema.org/draft/2020-12/schema"}
    for name, model in (
        ("hull.schema.json", HullFile),
        ("job.schema.json", JobFile),
        ("result.schema.json", Result),
    ):
        path = args.out / name
        mode: Any = "serialization" if model is Result else "validation"
        schema = {**draft, **model.model_json_schema(by_alias=True, mode=mode)}
        write_text(path, json.dumps(schema, indent=1) + "\n")
        sys.stdout.write(f"{path}\n")
    return IN_ORDER
