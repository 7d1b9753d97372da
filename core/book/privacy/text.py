"""Deleting personal data in words: what goes and stays, what was done, what a restore brought."""

from __future__ import annotations

from pathlib import Path
from textwrap import fill

from core.base.counting import many
from core.base.times import local_text
from core.book.errors import BookError
from core.book.privacy.erase import Erased, ErasePlan, erase_again

_WIDTH = 77
_GOES = (
    "It is removed from the texts of these jobs as well ({texts} now): notes, complaints, quotes, "
    "tickets, check lists, the log of changes. The search no longer finds it. Half-filled forms "
    "that name the customer are thrown away."
)
_STAYS = (
    "Vessels ({vessels}), shafts, every reading, hit, measurement, verdict and date, and the "
    "tickets with their figures. Not touched: texts about other customers, printed tickets, files "
    "written out, books on other computers."
)
_COPIES = (
    "{count} beside the book may still hold the data. Daily ones are thrown away as newer ones "
    "come; the others, and copies on sticks, stay until you delete the files ({folder}). When a "
    "backup is put in place of this book the data is removed from it again."
)
_NO_COPIES = "None lie beside the book. Copies on sticks keep the data until you delete them."


def plan_words(plan: ErasePlan) -> str:
    """What goes, what stays, what the backups keep: in full, 77 columns wide."""
    who = plan.customer
    if who.forgotten_at:
        return f"Deleted on request on {local_text(who.forgotten_at, '%d %b %Y %H:%M')} already."
    held = (
        ("name", who.name),
        ("phone", who.phone),
        ("e-mail", who.email),
        ("address", who.address),
        ("notes", who.notes),
    )
    count = f"{len(plan.jobs)} job" + ("" if len(plan.jobs) == 1 else "s")
    lines = [f"GOES, for good (customer of {count}):"]
    lines += [f"  {label:<9}{' / '.join(text.splitlines()) or '(none)'}" for label, text in held]
    lines.append(_indented(_GOES.format(texts=plan.texts)))
    vessels = ", ".join(plan.vessels) or "none"
    lines += ["STAYS:", _indented(_STAYS.format(vessels=vessels))]
    lines += ["BACKUPS:", _indented(_copies(plan))]
    if plan.open_tags:
        tags = ", ".join(plan.open_tags)
        lines.append(f"STILL IN THE SHOP: {tags}. Nobody can be called about it afterwards.")
    return "\n".join(lines)


def _indented(text: str) -> str:
    return fill(text, _WIDTH, initial_indent="  ", subsequent_indent="  ", break_long_words=False)


def _copies(plan: ErasePlan) -> str:
    if not plan.copies:
        return _NO_COPIES
    return _COPIES.format(count=many(len(plan.copies), "copy", "copies"), folder=plan.folder)


def done_words(done: Erased) -> str:
    """What was done, and what is left to do."""
    words = [f"The personal data is deleted; it was removed from {many(done.places, 'text')}."]
    if done.backups:
        words.append(f"{many(done.backups, 'backup')} may still hold it.")
    if not done.rewritten:
        words.append(
            "Another bench was at work or the disk is full, so freed parts of the file may still "
            "hold traces: do the same once more when Shaftlog is closed everywhere else."
        )
    return " ".join(words)


def restored_words(book_path: Path, kept_aside: Path | None) -> str:
    """After a restore: remove again what was deleted on request; words about it, or none."""
    try:
        count = erase_again(book_path, kept_aside)
    except BookError as error:
        return f"Personal data deleted on request may be in it again: {error}"
    if not count:
        return ""
    who = "a customer" if count == 1 else f"{count} customers"
    return f"The data of {who}, deleted on request, was removed from it again."
