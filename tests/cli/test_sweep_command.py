"""`shaftlog sweep`: the figures of a known shaft, JSON as fixed, and every kind of bad input."""

from __future__ import annotations

import json
import math
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from core.demo.bench import bend
from core.demo.simulate import Blocked, TrueShaft, read_sweep
from tests.support.command_fixtures import ROOT, Shaftlog, assert_refused

ROLLERS = (12.0, 84.0)
STATIONS = (3.0, *(6.0 * n for n in range(1, 16)), 93.0)
SHAFT = TrueShaft(
    96.0, bends=(bend(40.0, 5.0, 120), bend(66.0, 3.0, 200)), keyways=(Blocked(88, 96),)
)


def sweep_text(shaft: TrueShaft = SHAFT, marks: int = 8, noise_in: float = 0.0002) -> str:
    read = read_sweep(
        shaft,
        ROLLERS,
        STATIONS,
        [2 * math.pi * n / marks for n in range(marks)],
        repeatability_in=noise_in,
        rng=np.random.default_rng(5),
    )
    lines = ["station_in,clock_deg,reading_thou"]
    for s in read.stations:
        pairs = zip(s.clock_rad, s.reading_in, strict=True)
        lines += [f"{s.station_in:g},{math.degrees(c):g},{v * 1000:.1f}" for c, v in pairs]
        lines += [f"{s.station_in:g},{math.degrees(c):g},blocked" for c in s.blocked_rad]
    return "\n".join(lines) + "\n"


def worked(shaftlog: Shaftlog, file: Path, *options: object) -> dict[str, Any]:
    ran = shaftlog("sweep", file, "--rollers", *ROLLERS, "--json", *options)
    assert ran.code == 0, ran.err
    assert ran.err == ""
    record: dict[str, Any] = json.loads(ran.out)
    return record


KEYS = {
    "": {"rollers_in", "stations", "bends", "next_hits", "notes"},
    "stations": {
        "station_in", "shown_tir_thou", "tir_thou", "tir_low_thou", "tir_high_thou",
        "bend_tir_thou", "bend_tir_low_thou", "bend_tir_high_thou",
        "high_spot_deg", "eccentricity_thou", "ovality_thou", "slips",
    },
    "bends": {"station_in", "station_u95_in", "angle_mrad", "high_side_deg", "resolved"},
    "next_hits": {
        "station_in", "high_side_deg", "angle_mrad", "worst_tir_after_thou", "check_stations_in",
    },
}  # fmt: skip


def test_json_has_the_fixed_keys_and_the_true_shape(shaftlog: Shaftlog, tmp_path: Path) -> None:
    file = tmp_path / "s.csv"
    file.write_text(sweep_text())
    record = worked(shaftlog, file)
    assert set(record) == KEYS[""]
    for name in ("stations", "bends", "next_hits"):
        assert record[name]
        assert all(set(one) == KEYS[name] for one in record[name])
    assert record["rollers_in"] == list(ROLLERS)
    true_thou = SHAFT.centre_in(STATIONS, ROLLERS) * 1000
    for one, ecc in zip(record["stations"], true_thou, strict=True):
        assert one["eccentricity_thou"] == pytest.approx(ecc, abs=0.8)
        assert one["tir_low_thou"] <= one["tir_thou"] <= one["tir_high_thou"]
        assert one["bend_tir_low_thou"] <= one["bend_tir_thou"] <= one["bend_tir_high_thou"]
        assert one["bend_tir_thou"] == pytest.approx(2 * np.hypot(*ecc), abs=1.2)
        if one["tir_thou"] > 20:
            spot = math.degrees(math.atan2(ecc[1], ecc[0])) % 360
            assert one["high_spot_deg"] == pytest.approx(spot, abs=4)
    assert [b["station_in"] for b in record["bends"]] == pytest.approx([40, 66], abs=0.5)
    assert [b["angle_mrad"] for b in record["bends"]] == pytest.approx([5, 3], abs=0.2)
    assert [b["high_side_deg"] for b in record["bends"]] == pytest.approx([120, 200], abs=3)
    assert all(b["resolved"] for b in record["bends"])
    last = record["next_hits"][-1]
    assert last["worst_tir_after_thou"] < 2.0
    assert len(last["check_stations_in"]) == 4


