"""The file of the book was moved, deleted or replaced under the running app: put it right."""

from __future__ import annotations

from core.base.errors import ShaftlogError
from core.book.errors import SavedElsewhere
from tui.base.context import Context


def mend(context: Context) -> bool:
    """Write the open book where it belongs, and say so; False = not possible now (said, too)."""
    from core.book.upkeep.recovery import recover

    try:
        done = recover(context.book)
    except SavedElsewhere as error:
        context.stop(str(error))
        return False
    except ShaftlogError as error:
        context.say(str(error), "stop")
        return False
    if done.other_book:
        context.back_to_board()
        context.last_job_id = None
    context.show_changes()
    context.say(done.words, "stop")
    return True
