"""The DC network against closed forms and against a general circuit simulator."""

import shutil

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmarks.dc import compare, parts, simulated, tree
from routing.errors import RoutingError
from routing.network.network import Branch, Load, Source, solve


@given(st.floats(11, 52), st.floats(0.01, 0.2), st.floats(1, 50))
def test_constant_power_is_the_upper_root(volt: float, ohm: float, share: float) -> None:
    # v (E - v) / R = P has v = (E + sqrt(E^2 - 4 R P)) / 2 as the answer a circuit settles on
    watt = share / 100 * volt**2 / (4 * ohm) * 1.6
    if watt >= volt**2 / (4 * ohm):
        return
    found = solve(
        [Source("battery", "p", "m", volt, 0.0)],
        [Branch("out", "p", "a", ohm / 2), Branch("back", "b", "m", ohm / 2)],
        [Load("lamp", "a", "b", watt=watt)],
    )
    assert found.load_volt["lamp"] == pytest.approx(
        (volt + np.sqrt(volt**2 - 4 * ohm * watt)) / 2, abs=1e-3
    )


def test_parallel_batteries_share_by_their_resistance() -> None:
    found = solve(
        [Source("one", "p", "m", 12.6, 0.006), Source("two", "p", "m", 12.6, 0.003)],
        [Branch("x", "p", "a", 0.01)],
        [Load("l", "a", "m", amp=30.0)],
    )
    assert found.source_amp["one"] == pytest.approx(10.0, abs=1e-6)
    assert found.source_amp["two"] == pytest.approx(20.0, abs=1e-6)
    assert found.load_volt["l"] == pytest.approx(12.6 - 30 * (0.002 + 0.01), abs=1e-6)


def test_two_voltages_in_one_boat() -> None:
    # two 12.6 V batteries in series: 25.2 V across both, 12.6 V across the lower
    sources = [Source("low", "mid", "m", 12.6, 0.004), Source("high", "top", "mid", 12.6, 0.004)]
    found = solve(
        sources,
        [Branch("a", "top", "t", 0.02), Branch("b", "mid", "u", 0.02)],
        [Load("24 V", "t", "m", amp=10.0), Load("12 V", "u", "m", amp=5.0)],
    )
    assert found.load_volt["24 V"] == pytest.approx(
        25.2 - 10 * (0.02 + 0.004) - 15 * 0.004, abs=1e-6
    )
    assert found.load_volt["12 V"] == pytest.approx(12.6 - 15 * 0.004 - 5 * 0.02, abs=1e-6)


def test_what_cannot_be_is_said() -> None:
    battery = Source("battery", "p", "m", 12.0, 0.01)
    with pytest.raises(RoutingError, match="pump has no source"):
        solve([battery], [Branch("x", "c", "a", 0.1)], [Load("pump", "a", "c", amp=1.0)])
    other = Source("other", "q", "n", 12.0, 0.01)
    with pytest.raises(RoutingError, match="one network and its minus on another"):
        solve([battery, other], [], [Load("pump", "p", "n", amp=1.0)])
    with pytest.raises(RoutingError, match="cannot draw 500 W"):
        solve([battery], [Branch("x", "p", "a", 0.5)], [Load("heater", "a", "m", watt=500.0)])


@pytest.mark.parametrize("seed", range(4))
def test_against_a_circuit_simulator(seed: int) -> None:
    assert shutil.which("ngspice"), "ngspice is not installed: ./start tests installs it"
    net = parts(tree(40, seed))
    found = solve(*net)
    volts, _ = simulated(*net, found)
    assert len(volts) == len(found.volt)
    assert compare(found, volts) < 1e-3


def test_a_string_a_converter_and_a_starter_against_the_simulator() -> None:
    assert shutil.which("ngspice"), "ngspice is not installed: ./start tests installs it"
    # four batteries in series feed a motor and a converter; its output, a source of its own on
    # another network, feeds lamps beside a battery whose starter turns
    sources = [Source(f"b{k}", f"n{k + 1}", f"n{k}", 12.7, 0.009) for k in range(4)]
    sources += [
        Source("converter", "c+", "c-", 13.6, 0.02),
        Source("start", "s+", "s-", 12.6, 0.008),
    ]
    branches = [
        Branch("main", "n4", "bus", 0.0021),
        Branch("motor out", "bus", "m+", 0.004),
        Branch("motor back", "m-", "n0", 0.004),
        Branch("feed", "bus", "in+", 0.011),
        Branch("feed back", "in-", "n0", 0.011),
        Branch("charge", "c+", "s+", 0.03),
        Branch("charge back", "c-", "s-", 0.03),
        Branch("starter out", "s+", "t+", 0.0016),
        Branch("starter back", "t-", "s-", 0.0016),
        Branch("lamp out", "c+", "l+", 0.2),
        Branch("lamp back", "l-", "c-", 0.2),
    ]
    loads = [
        Load("motor", "m+", "m-", watt=2200.0),
        Load("converter in", "in+", "in-", watt=15 * 13.6 / 0.9),
        Load("starter", "t+", "t-", amp=150.0),
        Load("lamp", "l+", "l-", watt=25.0),
    ]
    found = solve(sources, branches, loads)
    volts, _ = simulated(sources, branches, loads, found)
    assert compare(found, volts) < 1e-3
    assert found.source_amp["b0"] == pytest.approx(found.source_amp["b3"], rel=1e-9)