def test_slip_of_hand_is_named_with_its_mend(shaftlog: Shaftlog, tmp_path: Path) -> None:
    text = sweep_text()
    line = next(x for x in text.splitlines() if x.startswith("36,90,"))
    value = float(line.split(",")[2])
    file = tmp_path / "s.csv"
    file.write_text(text.replace(line, f"36,90,{value + 100:g}"))
    station = next(s for s in worked(shaftlog, file)["stations"] if s["station_in"] == 36)
    (slip,) = station["slips"]
    assert set(slip) == {"clock_deg", "typed_thou", "kind", "suggested_thou"}
    assert slip["clock_deg"] == 90
    assert slip["typed_thou"] == pytest.approx(value + 100)
    assert slip["suggested_thou"] == pytest.approx(value)


def test_written_for_people(shaftlog: Shaftlog, tmp_path: Path) -> None:
    file = tmp_path / "s.csv"
    file.write_text(sweep_text())
    ran = shaftlog("sweep", file, "--rollers", *ROLLERS)
    assert ran.code == 0
    for words in ("NOT TRUE", "BENDS", "NEXT HITS", "high side", "40", "rollers at 12 and 84"):
        assert words in ran.out
    assert max(map(len, ran.out.splitlines())) <= 80
    assert "caution" in ran.out.lower()


def test_straight_shaft_is_true_and_needs_no_hit(shaftlog: Shaftlog, tmp_path: Path) -> None:
    file = tmp_path / "s.csv"
    file.write_text(sweep_text(TrueShaft(96.0)))
    record = worked(shaftlog, file)
    assert record["bends"] == []
    assert record["next_hits"] == []
    ran = shaftlog("sweep", file, "--rollers", *ROLLERS)
    assert "NOT TRUE" not in ran.out
    assert "TRUE: between 3.0 and 93.0 in" in ran.out


def test_few_marks_are_refused(shaftlog: Shaftlog, tmp_path: Path) -> None:
    file = tmp_path / "s.csv"
    file.write_text(sweep_text(marks=4))
    ran = shaftlog("sweep", file, "--rollers", *ROLLERS)
    assert_refused(ran, "s.csv", "line 2", "4 marks")


BAD: list[tuple[str, tuple[object, ...], str]] = [
    ("", ROLLERS, "empty"),
    ("hello\n", ROLLERS, "header"),
    ("station_in,clock_deg,reading_thou\n", ROLLERS, "no readings"),
    ("text", ("12", "twelve"), "twelve"),
    ("good", (12, 12), "one place"),
    ("good", (12, 400), "outside the shaft"),
    ("good", (-12, 84), "outside the shaft"),
    ("good", ("nan", 84), "outside the shaft"),
    ("good", ("1e9", 84), "outside the shaft"),
    ("good", (12,), "rollers"),
    ("good", (12, 84, "--resolution", "0"), "resolution"),
    ("good", (12, 84, "--resolution", "nan"), "resolution"),
    ("good", (12, 84, "--repeatability", "-1"), "repeatability"),
    ("good", (12, 84, "--length", "60"), "length"),
    ("good", (12, 84, "--sweep", "3"), "sweep"),
]


@pytest.mark.parametrize(("text", "rollers", "words"), BAD)
def test_bad_input_is_refused_in_one_line(
    shaftlog: Shaftlog, tmp_path: Path, text: str, rollers: tuple[object, ...], words: str
) -> None:
    file = tmp_path / "s.csv"
    file.write_text(sweep_text() if text == "good" else text)
    assert_refused(shaftlog("sweep", file, "--rollers", *rollers, "--json"), words)


