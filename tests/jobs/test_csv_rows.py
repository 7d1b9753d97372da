"""Sweep files as people and programs write them: understood, or refused in one plain line."""

from __future__ import annotations

import pytest

from core.jobs.sweep_import.csv_rows import SweepFileError, read_rows
from core.jobs.sweep_import.csv_stations import (
    check_rollers,
    check_stations,
    gather,
    sweep_readings,
)

HEADER = "station_in,clock_deg,reading_thou\n"
GOOD = HEADER + "12,0,1.5\n12,45,-2\n12,90,blocked\n12,135,\n"


def values(data: bytes, **columns: str) -> list[tuple[float, float, float | None]]:
    rows = read_rows(data, "s.csv", columns)
    return [(r.station_in, r.clock_deg, r.reading_in) for r in rows]


WANTED = [(12.0, 0.0, 0.0015), (12.0, 45.0, -0.002), (12.0, 90.0, None), (12.0, 135.0, None)]


@pytest.mark.parametrize(
    "data",
    [
        GOOD.encode(),
        GOOD.encode("utf-8-sig"),
        GOOD.encode("utf-16"),
        GOOD.replace("\n", "\r\n").encode(),
        GOOD.replace("\n", "\r").encode(),
        GOOD.replace(",", ";").replace("1.5", "1,5").encode(),
        GOOD.replace(",", "\t").replace("1.5", "1,5").encode(),
        ("sep=;\n" + GOOD.replace(",", ";")).encode(),
        ("# from the gauge at bench 2, 20 °C\n\n" + GOOD).encode("latin-1"),
        GOOD.replace("station_in", ' "Station_IN" ').encode(),
        GOOD.replace("-2", "\u22122").encode(),
        GOOD.replace("135,\n", "135\n").encode(),
        GOOD.replace("1.5\n", "1.5,,\n").encode(),
        b"who,reading_thou,clock_deg,station_in\nA,1.5,0,12\nA,-2,45,12\nA,x,90,12\nA,,135,12\n",
        b"station_in,clock_deg,reading_in\n12,0,.0015\n12,45,-2e-3\n12,90,blocked\n12,135,\n",
    ],
)
def test_many_ways_to_write_the_same_sweep(data: bytes) -> None:
    got = values(data)
    assert [(s, c) for s, c, _ in got] == [(s, c) for s, c, _ in WANTED]
    assert [r for *_, r in got] == pytest.approx([r for *_, r in WANTED])


def test_columns_can_be_named() -> None:
    data = b"Pos (mm);Winkel;Kanal 1\n254;0;0,0254\n254;45;-0,0508\n"
    got = values(data, station_mm="Pos (mm)", clock_deg="winkel", reading_mm="Kanal 1")
    assert got[0] == pytest.approx((10.0, 0.0, 0.001))
    assert got[1] == pytest.approx((10.0, 45.0, -0.002))


