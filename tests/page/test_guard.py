"""Who may talk to the page, and what a hostile file or request can do: nothing.

Checked against: the headers a browser of another page would send, the policy of Content Security
Policy Level 3 (W3C), and the files of the folder before and after.
"""

import contextlib
import io
import os
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PIL import Image

from tests.page.served import Served, copy_demo, served
from viewer.page.app import HERE
from viewer.page.guard import MOST_BYTES, MOST_PHOTO_BYTES

JOB = "harbour_launch.job.toml"
PageOn = Callable[[Path], Served]


@pytest.fixture
def page_on() -> Iterator[PageOn]:
    """Serves folders until the test is done."""
    with contextlib.ExitStack() as stack:
        yield lambda folder: stack.enter_context(served(folder))


def test_without_this_runs_token_nothing_is_told(tmp_path: Path, page_on: PageOn) -> None:
    client = page_on(tmp_path).stranger
    for path in ("/", "/main.js", "/answer?job=x", "/events?job=x", "/paper/x/book/book.html"):
        answer = client.get(path)
        assert answer.status_code == 403 and "address it printed" in answer.text
    assert client.post("/do/start/look", json={}).status_code == 403
    assert client.get("/?token=wrong").status_code == 403


def test_the_printed_address_lets_its_own_browser_in(tmp_path: Path, page_on: PageOn) -> None:
    page = page_on(tmp_path)
    client, guard = page.stranger, page.guard
    answer = client.get(f"/?token={guard.token}")
    assert answer.status_code == 303 and answer.headers["location"] == "/"
    cookie = answer.headers["set-cookie"]
    assert "HttpOnly" in cookie and "SameSite=strict" in cookie
    assert client.get("/").status_code == 200
    assert guard.address == f"{page.base}/?token={guard.token}"
    assert guard.token != page_on(tmp_path).guard.token  # one for each run