@pytest.mark.parametrize("row", ["36,90,abc", "36,90,nan", "36,90,1e9", "x,90,1", "36,,1"])
def test_bad_rows_name_file_and_line(shaftlog: Shaftlog, tmp_path: Path, row: str) -> None:
    file = tmp_path / "readings.csv"
    text = sweep_text()
    file.write_text(text + row + "\n")
    line = text.count("\n") + 1
    ran = shaftlog("sweep", file, "--rollers", *ROLLERS)
    assert_refused(ran, "readings.csv", f"line {line}:")


@pytest.mark.slow
def test_fifty_thousand_rows_are_worked_out(shaftlog: Shaftlog, tmp_path: Path) -> None:
    file = tmp_path / "s.csv"
    rows = []
    for n in range(50_000):
        station, clock = n // 350 * 0.7 + 1, n % 350 * 360 / 350
        bent = 0.7 * (36 - abs(station - 48))
        rows.append(f"{station:g},{clock:.3f},{bent * math.cos(math.radians(clock)):.1f}")
    file.write_text("\n".join(["station_in,clock_deg,reading_thou", *rows]))
    record = worked(shaftlog, file)
    assert len(record["stations"]) == 143
    assert [b["station_in"] for b in record["bends"]] == pytest.approx([48], abs=0.2)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("marks", "words"), [(8, "6250 stations"), (25_000, "25000 readings at station")]
)
def test_more_than_a_sweep_can_have_is_refused(
    shaftlog: Shaftlog, tmp_path: Path, marks: int, words: str
) -> None:
    file = tmp_path / "s.csv"
    rows = [f"{n // marks / 50 + 1:g},{n % marks * 360 / marks:g},1" for n in range(50_000)]
    file.write_text("\n".join(["station_in,clock_deg,reading_thou", *rows]))
    assert_refused(shaftlog("sweep", file, "--rollers", 1, 2), "s.csv", words)


def test_files_that_cannot_be_opened(shaftlog: Shaftlog, tmp_path: Path) -> None:
    ran = shaftlog("sweep", tmp_path / "none.csv", "--rollers", 1, 9)
    assert_refused(ran, "none.csv", "no such file")
    assert_refused(shaftlog("sweep", tmp_path, "--rollers", 1, 9), "folder")


@pytest.mark.slow
def test_as_a_process(shaftlog_process: Shaftlog, tmp_path: Path) -> None:
    """Exit codes, streams and encodings as a shell sees them."""
    file = tmp_path / "s.csv"
    file.write_text(sweep_text())
    ran = shaftlog_process("sweep", file, "--rollers", *ROLLERS, "--json", LC_ALL="C")
    assert ran.code == 0
    assert json.loads(ran.out)["bends"]
    file.write_bytes(b"\xff\xfe\x00\x01binary\x00" * 50)
    assert_refused(shaftlog_process("sweep", file, "--rollers", *ROLLERS), "s.csv", "line 1")
    bad_name = tmp_path / os.fsdecode(b"b\xe4d\n\x1b[2J.csv")
    assert_refused(shaftlog_process("sweep", bad_name, "--rollers", 1, 9, LC_ALL="C"), "no such")


@pytest.mark.slow
def test_reader_that_goes_away(tmp_path: Path) -> None:
    """`shaftlog sweep ... | head -1`: no traceback when the pipe closes early."""
    file = tmp_path / "s.csv"
    file.write_text(sweep_text())
    command = [sys.executable, "-m", "tui.main", "sweep", str(file), "--rollers", "12", "84"]
    with subprocess.Popen(
        command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as running:
        assert running.stdout is not None
        assert running.stderr is not None
        running.stdout.close()
        said = running.stderr.read()
    assert said == b""
    assert running.returncode == 141
