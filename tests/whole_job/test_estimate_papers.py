"""An estimator, a fitter and an owner with their papers: quoted, changed, built, handed over.

Sums of the workbook are those of LibreOffice, a general-purpose office program.
"""

import csv
import io
import re
import shutil
import subprocess
from pathlib import Path

import pypdf
import pytest
from openpyxl import load_workbook

from tests.worked import DEMOS, ROOT, demo_worked
from viewer.command import main
from viewer.command.running import BAD_INPUT, IN_ORDER, NOT_IN_ORDER
from viewer.sheets.drawing.model import Drawing, Words
from viewer.sheets.handover.schemes import Schemes
from viewer.sheets.quote.workbook import workbook
from viewer.words.estimate import EstimateWords
from viewer.words.names import Names
from viewer.work.saved import load_result
from viewer.work.session import Session
from viewer.work.states import states_of

DONE = (IN_ORDER, NOT_IN_ORDER)
SHOP = """
[shop]
name = "=SUM(1) Quay Electrics"
currency = "EUR"
hour = 70
margin_percent = 20
tax_percent = 25
[prices]
battery_31 = 210.5
isolator = 38
"lug 25 mm² M8" = 4.25
[usual]
clip = [1, 3, 5]
[suppliers.battery]
label = "Battery house"
kinds = ["battery"]
weeks = 3
"""


@pytest.fixture
def launch(tmp_path: Path) -> Path:
    for file in (ROOT / "demo_hulls").glob("harbour_launch.*.toml"):
        shutil.copy(file, tmp_path)
    path = tmp_path / "harbour_launch.job.toml"
    text = path.read_text(encoding="utf-8")
    text = text.replace("[job]\n", '[job]\nshop = "shop.toml"\nshelf = "shelf.toml"\n', 1)
    path.write_text(text + '\n[estimate]\nage_years = 30\nstrip_out = "usual"\n')
    (tmp_path / "shop.toml").write_text(SHOP, encoding="utf-8")
    (tmp_path / "shelf.toml").write_text(
        '[[remnants]]\ncable = "16 mm²"\nlength_mm = 6500\ncount = 2\n', encoding="utf-8"
    )
    return path


def text_of(pdf: Path) -> str:
    return "\n".join(p.extract_text() for p in pypdf.PdfReader(pdf).pages)


def figures(text: str) -> set[str]:
    """Every number with two decimals, its thousands not apart."""
    joined = re.sub(r"(?<=\d)[\u00a0 ](?=\d{3}\b)", "", text)
    return set(re.findall(r"(?<![\d.])\d+\.\d\d(?!\d)", joined))


def strangers(text: str, known: set[str]) -> set[str]:
    """Figures of a text that are not known; two cells may come out with nothing between them."""
    return {f for f in figures(text) if not any(f[k:] in known for k in range(min(len(f) - 3, 4)))}


def known_figures(value: object) -> set[str]:
    """Every number of plain data, as two decimals tell it."""
    if isinstance(value, dict):
        return set().union(*(known_figures(v) for v in value.values()), set())
    if isinstance(value, list | tuple):
        return set().union(*(known_figures(v) for v in value), set())
    if isinstance(value, int | float) and not isinstance(value, bool):
        return {f"{abs(value):.2f}", f"{abs(value) / 1000:.2f}"}
    return set()


