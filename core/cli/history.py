"""`shaftlog history WORDS`: jobs found by anything that was ever written about them."""

from __future__ import annotations

import argparse
import json
from typing import TYPE_CHECKING

from core.base.text import one_line
from core.cli.frame import DONE, NOTHING, book_path
from core.reports.ticket_format import inches, pad

if TYPE_CHECKING:
    from core.book.search.find import Found

COLUMNS = (("tag", 9), ("came in", 11), ("state", 9), ("customer", 22), ("vessel", 20))


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """WORDS."""
    parser.add_argument("words", metavar="WORDS", nargs="+", help="beginnings of words, any order")
    parser.add_argument("--most", type=int, default=50, metavar="N", help="at most N jobs")
    parser.add_argument("--json", action="store_true", help="as JSON")
    parser.add_argument("--with-phone", action="store_true", help="show phone numbers too")


def run(args: argparse.Namespace) -> int:
    """Print the jobs found, best first; exit code 1 when there is none."""
    from core.book.opening import open_book
    from core.book.search.find import find

    with open_book(book_path(args), create=False, read_only=True) as book:
        found = find(book, " ".join(args.words), limit=max(args.most, 1))
    # a slip of the finger is allowed for only where nothing meets the words as they were typed
    found = tuple(one for one in found if one.how != "nearly") or found
    if args.json:
        print(json.dumps([_record(one, args.with_phone) for one in found], indent=1))
    elif found:
        if found[0].how == "nearly":
            print("nothing meets these words; one slip of the finger away:")
        print("".join(f"{name:<{width}}" for name, width in COLUMNS) + "shaft")
        for one in found:
            print(_line(one, args.with_phone))
    else:
        print(f"nothing found for {one_line(' '.join(args.words))!r}")
    return DONE if found else NOTHING


def _line(one: Found, phone: bool) -> str:
    """One job as a line of the table."""
    values = (one.tag, one.opened_at[:10], one.state, one.customer_name, one.vessel_name)
    cells = [
        pad(one_line(value), width - 1) + " "
        for value, (_, width) in zip(values, COLUMNS, strict=True)
    ]
    shaft = f"{one_line(one.position)} {inches(one.diameter_in)} in {one_line(one.material)}"
    if phone and one.phone:
        shaft += f"  phone {one_line(one.phone)}"
    return "".join(cells) + shaft


def _record(one: Found, phone: bool) -> dict[str, object]:
    record: dict[str, object] = {
        "tag": one.tag,
        "opened_at": one.opened_at,
        "state": one.state,
        "customer": one.customer_name,
        "vessel": one.vessel_name,
        "position": one.position,
        "material": one.material,
        "diameter_in": one.diameter_in,
        "complaint": one.complaint,
        "found_by": one.how,
    }
    if phone:
        record["phone"] = one.phone
    return record
