"""Pictures of the moves: one for each, from the side that shows it, and a moving one on request."""

import io
from itertools import pairwise

import numpy as np
import pytest
from PIL import Image

from tests.worked import demo_worked
from viewer.scene.moves import FRAMES, LOOKS, REST_FRAMES, best_look, kinds_of_moves, moving, strip
from viewer.work.piece_rows import MoveRow

KEY = "console_board"


def moved(shift: tuple[float, float, float], turn: tuple[float, float, float]) -> MoveRow:
    row = demo_worked("survey_catamaran").result.piece(KEY).moves[0]
    return row.model_copy(update={"shift_mm": shift, "turn_deg": turn})


@pytest.mark.parametrize("axis", range(3))
def test_a_slide_is_seen_across_and_a_turn_along_its_axis(axis: int) -> None:
    unit = np.eye(3)[axis]

    def along(row: MoveRow) -> float:
        eye = np.array(best_look(row))
        return abs(float(eye @ unit)) / float(np.linalg.norm(eye))

    slide = moved((*(300.0 * unit),), (0.0, 0.0, 0.0))
    turn = moved((0.0, 0.0, 0.0), (*(40.0 * unit),))
    usual = abs(LOOKS[0][axis]) / float(np.linalg.norm(LOOKS[0]))
    assert along(slide) <= usual + 1e-9
    assert along(turn) >= usual - 1e-9


def test_every_move_has_its_picture_with_something_drawn() -> None:
    result = demo_worked("survey_catamaran").result
    row = result.piece(KEY)
    pictures = strip(result, row)
    assert len(pictures) == len(row.moves)
    for png in pictures:
        pixels = np.array(Image.open(io.BytesIO(png)).convert("L"))
        inked = np.argwhere(pixels < 200)
        assert len(inked) > 2000  # the body, its arrow, what is round it
    assert len(kinds_of_moves()) == 5


def test_a_moving_picture_shows_every_move() -> None:
    result = demo_worked("survey_catamaran").result
    row = result.piece(KEY)
    gif = moving(result, row)
    assert gif is not None
    film = Image.open(io.BytesIO(gif))
    assert film.format == "GIF"
    assert film.n_frames > len(row.moves)
    assert film.n_frames <= FRAMES * len(row.moves) + REST_FRAMES
    for a, b in pairwise(row.moves):
        assert a.end.at_mm == pytest.approx(b.start.at_mm)
