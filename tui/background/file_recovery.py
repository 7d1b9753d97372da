"""The file of the book was moved, deleted or replaced under the running app: put it right."""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.base.errors import ShaftlogError
from core.book.errors import SavedElsewhere

if TYPE_CHECKING:
    from tui.app import ShaftlogApp


def mend(app: ShaftlogApp) -> bool:
    """Write the open book where it belongs, and say so; False = not possible now (said, too)."""
    from core.book.upkeep.recovery import recover

    try:
        done = recover(app.book)
    except SavedElsewhere as error:
        app.exit(return_code=2, message=str(error))
        return False
    except ShaftlogError as error:
        app.say(str(error), "stop")
        return False
    if done.other_book:
        app.back_to_board()
        app.last_job_id = None
    app.show_changes()
    app.say(done.words, "stop")
    return True
