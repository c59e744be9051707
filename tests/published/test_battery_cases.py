"""Battery cases against the published case standards."""

import pytest

from layout.job.reading import standard_types

# BCI group sizes in inches, overall L x W x H, as reprinted in makers' tables; 1/16 in is their
# grain.
BCI_INCH = {
    "battery_24": (10.25, 6.8125, 8.875),
    "battery_27": (12.0625, 6.8125, 8.875),
    "battery_31": (13.0, 6.8125, 9.4375),
}
# EN 50342-2 case lengths, mm.
EN_LENGTH_MM = {"battery_l3": 278, "battery_l5": 353}


@pytest.mark.parametrize("name", BCI_INCH)
def test_bci_group_case(name: str) -> None:
    size = standard_types()[name].boxes[0].size
    for mm, inch in zip(size, BCI_INCH[name], strict=True):
        assert mm == pytest.approx(inch * 25.4, abs=1.0)  # tables round to the nearest mm


@pytest.mark.parametrize("name", EN_LENGTH_MM)
def test_en_case_length(name: str) -> None:
    assert standard_types()[name].boxes[0].size[0] == EN_LENGTH_MM[name]
