"""The words of every rule: what it asks, its source, what was found, and what would mend it."""

from collections.abc import Callable
from typing import Final

from viewer.words.names import Names
from viewer.words.rule_values import RuleWords, Values, Words
from viewer.words.rules_of_guards import (
    cable_carries,
    feeder,
    fuse_distance,
    fuse_over_cable,
    fuse_steps,
    fuse_under_load,
    hot_drop,
    isolator_reach,
    network,
    no_fuse_fits,
    no_isolator,
    pump_isolated,
    shunt_side,
    stops_too_little,
    stops_unknown,
)
from viewer.words.rules_of_leads import (
    all_drop_leads,
    bend_radius,
    bus_current,
    bus_device,
    bus_devices,
    bus_fuse,
    bus_length,
    bus_spread,
    bus_way,
    data_off_power,
    drop_lead,
    lead_reaches,
    lead_surplus,
    mains_apart,
    pair_near_compass,
    run_whole,
    terminators,
)
from viewer.words.rules_of_places import (
    battery_and_fuel,
    bilge_water,
    charger_over_battery,
    fuel_shielded,
    held_by_nothing,
    magnets,
    petrol_distance,
    petrol_space,
    sensor_and_compass,
    stands_tipped,
)
from viewer.work.rows import FindingRow

RULES: Final[dict[str, Callable[[Values], Words]]] = {
    "held by nothing": held_by_nothing,
    "stands tipped": stands_tipped,
    "battery and fuel": battery_and_fuel,
    "fuel shielded": fuel_shielded,
    "charger over battery": charger_over_battery,
    "petrol distance": petrol_distance,
    "petrol space": petrol_space,
    "bilge water": bilge_water,
    "magnets": magnets,
    "sensor and compass": sensor_and_compass,
    "network": network,
    "feeder": feeder,
    "hot drop": hot_drop,
    "fuse distance": fuse_distance,
    "cable carries": cable_carries,
    "no fuse fits": no_fuse_fits,
    "fuse under load": fuse_under_load,
    "fuse over cable": fuse_over_cable,
    "stops unknown": stops_unknown,
    "stops too little": stops_too_little,
    "fuse steps": fuse_steps,
    "no isolator": no_isolator,
    "isolator reach": isolator_reach,
    "shunt side": shunt_side,
    "pump isolated": pump_isolated,
    "bend radius": bend_radius,
    "data off power": data_off_power,
    "pair near compass": pair_near_compass,
    "mains apart": mains_apart,
    "lead reaches": lead_reaches,
    "lead surplus": lead_surplus,
    "run whole": run_whole,
    "bus way": bus_way,
    "drop lead": drop_lead,
    "bus device": bus_device,
    "bus length": bus_length,
    "all drop leads": all_drop_leads,
    "bus devices": bus_devices,
    "terminators": terminators,
    "bus current": bus_current,
    "bus spread": bus_spread,
    "bus fuse": bus_fuse,
}


def rule_words(f: FindingRow, names: Names) -> RuleWords:
    """A finding in words."""
    rule, source, found, asks, remedy = RULES[f.rule](Values(f, names))
    return RuleWords(names.about(f.about), rule, source, found, asks, remedy)
