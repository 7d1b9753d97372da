"""What to see on the plot: another sweep, one laid over, other supports; the file of figures."""

from __future__ import annotations

from dataclasses import replace
from typing import ClassVar

from core.base.shop_records import RidingArea
from core.base.units import format_station
from tui.base.commands import Command, verb
from tui.screens.base.screen import JobScreen
from tui.screens.shape.plot_data import Choice, PlotData, sweeps_to_choose
from tui.widgets.menu import MenuItem

READINGS = "readings"
MOST_ITEMS = 9
"""Lines of a menu; the tenth takes the choice back."""


class PlotChoices(JobScreen):
    """The part of the plot screen that chooses; nothing is drawn here."""

    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("act", "lay_over", "Lay over", "Lay another sweep over this one, or take it off"),
        verb("data", "other_sweep", "Sweep", "Show another sweep, or the readings"),
        verb("setup", "supports", "Supports", "See it from other supports, as in the boat"),
        verb("finish", "export", "File", "Write the figures to a CSV file"),
    )

    choice: Choice = Choice()
    shown: PlotData | None = None

    def choose(self, choice: Choice) -> None:
        """See something else."""
        self.choice = choice
        self.refresh_view()

    # -- sweeps ----------------------------------------------------------------------------------

    def _sweep_items(self, leave_out: str) -> list[MenuItem]:
        found = [s for s in sweeps_to_choose(self.book, self.job_id) if s[0].id != leave_out]
        # Quick checks are a few stations only: whole sweeps first.
        found.sort(key=lambda one: one[0].purpose == "quick check")
        return [MenuItem(sweep.id, title, sweep.measured_by) for sweep, title in found][:MOST_ITEMS]

    def action_lay_over(self) -> None:
        """F4."""
        if self.shown is None:
            return
        items = self._sweep_items(self.shown.asked.question.sweep.id)
        if self.choice.other_id:
            items.append(MenuItem("", "None: take the other sweep off"))
        if not items:
            self.say("There is no other sweep of this shaft to lay over it.")
            return
        words = "Which sweep to lay over this one (marked x)?"
        self.ask_which(words, items, self._laid_over)

    def _laid_over(self, sweep_id: str | None) -> None:
        if sweep_id is not None:
            self.choose(replace(self.choice, other_id=sweep_id))

    def action_other_sweep(self) -> None:
        """F6."""
        items = [*self._sweep_items(""), MenuItem(READINGS, "Go to the readings of this job")]
        self.ask_which("Which sweep to show?", items, self._other_sweep)

    def _other_sweep(self, sweep_id: str | None) -> None:
        if sweep_id == READINGS:
            self.context.go("sweep", self.job_id)
        elif sweep_id is not None:
            other_id = "" if sweep_id == self.choice.other_id else self.choice.other_id
            self.choose(replace(self.choice, sweep_id=sweep_id, other_id=other_id))

    # -- supports --------------------------------------------------------------------------------

    def action_supports(self) -> None:
        """F8."""
        if self.shown is None:
            return
        items = support_items(self.shown.asked.areas)
        words = "Seen from which two supports? The bends stay the same, the runout does not."
        self.ask_which(words, items, self._supports)

    def _supports(self, name: str | None) -> None:
        if name is None or self.shown is None:
            return
        if name == "rollers":
            self.choose(replace(self.choice, supports_in=None))
        elif name == "type":
            self.ask_supports()
        else:
            first, second = (float(part) for part in name.split())
            self.choose(replace(self.choice, supports_in=(first, second)))

    def ask_supports(self) -> None:
        """Type two stations; the screen has the field."""

    # -- elsewhere -------------------------------------------------------------------------------

    def action_export(self) -> None:
        """F12."""
        from core.reports.runout_csv import write_figures

        if self.shown is None:
            self.say("There are no figures to write yet.")
            return
        asked = self.shown.asked
        with self.in_words():
            place = write_figures(
                self.context.book_path.parent, asked.job.tag, asked.question.sweep, self.shown.seen
            )
            self.say(f"Written: {place}", "done")


def support_items(areas: tuple[RidingArea, ...]) -> list[MenuItem]:
    """The rollers, pairs of riding areas as in the boat, and two stations of one's own."""
    items = [MenuItem("rollers", "On the rollers, as measured")]
    places = [(a.name, (a.from_in + a.to_in) / 2) for a in areas if a.kind != "taper"]
    pairs = [(one, two) for n, one in enumerate(places) for two in places[n + 1 :]]
    # The pair farthest apart is the likeliest in the boat.
    pairs.sort(key=lambda pair: pair[0][1] - pair[1][1])
    for (name_a, a_in), (name_b, b_in) in pairs[: MOST_ITEMS - 2]:
        label = f"In the boat: {name_a} and {name_b}"
        where = f"{format_station(a_in, unit=False)} and {format_station(b_in)}"
        items.append(MenuItem(f"{a_in!r} {b_in!r}", label, where))
    items.append(MenuItem("type", "Two stations of your own"))
    return items
