"""What comes in from outside and what goes out: hostile files, streams, folders, letters."""

import csv
import io
import os
import signal
import subprocess
import sys
import threading
import time
from contextlib import suppress
from pathlib import Path

import pytest
from pypdf import PdfReader

from layout.errors import CoamingError
from tests.whole_job.test_wiring import HOLE, HULL, JOB
from viewer.command import BAD_INPUT, IN_ORDER, NOT_IN_ORDER, main
from viewer.files import csv_bytes, write_folder

ROOT = Path(__file__).parent.parent.parent
DONE = (IN_ORDER, NOT_IN_ORDER)


@pytest.fixture
def small(tmp_path: Path) -> Path:
    (tmp_path / "h.hull.toml").write_text(HULL + HOLE, encoding="utf-8")
    path = tmp_path / "j.job.toml"
    path.write_text(JOB, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    "line",
    [
        'tail_load = "400 mm ±1/0"',
        'tail_load = "1/0 mm"',
        "tail_load = " + "9" * 5000,
        'tail_load = "' + "9" * 5000 + ' mm"',
        'tail_load = "' + "(" * 3000 + "1" + ")" * 3000 + '"',
        "tail_load = " + "[" * 3000 + "]" * 3000,
        'tail_load = "1e999 mm"',
        "tail_load = 1979-05-27",
    ],
)
def test_a_value_nobody_can_use_is_told(
    small: Path, line: str, capsys: pytest.CaptureFixture[str]
) -> None:
    small.write_text(JOB + line + "\n", encoding="utf-8")
    began = time.monotonic()
    assert main(["check", str(small)]) == BAD_INPUT
    said = capsys.readouterr().err
    assert "j.job.toml" in said
    assert len(said) < 2000
    assert time.monotonic() - began < 10


def test_devices_and_pipes_are_no_job_files(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    fifo = tmp_path / "pipe.toml"
    os.mkfifo(fifo)
    for path in (Path("/dev/zero"), Path("/dev/null"), fifo):
        assert main(["check", str(path)]) == BAD_INPUT
        assert path.name in capsys.readouterr().err


def test_a_byte_order_mark_is_no_fault(small: Path) -> None:
    small.write_bytes(b"\xef\xbb\xbf" + JOB.encode())
    assert main(["check", str(small)]) in DONE


@pytest.mark.parametrize("value", ["nan", "inf", "-1", "0", "soon"])
def test_a_clock_of_no_length_is_refused(small: Path, value: str) -> None:
    with pytest.raises(SystemExit) as e:
        main(["check", str(small), "--seconds", value])
    assert e.value.code == 2


def test_a_terminal_gets_no_orders_from_a_label(
    small: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    small.write_text(
        JOB.replace('label = "Light"', 'label = "Li\\u001b[2Jg\\u202eht\\u0007"'), encoding="utf-8"
    )
    assert main(["check", str(small)]) in (*DONE, BAD_INPUT)
    captured = capsys.readouterr()
    for letter in ("\x1b[2J", "\u202e", "\x07"):
        assert letter not in captured.out + captured.err


@pytest.mark.parametrize("closed", [False, True])
def test_plain_or_closed_output_is_no_fault(small: Path, closed: bool) -> None:
    environment = {**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"}
    command = f"{sys.executable} -m viewer.command check {small}" + (" >&-" if closed else "")
    done = subprocess.run(
        ["bash", "-c", command],
        cwd=ROOT,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode in DONE
    assert "Traceback" not in done.stderr


def test_cells_hold_numbers_and_no_formulas() -> None:
    rows = [["a_mm", "what"], [12.5, "=1+1"], [None, " \t@SUM(A1)"], [-3, "-2+3"]]
    data = csv_bytes(rows).decode("utf-8-sig")
    head, one, two, three = csv.reader(io.StringIO(data))
    assert head == ["a_mm", "what"]
    assert one == ["12.5", "'=1+1"]
    assert two[0] == ""
    assert two[1].startswith("'")
    assert three == ["-3", "'-2+3"]


def test_letters_of_other_languages_are_printed(small: Path, tmp_path: Path) -> None:
    small.write_text(JOB.replace('"Light"', '"Światło Лампа Ω 灯 ランプ"'), encoding="utf-8")
    assert main(["book", str(small), "-o", str(tmp_path / "book")]) in DONE
    text = "".join(p.extract_text() for p in PdfReader(tmp_path / "book" / "book.pdf").pages)
    assert "Światło Лампа Ω" in text and "灯" in text and "ランプ" in text


WRITER = """
import sys
from pathlib import Path
from viewer.files import write_folder
n = int(sys.argv[2])
while True:
    n += 1
    text = (str(n) + "\\n").encode() * 2000
    write_folder(Path(sys.argv[1]), {f"f{k}.txt": text for k in range(8)})
"""


def test_a_killed_writer_leaves_a_whole_book(tmp_path: Path) -> None:
    book = tmp_path / "book"
    write_folder(book, {f"f{k}.txt": b"0\n" for k in range(8)})
    for n in range(12):
        run = subprocess.Popen([sys.executable, "-c", WRITER, str(book), str(n * 10**6)], cwd=ROOT)
        time.sleep(0.35 + 0.013 * n)
        run.send_signal(signal.SIGKILL)
        run.wait()
        found = {(book / f"f{k}.txt").read_text() for k in range(8)}
        assert len(found) == 1  # all of one writing
    write_folder(book, {"only.txt": b"new"})
    assert sorted(p.name for p in book.iterdir()) == [".coaming-folder", "only.txt"]
    assert sorted(p.name for p in tmp_path.iterdir() if p.is_dir()) == ["book"]


def test_two_writers_never_mix(tmp_path: Path) -> None:
    book = tmp_path / "book"

    def write(mark: str) -> None:
        for n in range(15):
            text = f"{mark}{n}".encode() * 500
            with suppress(CoamingError):  # the other one is at it: told, and nothing is mixed
                write_folder(book, {f"f{k}.txt": text for k in range(6)})

    writers = [threading.Thread(target=write, args=(m,)) for m in "ab"]
    for w in writers:
        w.start()
    for w in writers:
        w.join()
    assert len({(book / f"f{k}.txt").read_bytes() for k in range(6)}) == 1


def test_a_full_disk_names_the_file(small: Path, capsys: pytest.CaptureFixture[str]) -> None:
    if not Path("/dev/full").exists():
        pytest.skip("this system has no full device")
    assert main(["book", str(small), "-o", "/dev/full/book"]) == BAD_INPUT
    assert "/dev/full" in capsys.readouterr().err


def test_what_stood_in_a_folder_and_is_not_ours_stays(tmp_path: Path) -> None:
    book = tmp_path / "book"
    write_folder(book, {"circuits.csv": b"1", "old.csv": b"1"})
    (book / "notes.txt").write_text("mine", encoding="utf-8")
    write_folder(book, {"circuits.csv": b"2"})
    assert (book / "notes.txt").read_text(encoding="utf-8") == "mine"
    assert not (book / "old.csv").exists()  # a list that is no longer made does not linger
