"""A shop with a test bench, for the tests of the sheet and the certificate: a jacket, a calibrated cylinder, a gauge, units to test."""

from datetime import UTC, datetime, timedelta
from itertools import count

from pinseal.app import App
from pinseal.cli.command import run

DAY = "2026-11-20"


_TICKS = count()


class FixedApp(App):
    """A day that stands still but for a thousandth of a second at each look, so that records keep their order."""

    def now(self):
        return datetime(2026, 11, 28, 18, 0, tzinfo=UTC) + timedelta(milliseconds=next(_TICKS))


def make_shop(path, capsys):
    """A shop at `path`; returns what runs a command on it and gives what it printed."""

    def ask(*words, code=0):
        capsys.readouterr()
        found = run(FixedApp(), [*words, "--shop", path])
        said = capsys.readouterr()
        assert found == code, said
        return said

    assert run(FixedApp(), ["init", path, "--packs", "us-osha,us-dot", "--time-zone", "America/Chicago"]) == 0
    ask("settings", "--units", "us", "--firm", "name=Quay Works", "--firm", "requalifier=Z019")
    for name, what in (("CC-1", "calibrated-cylinder"), ("WJ-1", "test-jacket"), ("TG-1", "test-gauge")):
        ask("instruments", "add", name, "--what", what, "--serial", f"S-{name}", "--on", "2026-01-05")
    return ask


def check(ask, tool="WJ-1", *, on=DAY, result="good", **read):
    said = {
        "check-pressure": "3000 psi",
        "certified-expansion": "182.0 cm3",
        "total-expansion": "182.4 cm3",
        "permanent-expansion": "0 cm3",
    }
    said = {name: value for name, value in (said | {key.replace("_", "-"): value for key, value in read.items()}).items() if value}
    words = [word for name, value in said.items() for word in (f"--{name}", value)]
    ask("instruments", "check", tool, "--result", result, "--against", "CC-1", "--on", on, "--person", "Ida Quill", *words)


def register(ask, unit="U-1", *, specification="DOT-3AL1800", **more):
    fields = {"serial": f"SN-{unit}", "site": "Pier Café", "place": "Kitchen", "manufactured": "2011-04", "agent": "co2"} | more
    fields |= {"cylinder-specification": specification} if specification else {}
    words = [word for name, value in fields.items() for word in (f"--{name.replace('_', '-')}", value)]
    ask("record", "registered", unit, "--on", "2026-01-05", *words)


def pressure_test(ask, unit="U-1", *, on=DAY, person="Ida Quill", **changes):
    fields = {
        "method": "water-jacket", "pressure": "3000 psi", "total-expansion": "40.7 cm3", "permanent-expansion": "0.9 cm3", "held": "30 s",
        "instrument": "WJ-1", "visual": "sound", "symbol": "QW", "dimensions": "5.25 in x 18 in",
    }  # fmt: skip
    fields |= {name.replace("_", "-"): value for name, value in changes.items()}
    words = [word for name, value in fields.items() if value for word in (f"--{name}", value)]
    ask("record", "hydrostatic-test", unit, "--on", on, "--person", person, *words)


PROOF = {
    "method": "proof-pressure", "pressure": "480 psi", "total_expansion": "", "permanent_expansion": "", "instrument": "TG-1",
}  # fmt: skip
