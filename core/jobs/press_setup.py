"""Set-up of the press for one job: the blocks, and who works. Lengths in inches."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from core.base.records import Shaft
from core.book import jobs, settings, shafts
from core.book.connection import Book
from core.book.settings import ShopSettings


@dataclass(frozen=True)
class PressSetup:
    """What every stroke of a job is worked out with."""

    shaft: Shaft
    shop: ShopSettings
    blocks_in: float
    """Block spacing set for this job, else the shop's."""
    worker: str
    """Who works at the press and with penetrant on this job; '' = nobody named."""


def press_setup(book: Book, job_id: str) -> PressSetup:
    """The set-up that holds for a job now."""
    job = jobs.job(book, job_id)
    shop = settings.load(book)
    blocks_in = job.blocks_in or shop.block_span_in
    return PressSetup(shafts.shaft(book, job.shaft_id), shop, blocks_in, job.worker)


def save_press_setup(book: Book, job_id: str, **changes: Any) -> None:
    """Store `blocks_in` (None = the shop's setting) or `worker` with the job."""
    jobs.change_job(book, job_id, **changes)
