"""Jobs found by what was typed, alloys by their common names too."""

from __future__ import annotations

from functools import partial

from core.book.search.find import find_page
from core.book.search.typed import AlloyNames
from core.tables.alloy_names import alloys_beginning, alloys_named

find_jobs = partial(find_page, alloys=AlloyNames(alloys_named, alloys_beginning))
"""`core.book.search.find.find_page` with the common names of the alloys table."""
