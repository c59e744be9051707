"""Cable colours in pictures: none reads as a pole or bonding, and greys differ as well."""

from colorsys import rgb_to_hsv

from viewer.scene.palette import CABLES


def hsv(colour: str) -> tuple[float, float, float]:
    r, g, b = (int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5))
    return rgb_to_hsv(r, g, b)


def test_no_cable_is_red_black_yellow_or_green() -> None:
    # common practice on small boats: red plus, black or yellow minus, green bonding
    for c in CABLES:
        hue, saturation, value = hsv(c)
        degrees = 360 * hue
        assert value > 0.35, c  # not black
        assert saturation < 0.2 or not (45 <= degrees <= 170), c  # neither yellow nor green
        assert saturation < 0.2 or not (degrees < 15 or degrees > 345), c  # nor red
    assert len(set(CABLES)) == len(CABLES)
