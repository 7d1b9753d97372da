"""`shaftlog figures`: text, JSON, CSV."""

from __future__ import annotations

import csv
import io
import json
import shutil
from pathlib import Path

import pytest

from core.book import jobs, shafts
from core.book.opening import open_book
from tests.support import straightened_book
from tests.support.command_fixtures import Shaftlog, assert_refused


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return straightened_book.make(tmp_path_factory.mktemp("figures") / "book.db")


def test_text_is_plain_and_narrow(shaftlog: Shaftlog, shop: Path) -> None:
    ran = shaftlog("--book", shop, "figures")
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.isascii()
    assert max(map(len, ran.out.splitlines())) <= 80
    for words in ("the owner's answer", "S31600", "25-001", "1 of 2: too few", "1 of 1 job with"):
        assert words in ran.out


def test_json_holds_every_figure(shaftlog: Shaftlog, shop: Path) -> None:
    told = json.loads(shaftlog("--book", shop, "figures", "--json").out)
    assert told["bench"]["responses"][0]["response"]["n_hits"] == 2
    assert told["waiting"][0]["waits_for"] == "the owner's answer"
    assert told["outcomes"][0]["replaced"] == 1


def test_csv_is_safe_and_never_written_over(shaftlog: Shaftlog, shop: Path, tmp_path: Path) -> None:
    target = tmp_path / "figures.csv"
    assert shaftlog("--book", shop, "figures", "--csv", target).code == 0
    text = target.read_text()
    assert text == shaftlog("--book", shop, "figures", "--csv", "-").out
    assert target.stat().st_mode & 0o777 == 0o600
    sheet = list(csv.reader(io.StringIO(text)))
    assert sheet[0][0] == "figure"
    assert all(len(row) == len(sheet[0]) for row in sheet)
    assert_refused(shaftlog("--book", shop, "figures", "--csv", target), "name a new one")
    assert_refused(shaftlog("--book", tmp_path / "none.db", "figures"), "no job book")


def test_a_material_like_a_formula_stays_text(
    shaftlog: Shaftlog, shop: Path, tmp_path: Path
) -> None:
    path = tmp_path / "book.db"
    shutil.copyfile(shop, path)
    with open_book(path) as book:
        shaft_id = jobs.job_by_tag(book, "25-001").shaft_id
        shafts.change_shaft(book, shaft_id, material="=1+1", corrected=True)
    sheet = csv.reader(io.StringIO(shaftlog("--book", path, "figures", "--csv", "-").out))
    assert "'=1+1 press" in {row[1] for row in sheet}