@pytest.mark.parametrize("name", DEMOS)
def test_quoted_changed_built_and_handed_over(name: str, tmp_path: Path) -> None:
    for file in (ROOT / "demo_hulls").glob(f"{name}.*.toml"):
        shutil.copy(file, tmp_path)
    job = tmp_path / f"{name}.job.toml"
    assert main(["quote", str(job), "-o", str(tmp_path / "q"), "--keep", "--on", "1 May"]) in DONE
    text = job.read_text(encoding="utf-8")
    found = re.search(r"amps = ([2-6])\n", text)
    assert found is not None
    number = re.findall(r"\[circuits\.(\w+)\]", text[: found.start()])[-1]
    more = f"amps = {float(found[1]) * 1.5}\n"
    job.write_text(text[: found.start()] + more + text[found.end() :], encoding="utf-8")
    vary = ["vary", str(job), "--on", "2 May"]
    assert main([*vary, "-o", str(tmp_path / "c"), "--why", "a larger one"]) in DONE
    assert main([*vary, "-o", str(tmp_path / "d"), "--why", "as it is", "--built"]) in DONE
    assert main(["handover", str(job), "-o", str(tmp_path / "h")]) in DONE
    states = states_of(job)
    assert [s.head.state for s in states] == ["quoted", "changed", "as built"]
    told = text_of(tmp_path / "c" / "change_1.pdf")
    assert f"circuit {number}" in told and "a larger one" in told and "1 May" in told
    result = load_result(tmp_path / "h" / "result.json")
    assert result is not None and result.estimate == states[-1].result.estimate
    html = (tmp_path / "h" / "handover.html").read_text(encoding="utf-8")
    pdf = text_of(tmp_path / "h" / "handover.pdf")
    data = result.model_dump(mode="json")
    for c in result.circuits:
        if not c.mains:
            assert c.label in html and c.label.split(",")[0].split(" ")[0] in pdf
        if c.drop_volt is not None:
            assert f"{c.drop_volt:.2f} V" in pdf and f"{c.drop_volt:.2f} V" in html
    assert strangers(pdf, known_figures(data)) == set()
    quote = states[0].result.model_dump(mode="json")
    assert strangers(text_of(tmp_path / "q" / "quote.pdf"), known_figures(quote)) == set()


def test_every_figure_agrees_in_pdf_workbook_and_lists(launch: Path, tmp_path: Path) -> None:
    out = tmp_path / "q"
    assert main(["quote", str(launch), "-o", str(out)]) in DONE
    e = Session(launch).answer().estimate
    assert (e.hour, e.margin_percent, e.tax_percent, e.contingency_percent) == (70, 20, 25, 35)
    assert {g.each for g in e.goods if g.what == "battery_31"} == {210.5}
    lugs = {(g.each, g.basis) for g in e.goods if (g.kind, g.what) == ("lug", "25 mm² M8")}
    assert lugs == {(4.25, "shop")}  # before the usual price
    assert {g.supplier for g in e.goods if g.what == "battery_31"} == {"Battery house"}
    assert next(u for u in e.usual if u.task == "clip").likely == 3
    text = text_of(out / "quote.pdf")
    for value in (e.goods_total, e.margin, e.labour, e.contingency, e.net, e.tax, e.gross):
        assert f"{value:.2f}" in figures(text)
    rows = list(csv.DictReader(io.StringIO((out / "goods.csv").read_text("utf-8-sig"))))
    assert len(rows) == len(e.goods)
    total = sum(float(r["together_EUR"]) for r in rows if r["together_EUR"])
    assert total == pytest.approx(e.goods_total, abs=0.005)
    hours = csv.DictReader(io.StringIO((out / "work.csv").read_text("utf-8-sig")))
    assert sum(float(r["mean_h"]) for r in hours) == pytest.approx(e.hours.mean, abs=1e-3)
    assert e.net == pytest.approx(
        e.goods_total * 1.23 + e.labour * 1.35, abs=0.02
    )  # margin and sundries on goods, a third put by on an old boat: by hand
    assert e.gross == pytest.approx(e.net * 1.25, abs=0.02)
    assert sum(s.total for s in e.sections) == pytest.approx(e.net, abs=0.05)


def _office(xlsx: Path, out: Path) -> dict[str, list[list[str]]]:
    """Every sheet as LibreOffice works it out."""
    kind = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,false,false,false,-1"
    subprocess.run(
        ["soffice", f"-env:UserInstallation=file://{out}/profile", "--headless", "--convert-to",
         kind, "--outdir", str(out), str(xlsx)],
        check=True, capture_output=True, timeout=180,
    )  # fmt: skip
    found = {}
    for path in out.glob("*.csv"):
        with path.open(encoding="utf-8") as f:
            found[path.stem.partition("-")[2]] = list(csv.reader(f))
    return found


