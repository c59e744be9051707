"""What goes in comes out: power and charge balance of every DC network, and in series banks."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from routing.network.network import Branch, Load, Source, solve


@settings(max_examples=40, deadline=None)
@given(
    st.integers(1, 4),
    st.lists(
        st.tuples(st.floats(0.005, 0.2), st.floats(0.5, 15.0), st.booleans()),
        min_size=1,
        max_size=8,
    ),
    st.floats(0.001, 0.02),
)
def test_power_and_charge_balance(
    in_series: int, loads: list[tuple[float, float, bool]], inner: float
) -> None:
    # batteries in series, then a feeder, then branches of steady current or steady power
    sources, branches, ends = [], [], []
    for k in range(in_series):
        sources.append(Source(f"b{k}", f"n{k + 1}", f"n{k}", 12.6, inner))
    branches.append(Branch("feeder", f"n{in_series}", "bus", 0.004))
    for k, (ohm, amp, steady_power) in enumerate(loads):
        branches += [Branch(f"out{k}", "bus", f"l{k}", ohm), Branch(f"back{k}", f"m{k}", "n0", ohm)]
        watt = amp * 12.0 * in_series / 4 if steady_power else None
        ends.append(Load(f"load{k}", f"l{k}", f"m{k}", None if watt else amp / 2, watt))
    found = solve(sources, branches, ends)
    drawn = {x.name: found.branch_amp[f"out{k}"] for k, x in enumerate(ends)}
    given_watt = sum(12.6 * found.source_amp[s.name] for s in sources)
    lost = sum(s.ohm * found.source_amp[s.name] ** 2 for s in sources)
    lost += sum(b.ohm * found.branch_amp[b.name] ** 2 for b in branches)
    used = sum(found.load_volt[x.name] * drawn[x.name] for x in ends)
    assert given_watt == pytest.approx(lost + used, rel=1e-6)
    for x in ends:
        if x.watt is not None:
            assert found.load_volt[x.name] * drawn[x.name] == pytest.approx(x.watt, rel=1e-6)
    total = sum(drawn.values())
    assert found.branch_amp["feeder"] == pytest.approx(total, rel=1e-6)
    for s in sources:  # one current through every battery of a string
        assert found.source_amp[s.name] == pytest.approx(total, rel=1e-6)
