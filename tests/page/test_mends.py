"""A mend is told to hold exactly where a fresh answer of the changed files says that it does."""

from pathlib import Path
from typing import Any

from tests.page.served import copy_demo, served
from viewer.page.edits.changes import changed_text
from viewer.page.panels.findings.mends import mends_for
from viewer.work.session import Asks, Session

LOCKER = {
    "boat": "Grey dinghy",
    "place": "locker",
    "length": "1200",
    "breadth": "400",
    "height": "400",
    "hatch": "hatch",
    "hatch_first": "430",
    "hatch_second": "330",
    "throat": "55",
}


def test_each_mend_beside_a_fresh_answer(tmp_path: Path) -> None:
    with served(tmp_path) as s:
        job = s.do("start.new_boat", LOCKER)["job"]
        for kind in ("battery_31", "battery_24"):
            ask = {"type": kind, "space": "locker", "at_mm": [600, 200, None]}  # one in the other
            s.do("gear.add", ask, job)
        told = s.answered(job)
        rows: list[dict[str, Any]] = told["parts"]["findings"]["rows"]
        row = next(r for r in rows if r["id"].startswith("way in|") and r["urgency"] == "must")
        desk = s.house.desk(job)
        result = desk.live.result
        assert result is not None
        text = (tmp_path / job).read_text(encoding="utf-8")
        outcomes = set()
        for n, mend in enumerate(mends_for(result, desk, row["id"])):
            found = s.do("findings.tried", {"id": row["id"], "number": n}, job)["mend"]
            assert found["words"] == mend.words
            copy = tmp_path / "copy.job.toml"
            copy.write_text(changed_text(text, list(mend.job)), encoding="utf-8")
            fresh = Session(copy).answer(Asks(fresh=True))
            mended = next(p for p in fresh.pieces if f"piece:{p.key}" == row["about_keys"][0])
            musts = [f for f in fresh.findings if f.urgency == "must"]
            assert found["holds"] == (mended.in_order and not musts), mend.words
            outcomes.add(found["holds"])
        assert outcomes == {True, False}  # some of them do, some of them only sound as if
        assert (tmp_path / job).read_text(encoding="utf-8") == text


def test_parts_that_overlap_on_a_board_are_a_must(tmp_path: Path) -> None:
    with served(copy_demo(tmp_path, "trip_boat")) as s:
        job = "trip_boat.job.toml"
        parts = s.do("desk.look", job=job)["job_tables"]["boards"]["drive_board"]["parts"]
        one, other = list(parts)[:2]
        ask = {"board": "drive_board", "part": one, "at_mm": parts[other]["at"]}
        s.do("gear.part", ask, job)
        told = s.answered(job)["parts"]
        way = next(p for p in told["ways"]["pieces"] if p["key"] == "drive_board")
        assert way["clashes"] and not way["good"]
        rows = [r for r in told["findings"]["rows"] if r["about_keys"] == ["piece:drive_board"]]
        assert rows[0]["urgency"] == "must"