def _sum(rows: list[list[str]], what: str) -> float:
    return float(next(r for r in rows if r[2] == what)[6])


def test_an_office_program_works_the_same_sums_out(launch: Path, tmp_path: Path) -> None:
    """Opened with no fault; formulas are live: a section struck out, a price put in."""
    result = Session(launch).answer()
    e = result.estimate
    book = tmp_path / "estimate.xlsx"
    book.write_bytes(workbook(EstimateWords(result, Names(result))))
    sheets = _office(book, tmp_path / "lo")
    assert not any("#" in c[:1] or "Err:" in c for rows in sheets.values() for r in rows for c in r)
    for what, value in (
        ("Goods", e.goods_total), ("Work", e.labour), ("Net", e.net), ("Tax", e.tax),
        ("In all", e.gross),
    ):  # fmt: skip
        assert _sum(sheets["Quote"], what) == pytest.approx(value, abs=0.005), what
    changed = load_workbook(book)
    assert changed["Quote"]["A2"].value == 1
    changed["Quote"]["A2"] = 0
    changed["Settings"]["B2"] = 100
    blank = next(r for r in range(2, 900) if changed["Goods"][f"F{r}"].value is None)
    changed["Goods"][f"F{blank}"] = 1000
    other = tmp_path / "other.xlsx"
    changed.save(other)
    again = _office(other, tmp_path / "lo2")
    left = [s for s in e.sections if s.key != again["Quote"][1][1]]
    hours = sum(t.mean for t in e.tasks if t.section in {s.key for s in left})
    assert _sum(again["Quote"], "Work") == pytest.approx(hours * 100, abs=1.0)
    section = again["Goods"][blank - 1][0]
    more = 1000 * float(again["Goods"][blank - 1][3]) if section in {s.key for s in left} else 0.0
    goods = sum(s.goods for s in left) + more
    assert _sum(again["Quote"], "Goods") == pytest.approx(goods, abs=0.05)


def test_text_that_begins_like_a_formula_stays_text(launch: Path, tmp_path: Path) -> None:
    text = launch.read_text(encoding="utf-8").replace('label = "Windlass"', 'label = "=1+1"')
    launch.write_text(text, encoding="utf-8")
    assert main(["quote", str(launch), "-o", str(tmp_path / "q")]) in DONE
    book = load_workbook(tmp_path / "q" / "estimate.xlsx")
    cells = [c for row in book["Work"].iter_rows() for c in row if "=1+1" in str(c.value)]
    assert cells and all(c.data_type == "s" for c in cells)
    assert book["Quote"]["G2"].data_type == "f"
    shop = text_of(tmp_path / "q" / "quote.pdf")
    assert "=SUM(1) Quay Electrics" in shop


def _boxes(d: Drawing) -> list[tuple[str, float, float, float, float]]:
    """Each piece of text as a rectangle: a letter is at most 0.75 of a capital's height wide on
    average in the font that is used (measured: 0.72 for the longest of the demos).
    """
    out = []
    for s in (s for s in d.shapes if isinstance(s, Words) and s.text):
        wide = len(s.text) * s.size * 0.75
        left = {"start": 0.0, "middle": wide / 2, "end": wide}[s.anchor]
        out.append((s.text, s.x - left, s.y, s.x - left + wide, s.y + s.size))
    return out