@pytest.mark.parametrize(
    "host", ["evil.example", "evil.example:80", "127.0.0.1:1", "0.0.0.0:80", ""]
)
def test_a_name_that_is_not_this_machine_is_refused(
    tmp_path: Path, page_on: PageOn, host: str
) -> None:
    """DNS rebinding: the browser believes another name is here."""
    page = page_on(tmp_path)
    client = page.client
    assert client.get("/", headers={"host": host}).status_code == 421


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "http://127.0.0.1:1"},
        {"origin": "null"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
def test_another_page_cannot_ask(tmp_path: Path, page_on: PageOn, headers: dict[str, str]) -> None:
    copy_demo(tmp_path, "harbour_launch")
    page = page_on(tmp_path)
    client = page.client
    asked = client.post("/do/start/look", json={}, headers=headers)
    assert asked.status_code == 403
    own = {"origin": page.base, "sec-fetch-site": "same-origin"}
    assert client.post("/do/start/look", json={}, headers=own).status_code == 200


def test_every_answer_carries_the_policy(tmp_path: Path, page_on: PageOn) -> None:
    page = page_on(tmp_path)
    client = page.client
    for path in ("/", "/main.js", "/style/base.css", "/nothing", "/answer?job=no"):
        policy = client.get(path).headers["content-security-policy"]
        assert "default-src 'none'" in policy and "frame-ancestors 'none'" in policy
        assert "unsafe" not in policy and "http" not in policy and "*" not in policy
        assert client.get(path).headers["x-content-type-options"] == "nosniff"


def test_the_page_has_nothing_inline_and_asks_for_nothing_outside() -> None:
    html = (HERE / "web" / "index.html").read_text(encoding="utf-8")
    assert "<script>" not in html and "onclick" not in html and "style=" not in html
    for path in [*HERE.rglob("*.js"), *HERE.rglob("*.css"), *HERE.rglob("*.html")]:
        if "vendor" in path.parts:
            continue
        text = path.read_text(encoding="utf-8").replace("http://www.w3.org/2000/svg", "")
        assert "http:" not in text and "https:" not in text, path
        assert "innerHTML" not in text and "eval(" not in text, path


@pytest.mark.parametrize(
    "path",
    [
        "/../app.py",
        "/%2e%2e/app.py",
        "/panels/../app.py",
        "/panels/start/commands.py",
        "/panels/%2e%2e/%2e%2e/files.py",
        "/web/../guard.py",
        "/.hidden.js",
        "/vendor/refresh",
        "/wire.d.ts",
        "//etc/passwd",
    ],
)
def test_only_the_pages_own_files_are_served(tmp_path: Path, page_on: PageOn, path: str) -> None:
    page = page_on(tmp_path)
    client = page.client
    assert client.get(path).status_code == 404


@pytest.mark.parametrize(
    "name",
    [
        "../secret.job.toml",
        "/etc/passwd",
        "a/b.toml",
        "..",
        ".coaming",
        "x\x00.toml",
        "link.job.toml",
    ],
)
def test_no_name_leads_out_of_the_folder(tmp_path: Path, page_on: PageOn, name: str) -> None:
    folder = tmp_path / "jobs"
    folder.mkdir()
    secret = tmp_path / "secret.job.toml"
    secret.write_text('[job]\nname = "secret"\nhull = "x.hull.toml"\n')
    os.symlink(secret, folder / "link.job.toml")
    page = page_on(folder)
    client = page.client
    answer = client.post("/do/desk/look", json={"job": name, "ask": {}})
    assert answer.status_code == 422
    assert "secret" not in answer.text.replace("secret.job.toml", "")
    for command in ("start.copy_boat", "start.new_job", "start.variant"):
        asked = {"job": "", "ask": {"file": name, "name": "x"}}
        assert client.post(f"/do/{command.replace('.', '/')}", json=asked).status_code == 422


def test_a_job_that_names_a_hull_elsewhere_reads_nothing_there(
    tmp_path: Path, page_on: PageOn
) -> None:
    folder = tmp_path / "jobs"
    folder.mkdir()
    (tmp_path / "x.hull.toml").write_text("[hull]\n")
    (folder / "a.job.toml").write_text('[job]\nname = "a"\nhull = "../x.hull.toml"\n')
    page = page_on(folder)
    told = page.do("desk.look", job="a.job.toml")
    assert told["boat"] is None and told["hull_tables"] == {}
    assert "beside the job file" in told["problems"][0]["words"]


def test_what_is_too_large_or_no_ask_is_refused_in_words(tmp_path: Path, page_on: PageOn) -> None:
    copy_demo(tmp_path, "harbour_launch")
    page = page_on(tmp_path)
    client = page.client
    huge = client.post("/do/desk/look", content=b" " * (MOST_BYTES + 1))
    assert huge.status_code == 413 and huge.json()["words"]
    for body in (b"{", b"[]", b"null", b'{"job": 1, "ask": 2}', b"[" * 9999, b"\xff\xfe"):
        answer = client.post("/do/desk/look", content=body)
        assert answer.status_code in (413, 422), body
        assert answer.json()["words"]
    odd = client.post("/do/gear/move", json={"job": JOB, "ask": {"key": "x", "by": [1]}})
    assert odd.status_code == 422 and "by_mm" in odd.json()["words"][0]
    assert client.post("/do/nothing/here", json={}).status_code == 422


def test_photos_are_pictures_of_bounded_size_without_what_the_camera_wrote(
    tmp_path: Path, page_on: PageOn
) -> None:
    copy_demo(tmp_path, "harbour_launch")
    page = page_on(tmp_path)
    client = page.client
    out = io.BytesIO()
    exif = Image.Exif()
    exif[0x010F] = "camera of a person"
    Image.new("RGB", (3000, 1000), "teal").save(out, "JPEG", exif=exif)
    name = client.post(f"/photo/{JOB}", content=out.getvalue()).json()["name"]
    kept = tmp_path / "photos" / "harbour_launch" / name
    with Image.open(kept) as picture:
        assert picture.size == (2000, 667)
        assert not picture.getexif()
    assert client.get(f"/photo/{JOB}/{name}").headers["content-type"] == "image/jpeg"
    for data in (b"", b"<script>", b"%PDF-1.4", b"GIF89a"):
        answer = client.post(f"/photo/{JOB}", content=data)
        assert answer.status_code == 422 and "not a photo" in answer.json()["words"][0]
    large = client.post(f"/photo/{JOB}", content=b"x" * (MOST_PHOTO_BYTES + 1))
    assert large.status_code == 413
    for bad in ("../../harbour_launch.job.toml", "nothing.jpg"):
        assert client.get(f"/photo/{JOB}/{bad}").status_code == 404


def test_papers_are_only_those_that_were_made_and_run_nothing(
    tmp_path: Path, page_on: PageOn
) -> None:
    copy_demo(tmp_path, "harbour_launch")
    page = page_on(tmp_path)
    client = page.client
    folder = tmp_path / "papers" / "harbour_launch" / "book"
    folder.mkdir(parents=True)
    (folder / "book.html").write_text("<script>alert(1)</script>")
    (folder / "notes.txt").write_text("mine")
    policy = client.get(f"/paper/{JOB}/book/book.html").headers["content-security-policy"]
    assert "sandbox" in policy and "script-src" not in policy and "default-src 'none'" in policy
    for bad in (
        "book/notes.txt",
        "book/../book/book.html/..",
        "nothing/x.html",
        "book/../../../x.html",
    ):
        assert client.get(f"/paper/{JOB}/{bad}").status_code == 404


def test_a_hostile_job_file_is_shown_as_words(tmp_path: Path, page_on: PageOn) -> None:
    """Markup, formulas, control characters in names: they come back as the text they are."""
    copy_demo(tmp_path, "harbour_launch")
    text = (tmp_path / JOB).read_text(encoding="utf-8")
    nasty = "<img src=x onerror=alert(1)>"
    text = text.replace('label = "house battery"', f'label = "{nasty}"')
    (tmp_path / JOB).write_text(text, encoding="utf-8")
    page = page_on(tmp_path)
    client = page.client
    told = page.do("desk.look", job=JOB)
    assert told["labels"]["piece:house_battery"] == nasty
    answer = client.post("/do/desk/look", json={"job": JOB, "ask": {}})
    assert answer.headers["content-type"] == "application/json"


def test_the_server_listens_on_this_machine_only() -> None:
    source = (HERE / "server.py").read_text(encoding="utf-8")
    assert 's.bind(("127.0.0.1", port))' in source
    assert "0.0.0.0" not in source


def test_a_fault_of_our_own_is_told_and_written_down(
    tmp_path: Path, page_on: PageOn, monkeypatch: pytest.MonkeyPatch
) -> None:
    from viewer.page import panels

    copy_demo(tmp_path, "harbour_launch")
    page = page_on(tmp_path)
    client = page.client

    def broken(folder: object, ask: object) -> None:
        raise KeyError("secret inside")

    start = panels.PANELS["start"].commands
    monkeypatch.setitem(
        start,
        "look",
        start["look"].__class__("look", start["look"].ask, start["look"].told, broken, False),
    )
    answer = client.post("/do/start/look", json={})
    assert answer.status_code == 500
    assert "went wrong" in answer.json()["words"][0] and "Traceback" not in answer.text
    assert "secret inside" in (tmp_path / ".coaming" / "fault.txt").read_text()


def test_new_files_never_write_over_others(tmp_path: Path, page_on: PageOn) -> None:
    copy_demo(tmp_path, "harbour_launch")
    page = page_on(tmp_path)
    before = {p.name: p.read_bytes() for p in tmp_path.glob("*.toml")}
    for _ in range(2):
        page.do("start.new_job", {"file": "harbour_launch.hull.toml", "name": "Harbour launch"})
        page.do("start.copy_boat", {"file": "harbour_launch.hull.toml", "name": "Harbour launch"})
        page.do("start.variant", {"file": JOB, "name": "Harbour launch"})
    for name, data in before.items():
        assert (tmp_path / name).read_bytes() == data
    copied = [p for p in tmp_path.glob("*.hull.toml") if p.name not in before]
    assert len(copied) == 2
    hull = tomllib.loads(copied[0].read_text(encoding="utf-8"))
    assert hull["hull"]["copied_from"] == "Harbour launch, 6.6 m"
    assert hull["sizes"]["hatch_length"] == "430 mm ±25 sister boat"


def test_marks_written_by_hand_another_way_are_left_alone(tmp_path: Path, page_on: PageOn) -> None:
    copy_demo(tmp_path, "harbour_launch")
    page = page_on(tmp_path)
    path = tmp_path / "harbour_launch.as_built.toml"
    for text in ('mark = [{ kind = "serial", value = "1" }]\n', "mark = 5\n", "mark = \n"):
        path.write_text(text)
        page.refused("built.add", {"kind": "serial", "value": "2"}, JOB)
        assert path.read_text() == text
    path.unlink()
    page.do("built.add", {"kind": "serial", "value": "2"}, JOB)
    page.refused("built.remove", {"number": 1, "value": "another"}, JOB)
    assert page.do("built.remove", {"number": 1, "value": "2"}, JOB)["marks"] == []
