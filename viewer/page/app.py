"""The routes of the page: its own files, commands, events, papers and photos."""

import asyncio
import json
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any, Final

from pydantic import ValidationError
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response, StreamingResponse
from starlette.routing import Route

from layout.errors import CoamingError, JobError, one_line
from viewer.page.desk import Desk
from viewer.page.faults import fault_words
from viewer.page.guard import MOST_PHOTO_BYTES, PAPER_POLICY, Guard, Guarded, body_of
from viewer.page.house import House
from viewer.page.panels import PANELS
from viewer.page.panels.built.photos import keep_photo, photo_path
from viewer.page.panels.papers.sets import paper_path
from viewer.page.wire import run_command

HERE: Final = Path(__file__).parent
TYPES: Final = {
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".svg": "image/svg+xml",
    ".json": "application/json",
}
WATCH_SECONDS: Final = 1.0  # between two looks for files another program has changed
FORGET: Final = "no-store"
GONE: Final = "gone"


def refused(words: list[str], status: int = 422) -> JSONResponse:
    """Plain words about what cannot be done."""
    return JSONResponse({"words": words}, status)


async def do(request: Request) -> Response:  # noqa: PLR0911, each refusal has its own words
    """A command of a panel."""
    house: House = request.app.state.house
    panel = PANELS.get(request.path_params["panel"])
    command = panel.commands.get(request.path_params["command"]) if panel else None
    if command is None:
        return refused(["The page asked for something this coaming does not do: load it anew."])
    data = await body_of(request)
    if data is None:
        return refused(["That is larger than anything the page sends."], 413)
    try:
        asked = json.loads(data or b"{}")
        if not isinstance(asked, dict):
            raise ValueError("not a table")
        job = str(asked.get("job", ""))
        where: Any = house.desk(job) if command.at_desk else house.folder
        told = await run_in_threadpool(run_command, command, where, asked.get("ask", {}))
        return JSONResponse(told.model_dump(mode="json", by_alias=True))
    except JobError as e:
        return refused([f.sentence() for f in e.findings])
    except ValidationError as e:
        fields = ", ".join(one_line(".".join(map(str, x["loc"]))) for x in e.errors()[:4])
        return refused([f"The page asked in a way that cannot be read: {fields}"])
    except CoamingError as e:
        return refused([str(e)])
    except (ValueError, RecursionError):
        return refused(["The page asked in a way that cannot be read."])
    except OSError as e:
        return refused([f"{one_line(str(e.filename or 'A file'))}: {e.strerror}"])
    except Exception as e:  # told and kept; the page goes on
        return refused([fault_words(e, house.folder.root)], 500)


async def events(request: Request) -> Response:
    """What happens to a job, as it happens."""
    house: House = request.app.state.house
    try:
        desk = house.desk(request.query_params.get("job", ""))
    except CoamingError as e:
        return refused([str(e)], 404)
    stream = house.events.of(desk.job_name)
    return StreamingResponse(stream, media_type="text/event-stream")


async def answer(request: Request) -> Response:
    """The last answer of a job and what is being done."""
    house: House = request.app.state.house
    try:
        desk = house.desk(request.query_params.get("job", ""))
    except CoamingError as e:
        return refused([str(e)], 404)
    told = await run_in_threadpool(desk.live.told)
    return JSONResponse({**told, "work": desk.live.work.model_dump(mode="json")})


async def paper(request: Request) -> Response:
    """A paper that was made: it may show itself, and nothing else."""
    house: House = request.app.state.house
    try:
        desk = house.desk(request.path_params["job"])
        path = paper_path(desk, request.path_params["rest"])
    except (CoamingError, OSError, ValueError):
        return refused(["That paper is not there: make it again"], 404)
    own = PAPER_POLICY if path.suffix == ".html" else "default-src 'none'; sandbox"
    if path.suffix == ".pdf":
        own = "default-src 'none'; style-src 'unsafe-inline'; object-src 'self'"
    return FileResponse(path, headers={"Content-Security-Policy": own, "Cache-Control": FORGET})


async def photo(request: Request) -> Response:
    """A photo taken beside the boat: kept, or shown."""
    house: House = request.app.state.house
    job = request.path_params["job"]
    try:
        desk = house.desk(job)
        if request.method == "GET":
            path = photo_path(desk, request.path_params["name"])
            return FileResponse(path, headers={"Content-Security-Policy": "default-src 'none'"})
        data = await body_of(request, MOST_PHOTO_BYTES)
        if data is None:
            return refused(["That photo is larger than 20 MB: take it smaller."], 413)
        name = await run_in_threadpool(keep_photo, desk, data)
    except (CoamingError, OSError, ValueError) as e:
        words = str(e) if isinstance(e, CoamingError) else "That photo is not there"
        return refused([words], 404 if request.method == "GET" else 422)
    return JSONResponse({"name": name})


async def own_file(request: Request) -> Response:
    """A file of the page itself."""
    parts = request.path_params.get("rest", "index.html").split("/")
    if any(p in ("", ".", "..") or p.startswith(".") for p in parts):
        return refused(["There is no such page."], 404)
    root = HERE / "panels" if parts[0] == "panels" else HERE / "web"
    try:
        path = root.joinpath(*(parts[1:] if parts[0] == "panels" else parts)).resolve()
        there = path.is_relative_to(root) and path.suffix in TYPES and path.is_file()
    except (OSError, ValueError):
        there = False
    if not there:
        return refused(["There is no such page."], 404)
    return FileResponse(path, media_type=TYPES[path.suffix])


def _revision(desk: Desk) -> str:
    return desk.revision


async def _watch(house: House) -> None:
    """Tell the pages when another program has changed a file they show."""
    known: dict[str, str] = {}
    while True:
        await asyncio.sleep(WATCH_SECONDS)
        for job in house.events.watched:
            desk = house.opened(job)
            if desk is None:
                continue
            try:
                revision = await run_in_threadpool(_revision, desk)
            except (CoamingError, OSError) as e:
                if known.get(job) != GONE:  # told once
                    house.events.tell(job, "gone", {"words": str(e)})
                known[job] = GONE
                continue
            if known.get(job, revision) != revision:
                house.events.tell(job, "changed", {"revision": revision})
            known[job] = revision


def make_app(house: House, guard: Guard) -> Guarded:
    """The application."""

    @asynccontextmanager
    async def life(app: Starlette) -> AsyncIterator[None]:
        house.events.loop = asyncio.get_running_loop()
        watch = asyncio.create_task(_watch(house))
        yield
        watch.cancel()
        await run_in_threadpool(house.close)

    app = Starlette(
        routes=[
            Route("/do/{panel}/{command}", do, methods=["POST"]),
            Route("/events", events),
            Route("/answer", answer),
            Route("/paper/{job}/{rest:path}", paper),
            Route("/photo/{job}", photo, methods=["POST"]),
            Route("/photo/{job}/{name}", photo, methods=["GET"]),
            Route("/", own_file),
            Route("/{rest:path}", own_file),
        ],
        lifespan=life,
    )
    app.state.house = house
    return Guarded(app, guard)
