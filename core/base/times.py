"""Moments as stored (ISO 8601 text in UTC with milliseconds) and as people read them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

from core.base.errors import BadTime

Clock = Callable[[], datetime]
"""Gives the present moment; replaced by a fixed one in demos and tests."""


def utc_now() -> datetime:
    """The present moment in UTC."""
    return datetime.now(UTC)


def moment_text(moment: datetime) -> str:
    """A moment as stored: ISO 8601, UTC, milliseconds, 'Z'. A moment without a zone is UTC."""
    aware = moment if moment.tzinfo else moment.replace(tzinfo=UTC)
    return aware.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def moment(text: str) -> datetime:
    """The stored text of a moment as an aware datetime in UTC; `BadTime` when it is none."""
    try:
        return datetime.fromisoformat(text.replace("Z", "+00:00")).astimezone(UTC)
    except ValueError as error:
        raise BadTime(
            f"{text!r} is no time: the job book is damaged. Run `shaftlog check`, then restore the "
            "last good backup."
        ) from error


def just_before(text: str) -> str:
    """The stored moment one millisecond, the smallest step, before another."""
    return moment_text(moment(text) - timedelta(milliseconds=1))


def just_after(text: str) -> str:
    """The stored moment one millisecond after another."""
    return moment_text(moment(text) + timedelta(milliseconds=1))


def local_text(text: str, form: str = "%Y-%m-%d %H:%M") -> str:
    """A stored moment in the time zone of this computer, for screens and paper."""
    return moment(text).astimezone().strftime(form)
