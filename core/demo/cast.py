"""The people, boats and shafts of the invented shop. None of them exists; no number can ring."""

from __future__ import annotations

from dataclasses import dataclass

SHOP = {
    "name": "Lantern Slip Shaft Works (invented)",
    "address": "4 Nowhere Quay, Port Example",
    "phone": "555-0100",
}
BENCH_HANDS = ("Odo Kettleby", "Wren Halvard")


@dataclass(frozen=True)
class DemoArea:
    """A riding area, inches."""

    kind: str
    name: str
    from_in: float
    to_in: float
    limit_in: float | None = None


@dataclass(frozen=True)
class DemoShaft:
    """A shaft of a vessel, lengths in inches, with its riding areas."""

    key: str
    position: str
    material: str
    condition: str
    diameter_in: float
    length_in: float
    areas: tuple[DemoArea, ...]
    notes: str = ""


@dataclass(frozen=True)
class DemoVessel:
    """A vessel and its shafts."""

    name: str
    kind: str
    engine_hp: float
    shaft_rpm: float
    shafts: tuple[DemoShaft, ...]


@dataclass(frozen=True)
class DemoCustomer:
    """A customer and the vessels."""

    name: str
    phone: str
    email: str
    address: str
    notes: str
    vessels: tuple[DemoVessel, ...]


def _areas(length_in: float, taper_in: float, log_at_in: float) -> tuple[DemoArea, ...]:
    """Coupling, shaft log, strut bearing and taper as most boats of the invented harbour have."""
    bearing_to = length_in - taper_in - 0.5
    return (
        DemoArea("coupling", "coupling", 0.0, 4.0),
        DemoArea("shaft log", "shaft log", log_at_in, log_at_in + 8.0, 0.003),
        DemoArea("bearing", "strut bearing", bearing_to - 8.0, bearing_to),
        DemoArea("taper", "propeller taper", length_in - taper_in, length_in - 2.0),
    )


CUSTOMERS = (
    DemoCustomer(
        "Ottoline Vask",
        "555-0111",
        "ottoline@example.invalid",
        "Dock 9, Port Example",
        "Pays on the day. Ask before painting anything.",
        (
            DemoVessel(
                "Second Supper",
                "lobster boat",
                210,
                1050,
                (
                    DemoShaft(
                        "supper",
                        "centre",
                        "S20910",
                        "high strength",
                        1.75,
                        96.0,
                        _areas(96.0, 6.0, 34.0),
                        "Runs over a ledge every few years.",
                    ),
                ),
            ),
        ),
    ),
    DemoCustomer(
        "Gudrun Pellworth",
        "555-0112",
        "",
        "12 Ropewalk, Port Example",
        "",
        (
            DemoVessel(
                "Tin Pelican",
                "sport fisherman",
                420,
                1200,
                (
                    DemoShaft(
                        "pelican port",
                        "port",
                        "S31600",
                        "annealed",
                        2.0,
                        120.0,
                        _areas(120.0, 7.5, 44.0),
                    ),
                    DemoShaft(
                        "pelican starboard",
                        "starboard",
                        "S31600",
                        "annealed",
                        2.0,
                        120.0,
                        _areas(120.0, 7.5, 44.0),
                    ),
                ),
            ),
            DemoVessel(
                "Small Umbrella",
                "harbour tender",
                90,
                1250,
                (
                    DemoShaft(
                        "umbrella",
                        "centre",
                        "S31600",
                        "annealed",
                        1.75,
                        90.0,
                        _areas(90.0, 6.0, 32.0),
                    ),
                ),
            ),
        ),
    ),
    DemoCustomer(
        "Quillbight Ferries (invented)",
        "555-0113",
        "office@example.invalid",
        "Landing 2, Quillbight",
        "Purchase order number on every quote.",
        (
            DemoVessel(
                "Brine Fiddle",
                "day ferry",
                600,
                620,
                (
                    DemoShaft(
                        "fiddle",
                        "centre",
                        "S17400",
                        "H1150",
                        3.0,
                        168.0,
                        _areas(168.0, 11.25, 70.0),
                    ),
                ),
            ),
            DemoVessel(
                "Gray Mitten",
                "day ferry",
                600,
                620,
                (
                    DemoShaft(
                        "mitten",
                        "centre",
                        "S17400",
                        "H1150",
                        3.0,
                        168.0,
                        _areas(168.0, 11.25, 70.0),
                    ),
                ),
            ),
        ),
    ),
    DemoCustomer(
        "Bram Tillerud",
        "555-0114",
        "bram@example.invalid",
        "",
        "Deaf in the left ear: write it down.",
        (
            DemoVessel(
                "Marigold Heron",
                "sailing ketch",
                55,
                1100,
                (
                    DemoShaft(
                        "heron",
                        "centre",
                        "S30400",
                        "annealed",
                        1.25,
                        72.0,
                        _areas(72.0, 4.5, 26.0),
                    ),
                ),
            ),
        ),
    ),
    DemoCustomer(
        "Zoë Ångholm",
        "555-0115",
        "",
        "Mooring 31, Quillbight",
        "",
        (
            DemoVessel(
                "Lesser Walnut",
                "pilot launch",
                300,
                1400,
                (
                    DemoShaft(
                        "walnut",
                        "centre",
                        "N05500",
                        "aged",
                        2.0,
                        102.0,
                        _areas(102.0, 7.5, 38.0),
                    ),
                    DemoShaft(
                        "walnut spare",
                        "spare",
                        "N05500",
                        "aged",
                        2.0,
                        102.0,
                        _areas(102.0, 7.5, 38.0),
                    ),
                ),
            ),
        ),
    ),
    DemoCustomer(
        "Ferrand & Ferrand Mussels (invented)",
        "555-0116",
        "",
        "The Flats, Port Example",
        "Two skippers, one boat: find out who is asking.",
        (
            DemoVessel(
                "Patient Bucket",
                "mussel dredger",
                260,
                700,
                (
                    DemoShaft(
                        "bucket",
                        "centre",
                        "G10450",
                        "turned and ground",
                        2.5,
                        108.0,
                        _areas(108.0, 9.375, 40.0),
                    ),
                ),
            ),
        ),
    ),
    DemoCustomer(
        "Isolde Crake",
        "555-0117",
        "",
        "",
        "",
        (
            DemoVessel(
                "No Fixed Tide",
                "motor cruiser",
                160,
                1300,
                (
                    DemoShaft(
                        "tide",
                        "port",
                        "C46400",
                        "half hard",
                        1.5,
                        84.0,
                        _areas(84.0, 6.0, 30.0),
                    ),
                    DemoShaft(
                        "tide starboard",
                        "starboard",
                        "C46400",
                        "half hard",
                        1.5,
                        84.0,
                        _areas(84.0, 6.0, 30.0),
                    ),
                ),
            ),
        ),
    ),
)
"""Every customer of the invented shop."""