@pytest.mark.parametrize(
    ("data", "line", "words"),
    [
        (b"", 1, "empty"),
        (b" \r\n\n", 1, "empty"),
        (HEADER.encode(), 1, "no readings"),
        (b"# only a comment\n", 1, "header"),
        (b"a,b,c\n1,2,3\n", 1, "no column station_in"),
        (b"station_in,clock_deg\n1,2\n", 1, "no column reading_thou"),
        (b"station_in,clock_deg,reading_thou,reading_in\n1,2,3,4\n", 1, "more than one reading"),
        ((HEADER + "12,0,abc\n").encode(), 2, "'abc' is not a number"),
        ((HEADER + "12,0,1\nnear end,0,1\n").encode(), 3, "station 'near end'"),
        ((HEADER + "12,,1\n").encode(), 2, "clock is missing"),
        ((HEADER + "12,0,nan\n").encode(), 2, "'nan' is not a number"),
        ((HEADER + "12,0,-inf\n").encode(), 2, "not a number"),
        ((HEADER + "12,0,1e9\n").encode(), 2, "more than any dial travels"),
        ((HEADER + "12,0,1e999\n").encode(), 2, "more than any dial travels"),
        ((HEADER + "1e9,0,1\n").encode(), 2, "not on a shaft"),
        ((HEADER + "-3,0,1\n").encode(), 2, "not on a shaft"),
        ((HEADER + "12,1e9,1\n").encode(), 2, "not a clock"),
        ((HEADER + "12,0,1_0\n").encode(), 2, "not a number"),
        ((HEADER + "12,0,1,5\n").encode(), 2, "semicolons"),
        ((HEADER + '12,0,"1,5"\n').encode(), 2, "decimal point"),
        ((HEADER.replace(",", ";") + "12;0;1.000,5\n").encode(), 2, "decimal point"),
        ((HEADER + "12\n").encode(), 2, "only 1 of 3 columns"),
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", 1, "not a text file"),
        (bytes(range(256)) * 20, 1, "not a text file"),
        ((HEADER + '12,0,"1\n' + "x" * 200_000 + "\n").encode(), 3, "stray quote"),
    ],
)
def test_what_cannot_be_read_is_named_with_its_line(data: bytes, line: int, words: str) -> None:
    with pytest.raises(SweepFileError) as caught:
        read_rows(data, "s.csv")
    message = str(caught.value)
    assert words in message
    assert caught.value.line == line
    assert message.startswith(f"s.csv, line {line}: ")
    assert "\n" not in message


def sweep(stations: int = 4, marks: int = 8, step_in: float = 12) -> str:
    return HEADER + "".join(
        f"{step_in * (s + 1)},{360 * m / marks:g},{m}\n"
        for s in range(stations)
        for m in range(marks)
    )


def refusal(text: str, rollers: tuple[float, float] = (12, 48), **options: float) -> str:
    stations = gather(read_rows(text.encode(), "s.csv"))
    try:
        check_stations(stations, "s.csv")
        check_rollers(stations, rollers, "s.csv", **options)
    except SweepFileError as error:
        return str(error)
    pytest.fail("nothing was refused")


def test_sweeps_no_shape_can_come_from() -> None:
    assert "line 2: only one station" in refusal(sweep(stations=1))
    assert "readings at 4 marks" in refusal(sweep(marks=4))
    assert "readings at 2 marks" in refusal(sweep(marks=2))
    all_blocked = HEADER + "".join(f"{s},{m},blocked\n" for s in (1, 2) for m in range(8))
    assert "every mark is blocked; there is no reading" in refusal(all_blocked)
    one_blocked = sweep() + "".join(f"99,{m},\n" for m in range(8))
    assert "line 34: every mark is blocked at station 99 in" in refusal(one_blocked)
    assert "201 stations" in refusal(sweep(stations=201, step_in=1))


def test_rollers_that_cannot_be() -> None:
    assert "at one place" in refusal(sweep(), (24, 24))
    assert "roller at 500 in is outside the shaft" in refusal(sweep(), (12, 500))
    assert "outside" in refusal(sweep(), (-1, 24))
    assert "outside" in refusal(sweep(), (float("nan"), 24))
    assert "beyond the shaft's length" in refusal(sweep(), (12, 40), length_in=40)
    assert "roller at 59 in is outside" in refusal(sweep(), (12, 59), length_in=50)


def test_closing_mark_blocked_marks_and_order() -> None:
    text = HEADER + "24,0,1\n24,90,2\n12,0,5\n24,180,\n24,270,4\n24,360,1.5\n12,90,6\n"
    stations = gather(read_rows(text.encode(), "s.csv"))
    assert [s.station_in for s in stations] == [12, 24]
    readings = sweep_readings(stations, (48, 12))
    assert readings.rollers_in == (12, 48)
    far = readings.stations[1]
    assert far.closing_in == pytest.approx(0.0015)
    assert far.reading_in == pytest.approx((0.001, 0.002, 0.004))
    assert len(far.blocked_rad) == 1


@pytest.mark.slow
def test_fifty_thousand_rows_are_read() -> None:
    text = sweep(stations=140, marks=360, step_in=0.5)
    stations = gather(read_rows(text.encode(), "s.csv"))
    check_stations(stations, "s.csv")
    assert sum(len(s.marks) for s in stations) == 50_400
