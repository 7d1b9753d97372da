"""Faults put back one by one: does a walk find them? `python -m tests.walks.planted [--walks 6]`.

Each is a fault that the program once had, or one of its kind, put into a process of its own by
replacing a function. A fault counts as found when one of the walks ends with a fault that the
same walks do not have without it. Seeds that `tests.walks.run` has just called clean need no
second look: `--clean`.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from multiprocessing import get_context
from typing import Any

from tests.walks.walk import WalkResult, run

Plant = Callable[[], None]
FAULTS: dict[str, Plant] = {}


def fault(plant: Plant) -> Plant:
    """A fault by the name of its function."""
    FAULTS[plant.__name__] = plant
    return plant


def swap(owner: Any, name: str, make: Callable[[Any], Any]) -> None:
    """Replace a function by what `make` makes of it."""
    setattr(owner, name, make(getattr(owner, name)))


@fault
def finished_sweep_takes_readings() -> None:
    from core.jobs.sweep import sweep_entry
    from core.jobs.sweep.sweep_session import SweepSession

    swap(SweepSession, "_check_open", lambda was: lambda self: None)
    swap(sweep_entry, "_check_open", lambda was: lambda book, sweep_id: None)


@fault
def last_mark_is_replaced_by_typing_on() -> None:
    from core.jobs.sweep.sweep_session import SweepSession

    def open_slot(self: Any) -> Any:
        self._check_open()
        return self.station_in, self.slot

    swap(SweepSession, "_open_slot", lambda was: open_slot)


@fault
def after_a_correction_entry_goes_elsewhere() -> None:
    from core.jobs.sweep.sweep_session import SweepSession

    swap(
        SweepSession,
        "after",
        lambda was: lambda self, rows, entered, corrected=False: was(self, rows, entered),
    )


@fault
def half_typed_digits_are_glued() -> None:
    from tui.widgets.reading_input import ReadingInput

    swap(ReadingInput, "select", lambda was: lambda self: None)


@fault
def another_bench_is_overwritten_by_a_second_enter() -> None:
    from core.jobs.sweep.sweep_session import SweepSession

    swap(
        SweepSession,
        "seen",
        lambda was: lambda self, sweep, rows: replace(was(self, sweep, rows), chosen=True),
    )


@fault
def another_bench_is_overwritten_at_once() -> None:
    from core.book import readings

    swap(readings, "_check_place", lambda was: lambda book, sweep_id, new: None)


@fault
def a_minus_inside_is_dropped() -> None:
    from core.jobs.sweep import sweep_entry

    def take(was: Any) -> Any:
        return lambda book, session, text: was(book, session, text[:1] + text[1:].replace("-", ""))

    swap(sweep_entry, "take", take)


@fault
def a_stroke_wipes_what_was_typed() -> None:
    from core.jobs.sweep import sweep_entry

    swap(
        sweep_entry,
        "take",
        lambda was: lambda book, session, text: was(book, session, text.split("/")[-1]),
    )


@fault
def the_closing_mark_is_the_first_though_blocked() -> None:
    from core.jobs.sweep.sweep_slots import SweepSlots

    swap(SweepSlots, "_closing_mark", lambda was: lambda self, station_in: self.sweep.marks_deg[0])


@fault
def undo_brings_nothing_back() -> None:
    from core.book import readings

    swap(readings, "brought_back", lambda was: lambda rows, gone: ())


@fault
def undo_takes_another_entry() -> None:
    from core.base import reading_log

    def last_act(was: Any) -> Any:
        def oldest(rows: Any, elsewhere: Any = ()) -> Any:
            own = [r for r in reading_log.active(rows) if r.taken_at not in elsewhere]
            return tuple(own[:1])

        return oldest

    swap(reading_log, "last_act", last_act)


@fault
def undo_takes_the_entry_of_another_bench() -> None:
    from core.base import reading_log

    swap(reading_log, "last_act", lambda was: lambda rows, elsewhere=(): was(rows))


@fault
def a_reading_lands_at_the_next_mark() -> None:
    from core.jobs.sweep import sweep_entry

    def take(was: Any) -> Any:
        def shifted(book: Any, session: Any, text: str) -> Any:
            further = session.to(session.next_place(session.cursor))
            return was(book, further if not session.chosen else session, text)

        return shifted

    swap(sweep_entry, "take", take)


@fault
def a_reading_changes_its_sign() -> None:
    from core.jobs.sweep.sweep_session import SweepSession

    def take(was: Any) -> Any:
        def turned(self: Any, text: str) -> Any:
            entry = was(self, text)
            return replace(entry, value_in=-(entry.value_in or 0.0))

        return turned

    swap(SweepSession, "take", take)


@fault
def a_blocked_mark_is_stored_as_a_reading() -> None:
    from core.jobs.sweep.sweep_session import SweepSession

    swap(
        SweepSession,
        "block",
        lambda was: lambda self: replace(was(self), kind="mark", value_in=0.0),
    )


@fault
def a_mark_is_blocked_twice() -> None:
    from core.jobs.sweep import sweep_entry

    def block(was: Any) -> Any:
        def twice(book: Any, session: Any) -> Any:
            fresh, said = was(book, session)
            return was(book, fresh) if not fresh.complete else (fresh, said)

        return twice

    swap(sweep_entry, "block", block)


@fault
def finishing_changes_the_purpose() -> None:
    from core.book import sweeps

    def finish(was: Any) -> Any:
        def other(book: Any, sweep_id: str) -> Any:
            sweeps.change_sweep(book, sweep_id, purpose="final")
            return was(book, sweep_id)

        return other

    swap(sweeps, "finish_sweep", finish)


@fault
def the_chosen_hit_jumps_back() -> None:
    from tui.screens.straightening.straighten import StraightenScreen

    def watch(was: Any) -> Any:
        def first(self: Any, state: Any) -> None:
            self.first_next = True
            was(self, state)

        return first

    swap(StraightenScreen, "watch_state", watch)


@fault
def each_refresh_chooses_the_first_hit() -> None:
    from tui.screens.straightening.straighten import StraightenScreen

    def refresh(was: Any) -> Any:
        def fill(self: Any) -> None:
            was(self)
            if self.state is not None and self.state.plan:
                self.first_next = True
                self.watch_state(self.state)

        return fill

    swap(StraightenScreen, "refresh_view", refresh)


@fault
def enter_notes_a_hit() -> None:
    from tui.screens.straightening.straighten import StraightenScreen

    swap(StraightenScreen, "on_list_box_chosen", lambda was: lambda self: self.action_hit())


@fault
def a_hit_is_stored_twice() -> None:
    from core.book import hits

    def twice(was: Any) -> Any:
        def add(book: Any, **what: Any) -> Any:
            was(book, **what)
            return was(book, **what)

        return add

    swap(hits, "add_hit", twice)


@fault
def a_hit_is_stored_on_the_other_side() -> None:
    from core.book import hits

    def other(was: Any) -> Any:
        return lambda book, **what: was(
            book, **(what | {"clock_deg": (what["clock_deg"] + 180.0) % 360.0})
        )

    swap(hits, "add_hit", other)


@fault
def the_plan_is_stored_as_read() -> None:
    from core.book import hits

    swap(
        hits,
        "add_hit",
        lambda was: lambda book, **what: was(book, **(what | {"stays_in": 0.0336})),
    )


@fault
def a_stage_is_stamped_at_every_area() -> None:
    from core.book import penetrant_checks

    def all_of_them(was: Any) -> Any:
        def stage(book: Any, check_ids: Any, *more: Any, **options: Any) -> Any:
            job_id = penetrant_checks.check(book, check_ids[0]).job_id
            every = [c.id for c in penetrant_checks.newest_checks(book, job_id)]
            return was(book, every, *more, **options)

        return stage

    swap(penetrant_checks, "stage", all_of_them)


@fault
def a_figure_lands_in_another_place() -> None:
    from core.book import measurements

    def other(was: Any) -> Any:
        return lambda book, **what: was(
            book, **(what | {"clock_deg": 33.0 if what.get("clock_deg") is not None else None,
                             "set_no": what.get("set_no", 1) + 1})
        )  # fmt: skip

    swap(measurements, "take_measurement", other)


@fault
def a_note_is_stored_twice() -> None:
    from core.book import jobs

    def twice(was: Any) -> Any:
        def add(book: Any, **what: Any) -> Any:
            was(book, **what)
            return was(book, **what)

        return add

    swap(jobs, "add_note", twice)


@fault
def the_ticket_leaves_a_hit_out() -> None:
    from core.reports import ticket_collect

    swap(ticket_collect, "hit_lines", lambda was: lambda *a, **k: was(*a, **k)[1:])


def main() -> int:
    """Print which faults are found."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--walks", type=int, default=6, help="most walks for each fault")
    parser.add_argument("--acts", type=int, default=40)
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--only", default="", help="names of faults, with commas")
    parser.add_argument("--clean", action="store_true", help="the seeds are known to be clean")
    asked = parser.parse_args()
    names = asked.only.split(",") if asked.only else list(FAULTS)
    found: dict[str, WalkResult] = {}
    # A process for each walk: a fault put in is gone with it.
    with get_context("fork").Pool(asked.jobs, maxtasksperchild=1) as pool:
        for seed in range(asked.seed, asked.seed + asked.walks):
            plain = None if asked.clean else pool.apply(run, (seed, asked.acts))
            if plain is not None and not plain.clean:
                print(f"seed {seed} is not used: without a fault put in, {_first_line(plain)}")
                continue
            left = [name for name in names if name not in found]
            walk = partial(planted_walk, seed=seed, acts=asked.acts)
            for name, result in zip(left, pool.imap(walk, left), strict=True):
                if not result.clean:
                    found[name] = result
                    where = f"seed {seed}, act {result.acts}"
                    print(f"{name}: {where}: {_first_line(result)}", flush=True)
            if len(found) == len(names):
                break
    missed = [name for name in names if name not in found]
    print(f"found {len(found)} of {len(names)}; not found: {', '.join(missed) or 'none'}")
    return 0 if len(found) >= 0.95 * len(names) else 1


def planted_walk(name: str, seed: int, acts: int) -> WalkResult:
    """One walk, in a process of its own, with a fault in the program."""
    return run(seed, acts, FAULTS[name])


def _first_line(result: WalkResult) -> str:
    return (result.fault or result.crash).strip().splitlines()[0]


if __name__ == "__main__":
    sys.exit(main())
