"""A person at the command line: check, JSON, book, schema, and what is left when stopped."""

import csv
import json
import os
import re
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from jsonschema import validate
from pypdf import PdfReader

from viewer.command import IN_ORDER, NOT_IN_ORDER, main

ROOT = Path(__file__).parent.parent.parent
CAT = ROOT / "demo_hulls" / "survey_catamaran.job.toml"
YACHT = ROOT / "demo_hulls" / "sailing_yacht.job.toml"  # takes the longest


def test_check_prints_a_line_for_everything_and_what_next(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["check", str(CAT)]) == NOT_IN_ORDER
    said = capsys.readouterr().out
    for words in (
        "power board",
        "measure again",
        "frame gap",
        "Survey winch",
        "licensed person",
        "Next",
    ):
        assert words in said
    assert max(len(line) for line in said.splitlines()) <= 140


def test_json_goes_to_a_program_unspoilt(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(CAT), "--json"]) == NOT_IN_ORDER
    data = json.loads(capsys.readouterr().out)
    assert data["hull"] == "Survey catamaran, 8 m"


@pytest.fixture(scope="module")
def nasty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small job whose labels hold markup and a spreadsheet formula, worked into a book."""
    folder = tmp_path_factory.mktemp("nasty")
    shutil.copy(
        ROOT / "demo_hulls" / "survey_catamaran.hull.toml", folder / "survey_catamaran.hull.toml"
    )
    text = (
        CAT.read_text(encoding="utf-8")
        .replace('label = "power board"', 'label = "<script>alert(1)</script> & board"')
        .replace('label = "Horn"', 'label = "=HYPERLINK(1)"')
    )
    (folder / "job.toml").write_text(text, encoding="utf-8")
    assert main(["book", str(folder / "job.toml"), "-o", str(folder / "out")]) == NOT_IN_ORDER
    return folder / "out"


def test_book_has_all_its_files_and_nothing_else(nasty: Path) -> None:
    assert sorted(p.name for p in nasty.iterdir()) == [
        ".coaming-folder",
        "boat.png",
        "book.html",
        "book.pdf",
        "circuits.csv",
        "costs.csv",
        "cut_list.csv",
        "drums.csv",
        "fixings.csv",
        "fuses.csv",
        "plate_holes.csv",
        "rules.csv",
        "supports.csv",
        "wires.csv",
    ]


def test_html_is_self_contained_and_escaped(nasty: Path) -> None:
    html = (nasty / "book.html").read_text(encoding="utf-8")
    assert "<script" not in html
    assert "&lt;script&gt;alert(1)&lt;/script&gt; &amp; board" in html
    assert not re.search(r'(?:src|href)="(?!data:|#)', html)
    assert html.count("data:image/png;base64,") > 15


def test_formula_in_a_label_is_text_in_the_csv(nasty: Path) -> None:
    with (nasty / "circuits.csv").open(encoding="utf-8-sig") as f:
        cells = [c for row in csv.reader(f) for c in row]
    assert "'=HYPERLINK(1)" in cells
    assert not any(c.startswith("=") for c in cells)


def test_pdf_holds_the_same_words(nasty: Path) -> None:
    pages = PdfReader(nasty / "book.pdf").pages
    text = "\n".join(p.extract_text() for p in pages)
    assert len(pages) >= 5
    for words in ("Survey catamaran", "measure again", "Cut list", "Caution", "licensed person"):
        assert words in text


def test_pictures_show_something(nasty: Path) -> None:
    from PIL import Image

    image = Image.open(nasty / "boat.png").convert("L")
    assert image.width > 500
    shades = image.histogram()
    dark = sum(shades[:200]) / sum(shades)
    assert 0.01 < dark < 0.7  # lines and gear on white paper, neither blank nor black


def test_cut_list_adds_up(nasty: Path) -> None:
    with (nasty / "cut_list.csv").open(encoding="utf-8-sig") as f:
        head, *rows = csv.reader(f)
    assert head == ["what", "kind", "size", "pieces", "each_m", "total_m"]
    cables = [r for r in rows if r[1] == "cable"]
    assert len(cables) >= 17
    for _, _, _, pieces, each, total in cables:
        assert float(total) == pytest.approx(int(pieces) * float(each), abs=0.0021)


def test_schemas_describe_the_demo_files(tmp_path: Path) -> None:
    import tomllib

    assert main(["schema", "-o", str(tmp_path)]) == IN_ORDER
    for kind in ("job", "hull"):
        schema = json.loads((tmp_path / f"{kind}.schema.json").read_text(encoding="utf-8"))
        for path in sorted((ROOT / "demo_hulls").glob(f"*.{kind}.toml")):
            validate(tomllib.loads(path.read_text(encoding="utf-8")), schema)


def _works(run: "subprocess.Popen[str]", cpu_s: float) -> None:
    """Wait until it has worked so long, however busy the machine is: then it is past its start."""
    stat, tick = Path(f"/proc/{run.pid}/stat"), os.sysconf("SC_CLK_TCK")
    while run.poll() is None:
        fields = stat.read_text().rpartition(")")[2].split()
        if (int(fields[11]) + int(fields[12])) / tick >= cpu_s:
            return
        time.sleep(0.05)


def test_stopping_leaves_nothing_behind(tmp_path: Path) -> None:
    out = tmp_path / "out"
    run = subprocess.Popen(
        [sys.executable, "-m", "viewer.command", "book", str(YACHT), "--fresh", "-o", str(out)],
        cwd=ROOT,
        stderr=subprocess.PIPE,
        text=True,
    )
    _works(run, 1.5)
    run.send_signal(signal.SIGINT)
    _, said = run.communicate(timeout=60)
    # CPython ends by the signal itself where it came while an extension ran text: 130 in a shell
    assert run.returncode in (130, -signal.SIGINT)
    assert "Stopped" in said
    assert "Traceback" not in said
    assert not out.exists() or not list(out.iterdir())


def test_what_a_solver_prints_past_python_is_not_in_the_answer(tmp_path: Path) -> None:
    """A line printed by C code goes nowhere; help, the shortest answer of all, arrives whole."""
    script = (
        "import ctypes, sys\n"
        "from viewer.command.running import own_output\n"
        "own_output()\n"
        "libc = ctypes.CDLL(None)\n"
        "libc.puts(b'noise'); libc.fflush(None)\n"
        "sys.stdout.write('answer\\n')\n"
    )
    run = subprocess.run([sys.executable, "-c", script], cwd=ROOT, check=False,
                         capture_output=True, text=True)  # fmt: skip
    assert (run.returncode, run.stdout, run.stderr) == (0, "answer\n", "")
    for closed in ("", " >&-", " | head -c 1"):
        command = f"{sys.executable} -m viewer.command --help{closed}"
        run = subprocess.run(command, shell=True, cwd=ROOT, capture_output=True, text=True,
                             check=False)  # fmt: skip
        assert "Traceback" not in run.stderr
        assert run.stdout[:6] == ("usage:" if not closed else "" if "&" in closed else "u")
