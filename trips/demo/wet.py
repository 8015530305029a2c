"""Load the demo's gauges and their floods."""

from trips.demo.shelf import named, set_related
from trips.models import Flood, Gauge


def load_floods(loader) -> None:
    """Gauges with the sites they reach, and every flood of theirs."""
    gauges, floods = loader.shelf(Gauge, "name"), loader.shelf(Flood, "gauge", "day")
    for entry in loader.toml("floods")["gauges"]:
        where = f"floods.toml, {entry['name']}"
        peaks, sites = entry.pop("floods"), entry.pop("sites")
        gauge = gauges.put(where, party=loader.party, **entry)
        set_related(gauge.sites, [named(loader.sites, name, where) for name in sites])
        for peak in peaks:
            floods.put(f"{where}, {peak['day']}", party=loader.party, gauge=gauge, **peak)
