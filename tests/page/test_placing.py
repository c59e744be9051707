"""Where gear is set down by itself: beside what stands there, inside what it stands in.

Truth: overlap of rectangles worked out here, point by point of the rule's own words.
"""

from hypothesis import given
from hypothesis import strategies as st

from viewer.page.panels.gear.placing import BESIDE_MM, free_spot, turned

box = st.tuples(st.floats(0, 900), st.floats(0, 400), st.floats(20, 300), st.floats(20, 300)).map(
    lambda b: (b[0], b[1], b[0] + b[2], b[1] + b[3])
)


@given(
    taken=st.lists(box, max_size=6),
    half=st.tuples(st.floats(20, 200), st.floats(20, 150)),
    near=st.tuples(st.floats(0, 1200), st.floats(0, 500)),
)
def test_a_free_spot_is_free_and_inside_or_there_is_none(
    taken: list[tuple[float, float, float, float]],
    half: tuple[float, float],
    near: tuple[float, float],
) -> None:
    low, high = (0.0, 0.0), (1200.0, 500.0)

    def free(x: float, y: float) -> bool:
        mine = (x - half[0], y - half[1], x + half[0], y + half[1])
        inside = mine[0] >= -0.2 and mine[1] >= -0.2 and mine[2] <= 1200.2 and mine[3] <= 500.2
        return inside and apart(x, y)

    def apart(x: float, y: float) -> bool:
        mine = (x - half[0], y - half[1], x + half[0], y + half[1])
        return all(
            mine[2] + BESIDE_MM <= a
            or mine[0] - BESIDE_MM >= c
            or mine[3] + BESIDE_MM <= b
            or mine[1] - BESIDE_MM >= d
            for a, b, c, d in taken
        )

    x, y = free_spot(low, high, half, taken, near)
    if (x, y) != near:
        assert free(x, y)
    else:  # where it gave up, a coarse look of our own finds none either
        spots = [
            (half[0] + 10 * i, half[1] + 10 * j)
            for i in range(int((1200 - 2 * half[0]) / 10) + 1)
            for j in range(int((500 - 2 * half[1]) / 10) + 1)
        ]
        assert apart(*near) or not any(free(*spot) for spot in spots)


@given(
    st.sampled_from(["forward", "aft", "port", "starboard", "up", "down"]), st.sampled_from("xyz")
)
def test_four_quarter_turns_are_none_and_turns_keep_their_axis(word: str, about: str) -> None:
    here = word
    seen = [here]
    for _ in range(4):
        here = turned(here, "xyz", about)
        seen.append(here)
    assert here == word
    axis = {"x": ("forward", "aft"), "y": ("port", "starboard"), "z": ("up", "down")}[about]
    assert (len(set(seen)) == 1) == (word in axis)