@pytest.mark.parametrize("name", DEMOS)
def test_no_words_of_a_diagram_run_into_others(name: str) -> None:
    result = demo_worked(name).result
    schemes = Schemes(result, Names(result))
    boards = [schemes.board(b.key) for b in result.benches]
    for d in [schemes.whole(), *(x for _, x in schemes.panels()), *(b for b in boards if b)]:
        boxes = _boxes(d)
        for k, (text, x0, y0, x1, y1) in enumerate(boxes):
            for other, u0, v0, u1, v1 in boxes[:k]:
                apart = x1 <= u0 + 0.3 or u1 <= x0 + 0.3 or y1 <= v0 + 0.3 or v1 <= y0 + 0.3
                assert apart, (name, d.title, text, other)


@pytest.mark.parametrize("name", DEMOS)
def test_every_cable_of_the_result_is_in_a_diagram(name: str) -> None:
    result = demo_worked(name).result
    schemes = Schemes(result, Names(result))
    drawn = [schemes.whole(), *(d for _, d in schemes.panels())]
    words = {s.text.split(": ")[0] for d in drawn for s in d.shapes if isinstance(s, Words)}
    for c in schemes.plus:
        if schemes.place(c.feed) != schemes.place(c.load):
            assert c.number in words, c.number


def test_what_is_bought_comes_off_the_shelf_once(
    launch: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    result = Session(launch).answer()
    taken = [c for c in result.cuts if c.stock.startswith("shelf")]
    assert len(taken) == 2 and {c.cable for c in taken} == {"16 mm²"}
    buy = ["buy", str(launch), "-o", str(tmp_path / "b"), "--take", "--on", "1 May"]
    assert main(buy) in DONE
    shelf = (tmp_path / "shelf.toml").read_text(encoding="utf-8")
    assert "6500" not in shelf and "harbour_launch.job.toml" in shelf
    text = text_of(tmp_path / "b" / "to_buy.pdf")
    assert text.index("Order first") < text.index("Cable") and "3 weeks" in text
    capsys.readouterr()
    assert main(buy) == BAD_INPUT
    assert "took from the shelf before" in capsys.readouterr().err


def test_job_cards_hold_every_hour_and_teach(
    launch: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["work", str(launch), "-o", str(tmp_path / "w")]) in DONE
    e = Session(launch).answer().estimate
    cards = re.findall(r": (\d+\.\d) h", text_of(tmp_path / "w" / "job_cards.pdf"))
    assert sum(float(h) for h in cards) == pytest.approx(e.hours.mean, abs=0.05 * len(cards))
    rows = list(csv.reader(io.StringIO((tmp_path / "w" / "hours.csv").read_text("utf-8-sig"))))
    files = []
    for k, ratio in enumerate((1.4, 1.5, 1.6)):
        filled = [rows[0]]
        for row in rows[1:]:
            took = f"{float(row[5]) * ratio:.3f}" if row[1] == "clip" else ""
            filled.append([f"job {k}", *row[1:6], took, ""])
        files.append(tmp_path / f"done{k}.csv")
        with files[-1].open("w", newline="", encoding="utf-8") as f:
            csv.writer(f, delimiter=";").writerows(filled)
    capsys.readouterr()
    before = launch.read_bytes(), (tmp_path / "shop.toml").read_bytes()
    assert main(["learn", *map(str, files)]) == IN_ORDER
    told = capsys.readouterr().out
    assert "1.50" in told and "clip = [" in told and "median of 3 jobs" in told
    assert (launch.read_bytes(), (tmp_path / "shop.toml").read_bytes()) == before
    files[0].write_text("job,task\na,b\n")
    files[1].write_text("job,task,planned_h,took_h\na,clip,1,soon\n")
    assert main(["learn", *map(str, files[:2])]) == BAD_INPUT
    wrong = capsys.readouterr().err
    assert "done0.csv" in wrong and "done1.csv" in wrong and "soon" in wrong


def test_marks_made_beside_the_boat_come_into_the_hand_over(launch: Path, tmp_path: Path) -> None:
    c = next(c for c in Session(launch).answer().circuits if (c.drop_volt or 0) > 0.3)
    (tmp_path / "harbour_launch.as_built.toml").write_text(
        f'[[mark]]\nabout = "circuit:{c.number}"\nkind = "volt drop"\nvalue = "9,9 V"\n'
        f'[[mark]]\nabout = "circuit:{c.number}"\nkind = "hidden joint"\n'
        'words = "behind the tank <b>"\n'
        '[[mark]]\nabout = "piece:house_battery"\nkind = "serial"\nvalue = "SN 4711"\n'
    )
    assert main(["handover", str(launch), "-o", str(tmp_path / "h")]) in DONE
    text = text_of(tmp_path / "h" / "handover.pdf")
    assert "9.90 V measured" in text and "To be explained" in text and "SN 4711" in text
    html = (tmp_path / "h" / "handover.html").read_text(encoding="utf-8")
    assert "behind the tank &lt;b&gt;" in html and "<script" not in html


def test_a_survey_goes_to_the_boat_and_comes_back(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for file in (ROOT / "demo_hulls").glob("trip_boat.*.toml"):
        shutil.copy(file, tmp_path)
    job, hull = tmp_path / "trip_boat.job.toml", tmp_path / "trip_boat.hull.toml"
    assert main(["survey", str(job), "-o", str(tmp_path / "s")]) == IN_ORDER
    rows = list(csv.reader(io.StringIO((tmp_path / "s" / "sizes.csv").read_text("utf-8-sig"))))
    key = rows[0].index("key"), rows[0].index("found"), rows[0].index("found_how")
    rows[1][key[1]], rows[1][key[2]] = "16 15/16 in", "stick"
    before = hull.read_bytes()
    rows[2][key[1]] = "about a foot"
    filled = tmp_path / "filled.csv"
    with filled.open("w", newline="", encoding="utf-8") as f:
        csv.writer(f).writerows(rows)
    assert main(["survey", str(job), "--read", str(filled)]) == BAD_INPUT
    assert "row 3" in capsys.readouterr().err and hull.read_bytes() == before
    book = load_workbook(tmp_path / "s" / "sizes.xlsx")
    sheet = book.worksheets[0]
    sheet.cell(2, key[1] + 1).value, sheet.cell(2, key[2] + 1).value = "16 15/16 in", "stick"
    book.save(tmp_path / "filled.xlsx")
    assert main(["survey", str(job), "--read", str(tmp_path / "filled.xlsx")]) == IN_ORDER
    assert "16 15/16 in" in hull.read_text(encoding="utf-8")
    assert main(["survey", "--blank", "locker", "duct", "-o", str(tmp_path / "b")]) == IN_ORDER
    blank = text_of(tmp_path / "b" / "measuring_sheet.pdf")
    for trap in ("diagonal", "strut", "gutter", "headroom", "minutes"):
        assert trap in blank
    assert main(["survey", "--blank", "lockr", "-o", str(tmp_path / "b")]) == BAD_INPUT


def test_what_is_wrong_in_a_shop_or_shelf_file_is_told_with_the_rest(
    launch: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "shop.toml").write_text("[shop]\nhours = 70\n[usual]\nclip = [5, 1, 2]\n")
    (tmp_path / "shelf.toml").write_text('[[remnants]]\ncable = "4 mm²"\nlength_mm = "long"\n')
    assert main(["quote", str(launch), "-o", str(tmp_path / "q")]) == BAD_INPUT
    told = capsys.readouterr().err
    assert "shop.toml" in told and "shelf.toml" in told and "did you mean 'hour'" in told
    assert "usual.clip" in told and "rising order" in told and "Value error" not in told
    assert "Traceback" not in told and not (tmp_path / "q").exists()
    (tmp_path / "shop.toml").unlink()
    assert main(["quote", str(launch), "-o", str(tmp_path / "q")]) == BAD_INPUT
    assert "shop.toml" in capsys.readouterr().err
    assert main(["vary", str(launch), "-o", str(tmp_path / "v"), "--why", "x"]) == BAD_INPUT
